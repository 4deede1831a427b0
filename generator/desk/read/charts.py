"""Small charts as plain numbers for the templates to draw: columns by band, and a band over an entry's versions.

Drawn with presentation attributes only, so that no style of the page is needed and the content policy holds.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

WIDTH = 400
LEFT, BASE, TOP = 4, 128, 30
LOWEST, HIGHEST = 4, 10
"""Grades with a column of their own; what is lower or higher is gathered at the ends."""


@dataclass(frozen=True)
class Column:
    """One column of the distribution: its grade and age, how many pages, where it is drawn."""

    label: str
    age: str
    count: int
    x: float
    width: float
    y: float
    height: float
    above: bool
    graded: bool


@dataclass(frozen=True)
class Distribution:
    """Pages by the upper end of their band; `target_x` is where the clinic's target ends."""

    columns: tuple[Column, ...]
    target: int
    target_x: float
    description: str


def distribution(tops: Sequence[int | None], target: int) -> Distribution:
    """Count pages by the upper end of their grade band; None: no band."""
    grades: list[int | None] = [*range(LOWEST, HIGHEST + 1), None]
    counts = dict.fromkeys(grades, 0)
    for top in tops:
        counts[None if top is None else min(max(top, LOWEST), HIGHEST)] += 1
    step = (WIDTH - 2 * LEFT) / len(grades)
    most = max(1, *counts.values())
    columns = []
    for index, grade in enumerate(grades):
        tall = (BASE - TOP) * counts[grade] / most
        columns.append(
            Column(
                label=_grade(grade),
                age=_age(grade),
                count=counts[grade],
                x=round(LEFT + index * step + step * 0.12, 1),
                width=round(step * 0.76, 1),
                y=round(BASE - tall, 1),
                height=round(tall, 1),
                above=grade is not None and grade > target,
                graded=grade is not None,
            )
        )
    columns_in_words = "; ".join(f"grade {column.label}, {column.age}: {column.count}" for column in columns)
    line = LEFT + (min(max(target, LOWEST - 1), HIGHEST) - LOWEST + 1) * step
    return Distribution(
        tuple(columns),
        target,
        round(line, 1),
        f"Pages by the upper end of their grade band. {columns_in_words}.",
    )


def _grade(grade: int | None) -> str:
    if grade is None:
        return "–"
    if grade == LOWEST:
        return f"≤ {LOWEST}"
    return f"{grade}+" if grade == HIGHEST else f"{grade}"


def _age(grade: int | None) -> str:
    if grade is None:
        return "no band"
    return f"age {grade + 5}" + ("+" if grade == HIGHEST else "")


@dataclass(frozen=True)
class Point:
    """One version of an entry: its band as a bar (None: too short to grade), its day, whether it was approved."""

    x: float
    y: float | None
    height: float
    label: str
    approved: bool
    description: str


@dataclass(frozen=True)
class Track:
    """The band over versions, the oldest on the left; `lines` are grades with their height."""

    points: tuple[Point, ...]
    lines: tuple[tuple[int, float], ...]
    target_y: float
    width: int
    description: str


def track(versions: Sequence[tuple[tuple[int, int] | None, date | None, bool, str]], target: int) -> Track:
    """Draw the bands of versions given oldest first: (grade band, day, approved, told)."""
    top = max([target + 2, *(band[1] for band, *_ in versions if band)])
    scale = (BASE - TOP) / (top - LOWEST + 1)

    def height(grade: float) -> float:
        return round(BASE - (grade - LOWEST + 1) * scale, 1)

    step = 64
    points = []
    for index, (band, day, approved, description) in enumerate(versions):
        x = LEFT + 48 + index * step
        label = f"{day:%d %b %y}".lstrip("0") if day else "now"
        if band is None:
            points.append(Point(x, None, 0, label, approved, description))
        else:
            low = max(band[0], LOWEST - 1)
            points.append(
                Point(
                    x, height(band[1]), round(height(low) - height(band[1]), 1), label, approved, description
                )
            )
    width = LEFT + 48 + max(1, len(versions)) * step
    described = "; ".join(f"{point.label}: {point.description}" for point in points)
    lines = tuple((grade, height(grade)) for grade in range(LOWEST, top + 1, 2))
    return Track(tuple(points), lines, height(target), width, f"Reading band by version. {described}.")
