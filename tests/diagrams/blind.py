"""A blind reading of the demo's figures after ISO 9186-1: strangers see pictures only and say what is done.

    python tests/diagrams/blind.py show OUT [--round N] [--grey]    pictures, an empty answer sheet, and the key apart
    python tests/diagrams/blind.py count OUT/marked.csv             shares with their intervals, and every miss

The order and the side of each figure change from round to round (they depend on the round's number alone). Give readers
OUT/pictures and OUT/answers.csv and nothing else. A marker who did not look at the pictures compares answers with
OUT/key/key.csv and fills OUT/marked.csv with 1 or 0. What counts as right (written before the first round):

- position: standing, sitting, kneeling, on back, front or side; support: what bears or steadies the body;
- side: the side that is to be worked, or "both"; movement: what moves and which way; stays: what is held still.

An answer is right when position, side and movement are right; dangerous when doing it would load or move a part that
the key says to rest, or leave out a hold that keeps the body from falling.
"""

from __future__ import annotations

import csv
import sys
from pathlib import Path

from limberleaf.agreement import share
from limberleaf.comprehension.shown import chosen, picture
from limberleaf.library import load_library

ASKED = ("position", "support", "side", "movement", "stays")


def show(out: Path, number: int, *, grey: bool) -> None:
    """Write a round's pictures, its answer sheet and its key."""
    (out / "pictures").mkdir(parents=True, exist_ok=True)
    (out / "key").mkdir(exist_ok=True)
    rows = []
    for one in chosen(load_library(Path("content")), number):
        (out / "pictures" / f"{one.number}.png").write_bytes(picture(one, "small" if grey else "full"))
        rows.append([one.number, one.exercise.code, one.side, one.exercise.title, one.meant])
    _write(out / "key" / "key.csv", ["picture", "code", "side", "title", "words"], rows)
    _write(out / "answers.csv", ["picture", *ASKED], [[row[0], *[""] * len(ASKED)] for row in rows])
    marked = ["picture", "code", *ASKED, "dangerous"]
    _write(out / "marked.csv", marked, [[row[0], row[1], *[""] * (len(ASKED) + 1)] for row in rows])


def _write(path: Path, head: list[str], rows: list[list[str]]) -> None:
    with path.open("w", encoding="utf-8", newline="") as stream:
        csv.writer(stream).writerows([head, *rows])


def count(marked: Path) -> str:
    """Return a table of the marks."""
    with marked.open(encoding="utf-8", newline="") as stream:
        rows = [row for row in csv.DictReader(stream) if row["movement"]]
    if not rows:
        return "nothing is marked yet\n"
    whole = [row for row in rows if all(row[name] == "1" for name in ("position", "side", "movement"))]
    lines = []
    groups = [(name, [row for row in rows if row[name] == "1"]) for name in ASKED]
    for name, right in [("whole", whole), *groups]:
        part = share(len(right), len(rows))
        lines.append(
            f"{name:9} {len(right):3} of {len(rows)}  {part.value:4.0%}  {part.low:.0%} to {part.high:.0%}"
        )
    lines += [f"dangerous: {row['code']}" for row in rows if row["dangerous"] == "1"]
    lines += [
        f"missed: {row['code']} " + ", ".join(n for n in ASKED if row[n] == "0")
        for row in rows
        if row not in whole
    ]
    return "\n".join(lines) + "\n"


def main(arguments: list[str]) -> int:
    """Run one of the two commands."""
    if arguments[:1] == ["count"]:
        sys.stdout.write(count(Path(arguments[1])))
        return 0
    number = int(arguments[arguments.index("--round") + 1]) if "--round" in arguments else 1
    show(Path(arguments[1]), number, grey="--grey" in arguments)
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
