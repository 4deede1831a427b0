"""Usual doses as published or practised, by kind, age group and purpose (data/usual_doses.csv), and plan size.

They are there to make an editor look twice. Outside them is a note, never a block.
"""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any, Literal

from limberleaf.clinical.dosage.dose import repetitions, times_a_day, totals
from limberleaf.data_files import safe_load
from limberleaf.library.models.exercise import Dose, Exercise
from limberleaf.library.models.values import Count, Duration

Amount = Count | Duration


@dataclass(frozen=True)
class Usual:
    """One usual range, both ends in it. `part` names a part of the dose or of its totals."""

    kind: str
    age_group: str
    purpose: str
    part: str
    low: int
    high: int
    unit: str
    scope: str
    status: str
    source: str


@cache
def usual_doses() -> tuple[Usual, ...]:
    """Read the table of usual ranges."""
    text = files("limberleaf.clinical").joinpath("data/usual_doses.csv").read_text("utf-8")
    rows: list[dict[str, Any]] = list(csv.DictReader(text.splitlines()))
    return tuple(Usual(**{**row, "low": int(row["low"]), "high": int(row["high"])}) for row in rows)


def amounts(exercise: Exercise) -> dict[str, Amount]:
    """Give what the dose asks, by the names the table uses; only what the entry says."""
    dose: Dose = exercise.dose
    total = totals(dose, exercise.sides)
    named: dict[str, Amount | None] = {
        "sets": dose.sets,
        "repetitions": repetitions(dose),
        "hold": dose.hold,
        "rest": dose.rest,
        "duration": dose.duration,
        "times_a_day": times_a_day(dose),
        "days_a_week": dose.days_a_week,
        "hold_a_side": total.hold_a_side if dose.repetitions else dose.duration,
    }
    return {part: amount for part, amount in named.items() if amount is not None}


def ranges_for(kind: str, part: str) -> tuple[Usual, ...]:
    """Give the usual ranges of one part of the dose for single exercises of a kind."""
    return tuple(
        row for row in usual_doses() if row.kind == kind and row.part == part and row.scope == "exercise"
    )


def outside(exercise: Exercise) -> dict[str, tuple[Usual, ...]]:
    """Give the parts of the dose that lie outside every usual range of the kind, with those ranges.

    A range of the entry counts as inside when both its ends lie inside some range, not always the same one: 10-20
    spans the general and the endurance range. "As many as feel comfortable" is judged by its ceiling.
    """
    found: dict[str, tuple[Usual, ...]] = {}
    for part, amount in amounts(exercise).items():
        rows = ranges_for(exercise.kind, part)
        ends = (
            {amount.high}
            if part == "repetitions" and not _is_counted(exercise.dose)
            else {amount.low, amount.high}
        )
        if rows and not all(any(row.low <= end <= row.high for row in rows) for end in ends):
            found[part] = rows
    return found


_NAMED: dict[str, str] = {
    "sets": r"\b(?:sets?|rounds?|goes)\b",
    "repetitions": r"\b(?:repeats?|times|few|many|more|fewer|ones)\b",
    "hold": r"\b(?:holds?|held|longer|shorter)\b",
    "rest": r"\brests?\b",
    "duration": r"\b(?:minutes?|short|long|longer|shorter|time)\b",
    "times_a_day": r"\b(?:a day|daily|often|goes|hour)\b",
    "days_a_week": r"\b(?:days?|daily|week)\b",
    "hold_a_side": r"\b(?:holds?|held|short|shorter|seconds?)\b",
}


def excused(exercise: Exercise) -> frozenset[str]:
    """Give the parts of the dose that `dose_reason` names; it excuses these and no others."""
    reason = (exercise.dose_reason or "").lower()
    return frozenset(part for part, words in _NAMED.items() if re.search(words, reason))


def _is_counted(dose: Dose) -> bool:
    return isinstance(dose.repetitions, Count)


def plan_size(exercises: int) -> Literal["fine", "many", "too_many"]:
    """Tell whether a plan of so many exercises is fine, many (more than 4) or too many (more than 6)."""
    limits = safe_load(files("limberleaf.clinical").joinpath("data/plan_size.yml").read_text("utf-8"))
    if exercises >= limits["too_many"]:
        return "too_many"
    return "many" if exercises >= limits["many"] else "fine"
