"""What came out of each round, kept in `asked.csv` of the library, for the desk and to compare the next round with."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from limberleaf.agreement import difference
from limberleaf.comprehension.answers import categories
from limberleaf.comprehension.score import FigureScore
from limberleaf.comprehension.shown import figure_key
from limberleaf.findings import Finding, Place
from limberleaf.library import Exercise
from limberleaf.library.files import read_text
from limberleaf.library.walk import ASKED_FILE

FILE = ASKED_FILE
"""The file in the content folder; a line for each figure, size and round, the newest last."""

_HEAD = ("day", "seed", "code", "side", "figure", "size", *categories())
_TOO_MANY = "cells beyond the last column"


@dataclass(frozen=True)
class Kept:
    """One figure in one round: the day it was counted, the seed of its sheets, and its score."""

    day: date
    seed: str
    score: FigureScore


def read_kept(content: Path) -> tuple[list[Kept], list[Finding]]:
    """Read all rounds; a line that cannot be read is a finding and is left out, and so is a file that is no such table.

    Whoever writes the file again must refuse while there is a finding: what was left out here would be gone.
    """
    file = content / FILE
    if not file.exists() and not file.is_symlink():
        return [], []
    text, refused = read_text(file, content, FILE)
    if refused:
        return [], [refused]
    reader = csv.DictReader(io.StringIO(text), restkey=_TOO_MANY)
    found, findings = [], []
    try:
        if tuple(reader.fieldnames or ()) != _HEAD:
            return [], [_not_read(1, f"The first line should read: {','.join(_HEAD)}")]
        for row in reader:
            try:
                found.append(_kept(row))
            except (KeyError, TypeError, ValueError, ZeroDivisionError):
                column = _column_of(_wrong_cell(row), text.splitlines()[reader.line_num - 1])
                message = "This line of results cannot be read; it is not counted."
                findings.append(_not_read(reader.line_num, message, column))
    except csv.Error as error:
        findings.append(_not_read(reader.line_num, f"The table cannot be read from here on: {error}."))
    return found, findings


def _kept(row: Mapping[str, str]) -> Kept:
    """Give a line as a score; raises where a cell is missing, too many, or no such number or day."""
    counts = {name: int(row[name]) for name in categories()}
    if _TOO_MANY in row or min(counts.values()) < 0:
        raise ValueError
    score = FigureScore(row["code"], row["side"], row["figure"], row["size"], counts)
    score.right  # noqa: B018 - a line without people has no share
    return Kept(date.fromisoformat(row["day"]), row["seed"], score)


def _wrong_cell(row: Mapping[str, str]) -> int:
    """Give which cell of a line is missing or no such day or number, or the first one too many; the first cell else."""
    for place, name in enumerate(_HEAD):
        value = row.get(name)
        if value is None or (name == "day" and not _is_day(value)):
            return place
        if name in categories() and not (value.isascii() and value.isdigit()):
            return place
    return len(_HEAD) if _TOO_MANY in row else 0


def _is_day(value: str) -> bool:
    try:
        return bool(date.fromisoformat(value))
    except ValueError:
        return False


def _column_of(cell: int, line: str) -> int:
    """Give the column where a cell of a line begins, or the line's end where it has fewer cells."""
    before = line.split(",")[:cell] if '"' not in line else []
    return min(sum(len(one) + 1 for one in before), len(line)) + 1


def _not_read(line: int, message: str, column: int = 1) -> Finding:
    return Finding(
        "error",
        "asked-not-read",
        message,
        "`limberleaf ask count --keep` writes the file. Take it back from your version history.",
        Place(FILE, line, column),
    )


def kept_text(before: Iterable[Kept], day: date, seed: str, scores: Sequence[FigureScore]) -> str:
    """Give the file with a round added; the same round (day and seed) counted again replaces itself."""
    rows = [one for one in before if (one.day, one.seed) != (day, seed)]
    rows += [Kept(day, seed, score) for score in scores]
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(_HEAD)
    for one in rows:
        score = one.score
        counts = [score.counts[name] for name in categories()]
        writer.writerow(
            [one.day.isoformat(), one.seed, score.code, score.side, score.figure, score.size, *counts]
        )
    return out.getvalue()


def latest(kept: Iterable[Kept]) -> Mapping[tuple[str, str], Kept]:
    """Give the newest result of each exercise and size."""
    return {(one.score.code, one.score.size): one for one in sorted(kept, key=lambda one: one.day)}


def changes(scores: Iterable[FigureScore], before: Mapping[tuple[str, str], Kept]) -> Iterator[str]:
    """Say for each figure that was asked before how its share right moved, with the interval of the difference."""
    for score in scores:
        old = before.get((score.code, score.size))
        if old is None:
            continue
        moved, low, high = difference(score.right, old.score.right)
        sure = "" if low <= 0 <= high else " (more than chance)"
        drawn = "" if old.score.figure == score.figure else ", the figure was changed in between"
        yield (
            f"{score.code} {score.size}: {old.score.right.value:.0%} on {old.day} to {score.right.value:.0%} now, "
            f"{moved * 100:+.0f} points, {low * 100:+.0f} to {high * 100:+.0f}{sure}{drawn}"
        )


def result_words(content: Path, exercise: Exercise) -> tuple[str, ...]:
    """Say in lines how people understood an exercise's figure the last time; nothing when nobody was asked.

    What cannot be read is said first: results of this figure may be among it.
    """
    kept, findings = read_kept(content)
    newest = latest(kept)
    lines = [finding.line() for finding in findings]
    for size in ("full", "small"):
        one = newest.get((exercise.code, size))
        if one is None:
            continue
        score, stale = one.score, figure_key(exercise) != one.score.figure
        right = score.right
        harm, name = score.counts["dangerous"], "In full" if size == "full" else "Small and grey"
        lines.append(
            f"{name}: {score.counts['right']} of {score.asked} people saw what is meant ({right.value:.0%}; "
            f"{right.low:.0%} to {right.high:.0%}), {harm} misread it in a way that could harm; asked on "
            f"{one.day.isoformat()}." + (" The figure was changed since." if stale else "")
        )
    return tuple(lines)
