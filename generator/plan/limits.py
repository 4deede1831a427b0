"""What a plan may change in an exercise's dose, and the dose that comes of it."""

from __future__ import annotations

from typing import Any

from limberleaf.clinical.dosage.dose import ONE, rests, times_a_day
from limberleaf.clinical.dosage.usual import ranges_for
from limberleaf.library.models.exercise import AsComfortable, Dose, Exercise, Sides
from limberleaf.library.models.values import Count, Duration
from limberleaf.plan.model import Pick, rules


def own_numbers(dose: Dose) -> dict[str, Count]:
    """Give the numbers of a dose that a plan may change, in seconds for times; absent parts are left out."""
    repetitions = dose.repetitions
    if isinstance(repetitions, AsComfortable):
        repetitions = Count(repetitions.up_to, repetitions.up_to)
    parts: dict[str, Count | Duration | None] = {
        "sets": dose.sets,
        "repetitions": repetitions,
        "hold": dose.hold,
        "rest": dose.rest if rests(dose).high else None,
        "times_a_day": times_a_day(dose),
        "days_a_week": dose.days_a_week,
        "duration": dose.duration,
    }
    return {
        name: Count(part.low, part.high) for name, part in parts.items() if part is not None and part.high
    }


def limits(exercise: Exercise) -> dict[str, Count]:
    """Give the lowest and highest number a plan may set, by part of the dose."""
    lowest = rules()["lowest"]
    return {
        name: Count(
            min(lowest[name], own.low),
            max([own.high, *(usual.high for usual in ranges_for(exercise.kind, name))]),
        )
        for name, own in own_numbers(exercise.dose).items()
    }


def choices(exercise: Exercise) -> dict[str, list[int]]:
    """Give the numbers a clinician can choose from, by part of the dose."""
    own = own_numbers(exercise.dose)
    return {
        name: sorted(
            {n for n in rules()["choices"][name] if bound.low <= n <= bound.high}
            | {own[name].low, own[name].high}
        )
        for name, bound in limits(exercise).items()
    }


def refused(pick: Pick, exercise: Exercise) -> list[str]:
    """Name the changes of a pick that the exercise does not allow."""
    bounds = limits(exercise)
    return [
        name
        for name, number in pick.changes.items()
        if name not in bounds or not bounds[name].low <= number <= bounds[name].high
    ]


def dose_of(pick: Pick, exercise: Exercise) -> Dose:
    """Give the dose of a pick: the exercise's, with the changes it allows."""
    left_out = refused(pick, exercise)
    changes = {name: number for name, number in pick.changes.items() if name not in left_out}
    update: dict[str, Any] = {}
    for name, number in changes.items():
        update[name] = (
            Duration(number, number) if name in ("hold", "rest", "duration") else Count(number, number)
        )
    if isinstance(exercise.dose.repetitions, AsComfortable) and "repetitions" in changes:
        update["repetitions"] = AsComfortable(as_many_as_comfortable=True, up_to=changes["repetitions"])
    if "times_a_day" in changes:
        update["every"] = None
    if exercise.dose.sets and exercise.dose.sets.high > 1 and update.get("sets") == ONE:
        update["rest"] = (
            None  # a rest between sets goes with them; it never turns into a rest between repeats
        )
    return exercise.dose.model_copy(update=update)


def sides_of(pick: Pick, exercise: Exercise) -> Sides:
    """Give whether both sides have a turn: the exercise's own way, or the plan's."""
    return "each" if exercise.sides == "one" and pick.side == "turn" else exercise.sides
