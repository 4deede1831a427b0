"""Plans the library begins for a clinician: the clinic's ready sets, and a whole step of a ladder."""

from __future__ import annotations

from collections.abc import Container

from limberleaf.clinical.ladders import kept_beside
from limberleaf.library import Ladder, Library
from limberleaf.library.models.plans import ReadySet, SetExercise
from limberleaf.library.models.values import Duration
from limberleaf.plan.model import FIELDS, Pick, PickSide, Plan, rules
from limberleaf.plan.resolve import make


def ready_sets(library: Library) -> dict[str, ReadySet]:
    """Give the clinic's sets that are in use, by name."""
    sets = library.plans.entry.sets if library.plans else {}
    return {name: ready for name, ready in sets.items() if not ready.retired_because}


def set_plan(library: Library, ready: ReadySet, side: PickSide = "none") -> Plan:
    """Give a set as a plan; `side` is for the exercises done on one side."""
    picks = [set_pick(one, _side_of(library, one.exercise, side)) for one in ready.exercises]
    plan = make(library, picks, ready.weeks, ordered=False)
    return Plan(plan.picks, plan.weeks, plan.stop, notes=tuple(ready.note_names))


def set_pick(one: SetExercise, side: PickSide = "none") -> Pick:
    """Give one exercise of a set as a pick, its own numbers as changes."""
    changes = {}
    for name in FIELDS.values():
        value: int | Duration | None = getattr(one, name)
        if value is not None:
            changes[name] = value.high if isinstance(value, Duration) else value
    return Pick(one.exercise, "turn" if one.one_side_then_the_other else side, changes=changes)


def step_plan(library: Library, ladder: Ladder, index: int, shown: Container[str]) -> Plan:
    """Give a step of a ladder as a plan: its exercise, what goes on beside it, and what it replaces to stop."""
    codes = [ladder.steps[index].exercise, *kept_beside(ladder, index)]
    return make(
        library, [Pick(code) for code in codes if code in shown], rules()["weeks"]["usual"], ordered=False
    )


def _side_of(library: Library, code: str, side: PickSide) -> PickSide:
    loaded = library.exercises.get(code)
    return side if loaded and loaded.entry.sides == "one" else "none"
