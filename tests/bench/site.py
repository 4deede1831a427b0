"""How long a site takes: `python tests/bench/site.py [EXERCISES]` (default 1000), on this machine, now.

Makes a library of that many exercises (three pages each) from the starter's entries and times, with figures kept:
a full rebuild through MkDocs, one with nothing changed, and one entry edited in a running preview. In the same run
plain MkDocs builds as many Markdown pages of the same length, with all pages in the navigation and with none.
"""

from __future__ import annotations

import re
import subprocess
import sys
import tempfile
import time
from datetime import date
from pathlib import Path

from generator.publish.compose import Workshop
from generator.starter import starter_files

BIN = Path(sys.executable).parent
TODAY = date(2026, 11, 25)


def library(folder: Path, count: int) -> None:
    """Write a library of `count` exercises, two on a ladder, that differ in code, title and words."""
    for path, text in starter_files().items():
        file = folder / path
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(text, "utf-8")
    content = folder / "content"
    patterns = [*sorted((content / "exercises/knee").glob("*.yml")), content / "ladders/knee-first-steps.yml"]
    texts = [(pattern.parent, pattern.read_text("utf-8")) for pattern in patterns]
    for number in range(0, count - 2, 2):
        codes = {f"kn-0{n}": f"{'abcdefgh'[number // 900]}x-{number % 900 + 99 + n}" for n in (1, 2)}
        names = [*codes.values(), f"knee-way-{number}"]
        for (place, text), name in zip(texts, names, strict=True):
            own = re.sub(r"kn-0[12]", lambda found: codes[found[0]], text)
            own = re.sub(r"^id: .*$", f"id: {name}", own, flags=re.M)
            own = re.sub(r"^(title: .*)$", rf"\1, way {number}", own, flags=re.M)
            (place / f"{name}.yml").write_text(own, "utf-8")


def plain_pages(folder: Path, count: int, words: str, nav: str) -> None:
    """Write a plain MkDocs project of `count` Markdown pages."""
    (folder / "docs").mkdir(parents=True)
    (folder / "mkdocs.yml").write_text(f"site_name: Plain\n{nav}", "utf-8")
    (folder / "docs/index.md").write_text("# Plain\n", "utf-8")
    for number in range(count):
        (folder / f"docs/page-{number}.md").write_text(f"# Page {number}\n\n{words}", "utf-8")


def timed(command: list[str], folder: Path) -> float:
    """Run a command and give its wall time in seconds."""
    start = time.perf_counter()
    done = subprocess.run(command, cwd=folder, check=False, capture_output=True, text=True)
    if done.returncode:
        sys.exit(done.stdout[-3000:] + done.stderr[-3000:])
    return time.perf_counter() - start


def preview(folder: Path, code: str) -> float:
    """Edit one entry of a running preview and give the time until its page is made again."""
    workshop = Workshop(folder / "content", folder / ".limberleaf")
    made, _ = workshop.compose(TODAY, preview=True)
    assert made is not None
    made.files()
    entry = folder / f"content/exercises/knee/{code}.yml"
    entry.write_text(
        entry.read_text("utf-8").replace("Hold while you count", "Stay while you count"), "utf-8"
    )
    start = time.perf_counter()
    made, _ = workshop.compose(TODAY, preview=True)
    assert made is not None
    files = made.files()
    spent = time.perf_counter() - start
    assert "Stay while you count" in str(files[f"{code}/index.html"])
    return spent


def main(count: int) -> None:
    """Time everything and print a table."""
    with tempfile.TemporaryDirectory() as name:
        root = Path(name)
        library(root / "own", count)
        build = [str(BIN / "limberleaf"), "build"]
        rows = [("first build, figures drawn", timed(build, root / "own"))]
        rows += [(f"full rebuild {turn}", timed(build, root / "own")) for turn in (1, 2)]
        page = (root / "own/site/kn-02/index.html").read_text("utf-8")
        words = re.sub(r"\s+", " ", re.sub(r"<(svg|head|style)\b.*?</\1>|<[^>]+>", " ", page, flags=re.S))
        lines = re.sub(r"([.!?]) ", r"\1\n\n- ", words)
        for title, nav in (("all in nav", ""), ("none in nav", "nav: [index.md]\nnot_in_nav: |\n  *\n")):
            plain_pages(root / title, count, lines, nav)
            rows.append((f"plain MkDocs, {title}", timed([str(BIN / "mkdocs"), "build"], root / title)))
        rows.append(("preview, one entry edited", preview(root / "own", "ax-101")))
        for what, seconds in rows:
            print(f"{what:32s} {seconds:7.2f} s")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 1000)
