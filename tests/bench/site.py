"""How long a site takes: `python tests/bench/site.py [EXERCISES] [TURNS] [--keep NOTE]` (default 1000 and 5).

Makes a library of that many exercises (three pages each) from the starter's entries and times a first build, then in
turns one with nothing changed, one with one entry edited, a check of one edited entry, one build that makes every page
again, and plain MkDocs with as many Markdown pages of the same length, none in its navigation. Prints one table of
goals, medians, ratios and spread. `--keep` adds them to `history.csv` beside this file, with the commit and the note.

Python may keep compiled modules here, as it does for people, in a folder of the run; an environment that forbids it
(PYTHONDONTWRITEBYTECODE) would measure the compiling of our sources, which an editable install never compiled.
"""

from __future__ import annotations

import argparse
import csv
import os
import re
import signal
import socket
import statistics
import subprocess
import sys
import tempfile
import time
import urllib.error
import urllib.request
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))
from approved import record, starter_files

BIN = Path(sys.executable).parent
PLAIN = "plain MkDocs"
HISTORY = Path(__file__).with_name("history.csv")
MANNERS = ("calm", "easy", "firm", "gentle", "light", "quiet", "level", "smooth", "soft", "steady")
"""Words by which entries differ, so that nothing made of one can be taken for another."""


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
    text = collection.read_text("utf-8")
    collection.write_text(re.sub(r"^ladders:.*$", f"ladders: [{', '.join(ways)}]", text, flags=re.M), "utf-8")
    texts = [(pattern.parent, pattern.read_text("utf-8")) for pattern in patterns]
    for number in range(0, count - 2, 2):
        codes = {f"kn-0{n}": f"{'abcdefgh'[number // 900]}x-{number % 900 + 99 + n}" for n in (1, 2)}
        names = [*codes.values(), f"knee-way-{number}"]
        for (place, text), name in zip(texts, names, strict=True):
            own = re.sub(r"kn-0[12]", lambda found, new=codes: new[found[0]], text)
            own = re.sub(r"^id: .*$", f"id: {name}", own, flags=re.M)
            own = re.sub(r"^(title: .*)$", rf"\1, way {number}", own, flags=re.M)
            manner = " and ".join(MANNERS[int(digit)] for digit in str(number))
            own = re.sub(r"(Hold while you count)", rf"Stay {manner}. \1", own)
            (place / f"{name}.yml").write_text(own, "utf-8")
    record(content)


def plain_pages(folder: Path, count: int, words: str, nav: str) -> None:
    """Write a plain MkDocs project of `count` Markdown pages."""
    (folder / "docs").mkdir(parents=True)
    (folder / "mkdocs.yml").write_text(f"site_name: Plain\n{nav}", "utf-8")
    (folder / "docs/index.md").write_text("# Plain\n", "utf-8")
    for number in range(count):
        (folder / f"docs/page-{number}.md").write_text(f"# Page {number}\n\n{words}", "utf-8")


@dataclass(frozen=True)
class Run:
    """One run of a command with all its processes: processor seconds, and the largest process in megabytes."""

    seconds: float
    megabytes: float


def environment() -> dict[str, str]:
    """Give the environment of what is timed: Python may keep what it compiled."""
    compiled = str(Path(tempfile.gettempdir()) / "limberleaf-bench-compiled")
    own = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    return {**own, "PYTHONPYCACHEPREFIX": compiled}


def timed(command: list[str], folder: Path) -> Run:
    """Run a command. Processor time is given, not the clock's: on a machine with other work only it compares."""
    with tempfile.TemporaryFile() as output:
        process = subprocess.Popen(command, cwd=folder, stdout=output, stderr=output, env=environment())
        _, status, used = os.wait4(process.pid, 0)
        process.returncode = os.waitstatus_to_exitcode(status)
        if process.returncode:
            output.seek(0)
            sys.exit(output.read().decode()[-3000:])
    return Run(used.ru_utime + used.ru_stime, used.ru_maxrss / 1024)


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


CHECK = "check of one edited entry"
FIRST = "first build, figures drawn"


@dataclass(frozen=True)
class Goal:
    """What a run may take: a part of what plain MkDocs takes, or seconds of the processor; and megabytes."""

    ratio: float | None = None
    seconds: float | None = None
    megabytes: float = 200

    def __str__(self) -> str:
        took = f"{self.ratio:.2f} of plain" if self.ratio else f"{self.seconds:.1f} s" if self.seconds else ""
        return f"{took}{', ' if took else ''}{self.megabytes:.0f} MB"


GOALS = {
    FIRST: Goal(megabytes=400),
    "nothing changed": Goal(ratio=0.05),
    "one entry edited": Goal(ratio=0.1),
    CHECK: Goal(seconds=0.4),
    "every page again, figures kept": Goal(ratio=0.5),
}
"""What a run may take; plain MkDocs has as many pages as there are exercises, and none in its navigation."""


