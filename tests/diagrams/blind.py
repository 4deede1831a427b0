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
import io
import sys
from math import sqrt
from pathlib import Path
from random import Random

from PIL import Image

from limberleaf.diagrams import draw_figure, solve_figure
from limberleaf.library import load_library

ASKED = ("position", "support", "side", "movement", "stays")
SMALL, FULL = 150, 1.6
"""Width in pixels of a panel in the small grey copy; pixels to a unit in the full one."""


def show(out: Path, number: int, *, grey: bool) -> None:
    """Write a round's pictures, its answer sheet and its key."""
    (out / "pictures").mkdir(parents=True, exist_ok=True)
    (out / "key").mkdir(exist_ok=True)
    dice = Random(number)  # noqa: S311 - an order that can be repeated, no secret
    exercises = [loaded.entry for loaded in load_library(Path("content")).exercises.values()]
    dice.shuffle(exercises)
    rows = []
    for place, exercise in enumerate(exercises, start=1):
        side = dice.choice(["left", "right"])
        one_sided = exercise.sides != "both"
        solved = solve_figure(exercise.figure, side)  # type: ignore[arg-type]
        drawing = draw_figure(solved, one_sided=one_sided, in_turn=exercise.sides == "each")
        count = len(drawing.pictures)
        width = SMALL * count if grey else round(drawing.size[0] * FULL * count)
        picture = Image.open(io.BytesIO(drawing.png(width)))
        picture = picture.convert("L") if grey else picture
        picture.save(out / "pictures" / f"{place:02d}.png")
        words = " / ".join(pose.caption or "" for pose in exercise.figure.poses)
        rows.append([f"{place:02d}", exercise.code, side if one_sided else "both", exercise.title, words])
    _write(out / "key" / "key.csv", ["picture", "code", "side", "title", "words"], rows)
    _write(out / "answers.csv", ["picture", *ASKED], [[row[0], *[""] * len(ASKED)] for row in rows])
    marked = ["picture", "code", *ASKED, "dangerous"]
    _write(out / "marked.csv", marked, [[row[0], row[1], *[""] * (len(ASKED) + 1)] for row in rows])


def _write(path: Path, head: list[str], rows: list[list[str]]) -> None:
    with path.open("w", encoding="utf-8", newline="") as stream:
        csv.writer(stream).writerows([head, *rows])


def interval(hits: int, count: int) -> tuple[float, float]:
    """Return Wilson's 95 % interval of a share (Wilson 1927)."""
    z = 1.959964
    share = hits / count
    middle = (share + z * z / (2 * count)) / (1 + z * z / count)
    half = z * sqrt(share * (1 - share) / count + z * z / (4 * count * count)) / (1 + z * z / count)
    return middle - half, middle + half


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
        low, high = interval(len(right), len(rows))
        lines.append(
            f"{name:9} {len(right):3} of {len(rows)}  {len(right) / len(rows):4.0%}  {low:.0%} to {high:.0%}"
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
