"""What a step of a ladder asks, compared with the step before it: dose, load and pose, each by itself.

Components are compared one by one and never added into a score: fewer repeats with a longer hold is `mixed`, which
is no claim about strain. The pose is compared by whoever draws it and is passed in.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any, Literal

from limberleaf.clinical.dosage.dose import one_repetition, totals
from limberleaf.data_files import safe_load
from limberleaf.library.models.exercise import Exercise

Asks = Literal["more", "less", "same", "mixed", "unknown"]
PoseOrder = Callable[[Exercise, Exercise], Asks]
"""Tells what the pose of the second exercise asks, compared with the first."""


@dataclass(frozen=True)
class Comparison:
    """What a later step asks, compared with an earlier one."""

    dose: Asks
    load: Asks
    pose: Asks

    @property
    def needs_reason(self) -> bool:
        """Tell whether nothing asks more and something known asks less, or all is known to be the same."""
        parts = (self.dose, self.load, self.pose)
        if any(part in ("more", "mixed") for part in parts):
            return False
        return "less" in parts or all(part == "same" for part in parts)


def harder_than(earlier: Exercise, later: Exercise, pose_order: PoseOrder | None = None) -> Comparison:
    """Compare what `later` asks with `earlier`; without `pose_order` the pose is unknown."""
    return Comparison(
        dose=_dose(earlier, later),
        load=_load(earlier, later),
        pose=pose_order(earlier, later) if pose_order else "unknown",
    )


def components(exercise: Exercise) -> dict[str, int]:
    """Give what the dose asks at its upper ends: repeats a day on a side and seconds each, or seconds a day."""
    dose, total = exercise.dose, totals(exercise.dose, exercise.sides)
    asked = {"days": dose.days_a_week.high, "time": total.day.high}
    if total.repetitions_a_side:
        asked |= {"repeats": total.repetitions_a_side.high, "each": one_repetition(dose).high}
    return asked


def _dose(earlier: Exercise, later: Exercise) -> Asks:
    before, after = components(earlier), components(later)
    both_counted = "repeats" in before and "repeats" in after
    names = ("days", "repeats", "each") if both_counted else ("days", "time")
    return together(_order(before[name], after[name]) for name in names)


def _order(before: int, after: int) -> Asks:
    return "more" if after > before else "less" if after < before else "same"


def together(parts: Iterable[Asks]) -> Asks:
    """Put components together: any more and any less is mixed."""
    found = set(parts)
    if "mixed" in found or {"more", "less"} <= found:
        return "mixed"
    return "more" if "more" in found else "less" if "less" in found else "same"


@cache
def _demands() -> Mapping[str, Any]:
    text = files(__package__).joinpath("data/demands.yml").read_text("utf-8")
    return dict(safe_load(text))


def _load(earlier: Exercise, later: Exercise) -> Asks:
    demands = _demands()
    before = {tag for tag in earlier.tags if tag in demands["tags"]}
    after = {tag for tag in later.tags if tag in demands["tags"]}
    before |= {need.item for need in earlier.equipment if need.item in demands["equipment"]}
    after |= {need.item for need in later.equipment if need.item in demands["equipment"]}
    kinds: Asks = "same"
    if [earlier.kind, later.kind] in demands["kinds"]:
        kinds = "more"
    elif [later.kind, earlier.kind] in demands["kinds"]:
        kinds = "less"
    return together(("more" if after - before else "same", "less" if before - after else "same", kinds))
