"""How long a site takes: `python tests/bench/site.py [EXERCISES]` (default 1000), on this machine, now.

Makes a library of that many exercises (three pages each) from the starter's entries and times, with figures kept:
a full rebuild through MkDocs, one with nothing changed, and one entry edited in a running preview. In the same run
plain MkDocs builds as many Markdown pages of the same length, with all pages in the navigation and with none.
"""

from __future__ import annotations

import re
import signal
import socket
import subprocess
import sys
import tempfile
import time
import urllib.error
import urllib.request
from pathlib import Path

from limberleaf.starter import starter_files

BIN = Path(sys.executable).parent


def library(folder: Path, count: int) -> None:
    """Write a library of `count` exercises, two on a ladder, that differ in code, title and words."""
    for path, text in starter_files().items():
        file = folder / path
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(text, "utf-8")
    content = folder / "content"
    patterns = [*sorted((content / "exercises/knee").glob("*.yml")), content / "ladders/knee-first-steps.yml"]
    collection = next((content / "collections").glob("*.yml"))
    ways = ["knee-first-steps", *(f"knee-way-{number}" for number in range(0, count - 2, 2))]
    told = collection.read_text("utf-8")
    collection.write_text(re.sub(r"^ladders:.*$", f"ladders: [{', '.join(ways)}]", told, flags=re.M), "utf-8")
    texts = [(pattern.parent, pattern.read_text("utf-8")) for pattern in patterns]
    for number in range(0, count - 2, 2):
        codes = {f"kn-0{n}": f"{'abcdefgh'[number // 900]}x-{number % 900 + 99 + n}" for n in (1, 2)}
        names = [*codes.values(), f"knee-way-{number}"]
        for (place, text), name in zip(texts, names, strict=True):
            own = re.sub(r"kn-0[12]", lambda found, new=codes: new[found[0]], text)
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


def preview(folder: Path, code: str) -> list[float]:
    """Edit one entry of a running `limberleaf serve` a few times; give each time from the edit to its page."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        address = f"127.0.0.1:{probe.getsockname()[1]}"
    server = subprocess.Popen(
        [str(BIN / "limberleaf"), "serve", "-a", address],
        cwd=folder,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    entry = folder / f"content/exercises/knee/{code}.yml"
    text, times = entry.read_text("utf-8"), []
    try:
        shown(f"http://{address}/{code}/", "Hold while you count")
        for words in ("Stay", "Wait", "Rest", "Hold"):
            time.sleep(2)
            entry.write_text(text.replace("Hold while you count", f"{words} while you count"), "utf-8")
            start = time.perf_counter()
            shown(f"http://{address}/{code}/", f"{words} while you count")
            times.append(time.perf_counter() - start)
    finally:
        server.send_signal(signal.SIGINT)
        server.wait()
    return times


def shown(address: str, words: str) -> None:
    """Wait until a page shows some words."""
    while True:
        try:
            with urllib.request.urlopen(address, timeout=60) as answer:
                if words in answer.read().decode():
                    return
        except (urllib.error.URLError, ConnectionError):
            pass
        time.sleep(0.05)


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
        rows += [("preview, one entry edited", seconds) for seconds in preview(root / "own", "ax-101")]
        for what, seconds in rows:
            print(f"{what:32s} {seconds:7.2f} s")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 1000)