def edited(folder: Path, code: str, turn: int) -> None:
    """Change the words of one entry."""
    entry = folder / f"content/exercises/knee/{code}.yml"
    text = re.sub(r"Hold (\S+ )?while", f"Hold {'abcdefgh'[turn]} while", entry.read_text("utf-8"))
    entry.write_text(text, "utf-8")
    record(folder / "content")


def all_pages_again(folder: Path) -> None:
    """Change what stands on every page: the clinic's telephone number."""
    file = folder / "content/clinic.yml"
    text = file.read_text("utf-8")
    number = int(re.findall(r"01632 960(\d{3})", text)[0])
    file.write_text(text.replace(f"01632 960{number}", f"01632 960{(number + 1) % 1000:03d}"), "utf-8")
    record(folder / "content")


def measured(root: Path, count: int, turns: int) -> dict[str, list[Run]]:
    """Run everything in turns, so that a machine whose speed drifts is fair to all."""
    own = root / "own"
    build = [str(BIN / "limberleaf"), "build"]
    runs: dict[str, list[Run]] = {FIRST: [timed(build, own)]}
    page = (own / "site/kn-02/index.html").read_text("utf-8")
    words = re.sub(r"\s+", " ", re.sub(r"<(svg|head|style)\b.*?</\1>|<[^>]+>", " ", page, flags=re.S))
    lines = re.sub(r"([.!?]) ", r"\1\n\n- ", words)
    plain_pages(root / PLAIN, count, lines, "nav: [index.md]\nnot_in_nav: |\n  *\n")
    check = [str(BIN / "limberleaf"), "check"]
    for warm in (build, check):  # the first run keeps what it compiled
        timed(warm, own)
    timed([str(BIN / "mkdocs"), "build"], root / PLAIN)
    for turn in range(turns):
        for what, prepare, command in (
            ("nothing changed", partial(str), build),
            ("one entry edited", partial(edited, own, "ax-101", turn), build),
            (CHECK, partial(edited, own, "ax-103", turn), check),
            ("every page again, figures kept", partial(all_pages_again, own), build),
        ):
            prepare()
            runs.setdefault(what, []).append(timed(command, own))
        runs.setdefault(PLAIN, []).append(timed([str(BIN / "mkdocs"), "build"], root / PLAIN))
    return runs


def keep(runs: Mapping[str, Sequence[Run]], count: int, note: str) -> None:
    """Add the medians to the history: lines of other machines compare by their ratios only."""
    asked = subprocess.run(
        ["git", "rev-parse", "--short", "HEAD"],
        cwd=HISTORY.parent,
        capture_output=True,
        text=True,
        check=False,
    )
    base = statistics.median(run.seconds for run in runs[PLAIN])
    with HISTORY.open("a", encoding="utf-8", newline="") as file:
        for what, every in runs.items():
            middle = statistics.median(run.seconds for run in every)
            most = max(run.megabytes for run in every)
            csv.writer(file, lineterminator="\n").writerow(
                [
                    asked.stdout.strip(),
                    note,
                    count,
                    what,
                    f"{middle:.2f}",
                    f"{middle / base:.3f}",
                    f"{most:.0f}",
                ]
            )


def table(runs: Mapping[str, Sequence[Run]]) -> list[str]:
    """Give one line a goal: the goal, the median of now (seconds, megabytes), the ratio to plain MkDocs, the spread."""
    base = statistics.median(run.seconds for run in runs[PLAIN])
    rows = [f"{'':32s} {'goal':>22s} {'now':>18s} {'ratio':>7s} {'spread':>16s}"]
    for what, every in runs.items():
        seconds = [run.seconds for run in every]
        middle = statistics.median(seconds)
        now = f"{middle:.2f} s, {max(run.megabytes for run in every):.0f} MB"
        spread = f"{min(seconds):.2f} to {max(seconds):.2f} s"
        rows.append(f"{what:32s} {GOALS.get(what, '')!s:>22s} {now:>18s} {middle / base:7.3f} {spread:>16s}")
    return rows


def main(count: int, turns: int, note: str | None) -> None:
    """Time everything and print a table."""
    with tempfile.TemporaryDirectory() as name:
        root = Path(name)
        library(root / "own", count)
        runs = measured(root, count, turns)
        print(f"{count} exercises, processor seconds of {turns} runs in turn")
        print("\n".join(table(runs)))
        if note is not None:
            keep(runs, count, note)
        for seconds in preview(root / "own", "ax-105"):  # no other run edits it
            print(f"preview, from an edit to its page: {seconds:.2f} s by the clock")


if __name__ == "__main__":
    asked = argparse.ArgumentParser()
    asked.add_argument("exercises", nargs="?", type=int, default=1000)
    asked.add_argument("turns", nargs="?", type=int, default=5)
    asked.add_argument("--keep", metavar="NOTE")
    given = asked.parse_args()
    main(given.exercises, given.turns, given.keep)
