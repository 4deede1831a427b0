"""Doses that are slips and not choices, and gates that no dose can reach.

A dose outside the usual range is the clinician's choice and gets a note (checks/numbers/ranges.py). What is here nobody
means: no repeats, no rest in heavy work, ten sessions of strength a day.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator
from functools import cache
from importlib.resources import files
from typing import Any

from limberleaf.checks.each import each_exercise
from limberleaf.clinical.dosage.dose import repetitions, totals
from limberleaf.clinical.dosage.usual import Amount, amounts, excused
from limberleaf.findings import Finding
from limberleaf.library import Exercise, Library, Loaded
from limberleaf.store.nodes import each

SHORT_REST = 20
"""Seconds between sets of strength work under which there is no rest (ACSM: 2-3 min; the floor is common practice)."""

_SETS_OF = re.compile(r"\b(?P<sets>\d+) sets? of (?P<reps>\d+)\b")
_SETS = re.compile(r"\b(?P<sets>\d+) sets?\b(?! of)")
_TIMES = re.compile(r"\b(?P<reps>\d+) times\b(?! a (?:day|week))")
_DAYS_RUNNING = re.compile(r"\b(?:\d+|two|three) days in a row\b", re.IGNORECASE)
_GOOD = re.compile(r"^(?:you can|it is easy|you are able)\b(?! not|not)", re.IGNORECASE)
_BAD = re.compile(
    r"\b(?:cannot|hurts? (?:more|too)|too (?:sore|hard|much|weak)|gives? way|gets? worse|stop and call"
    r"|you have to|goes above)\b",
    re.IGNORECASE,
)


@cache
def _limits(kind: str) -> dict[str, tuple[int, int, str]]:
    text = files("limberleaf.clinical").joinpath("data/impossible_doses.csv").read_text("utf-8")
    found: dict[str, tuple[int, int, str]] = {}
    for row in csv.DictReader(text.splitlines()):
        if row["kind"] in ("any", kind):
            found[row["part"]] = (int(row["low"]), int(row["high"]), row["source"])
    return found


def check_impossible(library: Library) -> Iterator[Finding]:
    """Say doses that nobody means and gates that cannot be reached or point the wrong way."""
    yield from each_exercise(library, _of_exercise, library.settings.language)
    if library.settings.language == "en":
        yield from _ladders(library)


def _of_exercise(loaded: Loaded[Exercise], language: str) -> Iterator[Finding]:
    yield from _limited(loaded)
    yield from _rest(loaded)
    if language == "en":
        exercise = loaded.entry
        on, back = exercise.harder, exercise.easier
        if on:
            yield from _gate(loaded, exercise, on.when, ("harder", "when"))
        if back and _GOOD.search(back.when):
            yield _wrong_way(loaded, ("easier", "when"), back.when, "back")
        if on and _BAD.search(on.when):
            yield _wrong_way(loaded, ("harder", "when"), on.when, "on")
        if on and back and on.when == back.when:
            yield _same_rule(loaded, ("easier", "when"))


def _limited(loaded: Loaded[Exercise]) -> Iterator[Finding]:
    exercise, dose = loaded.entry, loaded.entry.dose
    limits = _limits(exercise.kind)
    given: list[tuple[str, Amount, tuple[str, ...]]] = [
        (part, amount, ("dose", part))
        for part, amount in amounts(exercise).items()
        if part in limits and getattr(dose, part, None) is not None
    ]
    if dose.tempo:
        for name in ("out", "pause", "back"):
            time = getattr(dose.tempo, name)
            if time is not None and not (name == "pause" and not time.high):
                given.append(("tempo", time, ("dose", "tempo", name)))
    given.append(("day", totals(dose, exercise.sides).day, ("dose",)))
    for part, amount, loc in given:
        low, high, source = limits[part]
        if amount.low < low or amount.high > high:
            called = "time in a day" if part == "day" else ".".join(loc[1:]).replace("_", " ")
            yield Finding(
                "error",
                "dose-impossible",
                f"{called.capitalize()}: {_shown(amount)} cannot be meant for {exercise.kind.replace('_', ' ')}; "
                f"it lies between {low} and {high}.",
                f"Correct the dose. Source: {source}.",
                loaded.source.place(loc),
            )


def _shown(amount: Amount) -> str:
    return str(amount.low) if amount.low == amount.high else f"{amount.low}-{amount.high}"


def _rest(loaded: Loaded[Exercise]) -> Iterator[Finding]:
    exercise, dose = loaded.entry, loaded.entry.dose
    if exercise.kind != "strength":
        return
    several = dose.sets is not None and dose.sets.high > 1
    if several and (dose.rest is None or dose.rest.high < SHORT_REST):
        yield Finding(
            "error",
            "no-rest-between-sets",
            "Strength work in sets, but no rest between them.",
            "Write `rest:`; usual are 2-3 min (ACSM position stand, read in a secondary text).",
            loaded.source.place(("dose",)),
        )
    if dose.days_a_week.low == 7 and "days_a_week" not in excused(exercise):
        yield Finding(
            "warning",
            "strength-every-day",
            "Strength work on every day leaves the muscles no day to recover (ACSM: 48 hours or more).",
            "Write 2-3 days, or say in `dose_reason:` why daily.",
            loaded.source.place(("dose", "days_a_week")),
        )


# --- gates -----------------------------------------------------------------------------------------------------


def _gate(
    loaded: Loaded[Any], exercise: Exercise, text: str, loc: tuple[str | int, ...]
) -> Iterator[Finding]:
    dose = exercise.dose
    count, sets = repetitions(dose), dose.sets
    for match in (*_SETS_OF.finditer(text), *_SETS.finditer(text), *_TIMES.finditer(text)):
        numbers = match.groupdict()
        over_sets = numbers.get("sets") and int(numbers["sets"]) > (sets.high if sets else 1)
        over_reps = count is not None and int(numbers.get("reps") or 0) > count.high * (
            1 if numbers.get("sets") else (sets.high if sets else 1)
        )
        if over_sets or over_reps:
            yield Finding(
                "error",
                "gate-above-dose",
                f"“{match[0]}” is more than the dose asks, so nobody who does what the page says gets there.",
                "Ask for no more than the dose, or raise the dose.",
                loaded.source.place(loc, offset=match.start()),
            )
    running = _DAYS_RUNNING.search(text)
    if running and dose.days_a_week.high < 5:
        yield Finding(
            "error",
            "gate-against-days",
            f"“{running[0]}” asks for days without a pause, the dose for {_shown(dose.days_a_week)} days a week.",
            "Write “on 2 training days in a row”.",
            loaded.source.place(loc, offset=running.start()),
        )


def _wrong_way(loaded: Loaded[Any], loc: tuple[str | int, ...], text: str, way: str) -> Finding:
    says = (
        "tells a person who does well to go back"
        if way == "back"
        else "tells a person who struggles to move on"
    )
    return Finding(
        "error",
        "gates-swapped",
        f"This rule {says}: “{text}”",
        "The rule to move on names what goes well, the rule to step back what does not.",
        loaded.source.place(loc),
    )


def _same_rule(loaded: Loaded[Any], loc: tuple[str | int, ...]) -> Finding:
    return Finding(
        "error",
        "gates-alike",
        "The same rule tells to move on and to step back.",
        "Write what goes well in the one and what does not in the other.",
        loaded.source.place(loc),
    )


def _ladders(library: Library) -> Iterator[Finding]:
    for _, loaded in each(library.ladders):
        if loaded.entry.status == "retired":
            continue
        for index, rung in enumerate(loaded.entry.steps):
            one = library.exercises.get(rung.exercise)
            here: tuple[str | int, ...] = ("steps", index)
            if rung.move_on_when:
                if one:
                    yield from _gate(loaded, one.entry, rung.move_on_when, (*here, "move_on_when"))
                if _BAD.search(rung.move_on_when):
                    yield _wrong_way(loaded, (*here, "move_on_when"), rung.move_on_when, "on")
                if rung.move_on_when == rung.step_back_when:
                    yield _same_rule(loaded, (*here, "step_back_when"))
            if _GOOD.search(rung.step_back_when):
                yield _wrong_way(loaded, (*here, "step_back_when"), rung.step_back_when, "back")
