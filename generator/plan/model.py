"""What a plan holds: codes, sides, numbers. Nothing in it can name a person."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from functools import cache
from typing import Any, Literal

from limberleaf.data_files import data_of

PickSide = Literal["left", "right", "turn", "none"]
"""`turn`: one side, then the other. `none`: no side was chosen, or the exercise has none."""

FIELDS: Mapping[str, str] = {
    "s": "sets",
    "r": "repetitions",
    "h": "hold",
    "p": "rest",
    "t": "times_a_day",
    "d": "days_a_week",
    "u": "duration",
}
"""The numbers of a dose a plan may change, by their letter in a link; times in seconds."""


@cache
def rules() -> Mapping[str, Any]:
    """Read what a plan may hold (data/limits.yml)."""
    return dict(data_of(__package__, "limits.yml"))


@dataclass(frozen=True)
class Pick:
    """One exercise of a plan: which side, which version of the entry it was picked from, changed numbers.

    `changes` holds a number by the name of a part of the dose (`repetitions`: 10). `star`: do this one if you only
    do one.
    """

    code: str
    side: PickSide = "none"
    version: int = 1
    changes: Mapping[str, int] = field(default_factory=dict)
    star: bool = False


@dataclass(frozen=True)
class Plan:
    """Exercises in the order they are done, for how many weeks, and codes the patient should no longer do.

    `days`: days of the week (1 Monday ... 7 Sunday) for what is not done every day; none: the patient chooses.
    `review`: the day when patient and clinician look at the plan again. `notes`: names of the clinic's own notes
    (`note-04`), never a text.
    """

    picks: tuple[Pick, ...]
    weeks: int = 6
    stop: tuple[str, ...] = ()
    days: tuple[int, ...] = ()
    review: date | None = None
    notes: tuple[str, ...] = ()
