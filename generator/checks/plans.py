"""The clinic's notes and ready sets: all they name is there and allowed, and a patient can read each note."""

from __future__ import annotations

from collections.abc import Iterator

from limberleaf.clinical.dosage.usual import plan_size
from limberleaf.findings import Finding, Severity, did_you_mean
from limberleaf.library import Library, Source
from limberleaf.library.models.plans import ReadySet, SetExercise
from limberleaf.library.models.values import ANY_LANGUAGE, Duration, LocalText
from limberleaf.library.yaml.source import Loc
from limberleaf.plan.limits import limits
from limberleaf.plan.model import rules
from limberleaf.plan.order import suggested, travel
from limberleaf.plan.ready import set_pick


def check_plans(library: Library) -> Iterator[Finding]:
    """Look at every note and every set of plans.yml."""
    if library.plans is None:
        return
    plans, source = library.plans.entry, library.plans.source
    for name, text in plans.notes.items():
        yield from _every_language(library, text, source, ("notes", name), "error")
    for name, ready in plans.sets.items():
        here: Loc = ("sets", name)
        yield from _every_language(library, ready.title, source, (*here, "title"), "warning")
        if not ready.retired_because:
            yield from _set(library, ready, source, here)


def _every_language(
    library: Library, text: LocalText, source: Source, loc: Loc, severity: Severity
) -> Iterator[Finding]:
    several = len(library.settings.languages) > 1
    for language in library.settings.languages:
        if several and (language not in text or ANY_LANGUAGE in text):
            yield Finding(
                severity,
                "plan-text-not-translated",
                f"This text has no words in “{language}”, and a plan can be read in it.",
                f"Give it by language: {{{library.settings.language}: ..., {language}: ...}}.",
                source.place(loc),
            )


def _set(library: Library, ready: ReadySet, source: Source, here: Loc) -> Iterator[Finding]:
    if ready.collection and ready.collection not in library.collections:
        known = list(library.collections)
        yield _unknown(
            "collection", ready.collection, known, source, (*here, "collection"), "unknown-collection"
        )
    notes = list(library.plans.entry.notes) if library.plans else []
    for at, name in enumerate(ready.note_names):
        if name not in notes:
            yield _unknown("note", name, notes, source, (*here, "note_names", at), "unknown-note")
    if len(ready.note_names) > rules()["most_notes"]:
        yield Finding(
            "error",
            "too-many-notes",
            f"A plan holds no more than {rules()['most_notes']} notes; this set has {len(ready.note_names)}.",
            "Take some out.",
            source.place((*here, "note_names")),
        )
    seen: set[str] = set()
    for at, one in enumerate(ready.exercises):
        loc = (*here, "exercises", at)
        if one.exercise in seen:
            yield Finding(
                "error",
                "twice-in-set",
                f"The set has {one.exercise} twice.",
                "Take one of the two out.",
                source.place((*loc, "exercise")),
            )
        seen.add(one.exercise)
        yield from _exercise(library, one, source, loc)
    yield from _order(library, ready, source, (*here, "exercises"))
    if plan_size(len(ready.exercises)) == "too_many":
        yield Finding(
            "warning",
            "set-too-long",
            f"This set has {len(ready.exercises)} exercises; most people will not do them all.",
            "Leave out what can wait. The plan page says the same, with its source.",
            source.place((*here, "exercises")),
        )


def _order(library: Library, ready: ReadySet, source: Source, loc: Loc) -> Iterator[Finding]:
    """Find a set in an order in which the plan page asks to change what the clinic itself made ready."""
    codes = [one.exercise for one in ready.exercises if one.exercise in library.exercises]
    positions = [library.exercises[code].entry.position for code in codes]
    better = suggested(positions)
    if travel([positions[at] for at in better]) < travel(positions):
        yield Finding(
            "warning",
            "set-order",
            "In this order the patient gets up and down more than needed; the plan page says so of each plan.",
            f"Put them in this order: {', '.join(codes[at] for at in better)}.",
            source.place(loc),
        )


def _unknown(what: str, name: str, known: list[str], source: Source, loc: Loc, code: str) -> Finding:
    return Finding(
        "error", code, f"There is no {what} “{name}”.", did_you_mean(name, known), source.place(loc)
    )


def _exercise(library: Library, one: SetExercise, source: Source, loc: Loc) -> Iterator[Finding]:
    loaded = library.exercises.get(one.exercise)
    if loaded is None:
        known = list(library.exercises)
        yield _unknown("exercise", one.exercise, known, source, (*loc, "exercise"), "unknown-exercise")
        return
    if not loaded.entry.is_published:
        yield Finding(
            "error",
            "not-published",
            f"The exercise “{one.exercise}” is not approved, so its page does not go out.",
            "Get it approved, or name another.",
            source.place((*loc, "exercise")),
        )
        return
    if one.one_side_then_the_other and loaded.entry.sides != "one":
        yield Finding(
            "error",
            "no-side-to-choose",
            f"{one.exercise} is not for one side, so a set cannot choose one side, then the other.",
            "Take this line out.",
            source.place((*loc, "one_side_then_the_other")),
        )
    allowed = limits(loaded.entry)
    for name, number in set_pick(one).changes.items():
        value = getattr(one, name)
        bound = allowed.get(name)
        if isinstance(value, Duration) and value.is_range:
            message = f"A set gives one time for {name.replace('_', ' ')}, and this is a range."
        elif bound is None:
            message = f"{one.exercise} has no {name.replace('_', ' ')} that a plan could change."
        elif not bound.low <= number <= bound.high:
            message = f"{one.exercise} takes {bound.low} to {bound.high} for {name.replace('_', ' ')}, not {number}."
        else:
            continue
        yield Finding(
            "error",
            "set-dose-not-allowed",
            message,
            "A plan lowers a number, or raises it within the usual range of its kind. Times count in seconds.",
            source.place((*loc, name)),
        )
