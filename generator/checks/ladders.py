"""Ladders: a way up, a way back and a way out at every step, measurable rules, and steps that ask more.

The graph is made of the ladders' order and of what exercises name as easier and harder. Both are read by patients,
so they may not contradict each other.
"""

from __future__ import annotations

from collections.abc import Iterator

from limberleaf.clinical.demand import Comparison, PoseOrder, harder_than
from limberleaf.clinical.ladders import (
    LadderPlace,
    Where,
    alternatives,
    cycles,
    measured_by,
    names_alternative,
    progressions,
    whereabouts,
)
from limberleaf.findings import Finding, Place
from limberleaf.library import Exercise, Ladder, Library, Loaded
from limberleaf.store.nodes import each


def check_ladders(library: Library, pose_order: PoseOrder | None = None) -> Iterator[Finding]:
    """Say dead ends, cycles, contradicting ways, rules nobody can measure and steps that ask less.

    Without `pose_order` the poses of steps are not compared.
    """
    yield from check_rungs(library, pose_order)
    yield from check_ways(library)


def check_rungs(library: Library, pose_order: PoseOrder | None = None) -> Iterator[Finding]:
    """Look at each ladder with the exercises of its steps."""
    english = library.settings.language == "en"
    for _, loaded in each(library.ladders):
        if loaded.entry.status == "retired":
            continue
        yield from _rules(loaded, english)
        yield from _order(loaded)
        yield from _demand(library, loaded, pose_order)


def check_ways(library: Library) -> Iterator[Finding]:
    """Say cycles, and ways of exercises that contradict their ladders or lead nowhere."""
    english = library.settings.language == "en"
    yield from _cycles(library)
    where = whereabouts(library)
    for code, one in library.published().items():
        yield from _ways(one, where.get(code, Where()).places)
        if not where.get(code, Where()).collections:
            yield _not_found(one)
        if english:
            yield from _measurable(one)
    yield from _ladders_found(library)


def _rules(loaded: Loaded[Ladder], english: bool) -> Iterator[Finding]:
    ladder, source = loaded.entry, loaded.source
    last = len(ladder.steps) - 1
    for index, rung in enumerate(ladder.steps):
        here = ("steps", index)
        if rung.move_on_when is None and index < last:
            yield Finding(
                "error",
                "no-move-on-rule",
                "Nothing says when to move on from this step, so the steps above cannot be reached.",
                "Add `move_on_when:` with a number or a named feeling.",
                source.place(here),
            )
        elif rung.move_on_when and index == last:
            yield Finding(
                "warning",
                "move-on-from-last",
                "This is the last step; there is nothing to move on to.",
                "Leave `move_on_when:` out, or add the next step.",
                source.place((*here, "move_on_when"), key=True),
            )
        elif rung.move_on_when and english and not measured_by(rung.move_on_when):
            yield _not_measurable(source.place((*here, "move_on_when")))
    if english and not ladder.if_you_cannot and not names_alternative(ladder.steps[0].step_back_when):
        yield Finding(
            "error",
            "bottom-dead-end",
            "The lowest step has no way out: it neither says to call nor leads to another ladder.",
            "End the rule with “stop and call us”, or add `if_you_cannot:`.",
            source.place(("steps", 0, "step_back_when")),
        )


def _not_measurable(place: Place) -> Finding:
    return Finding(
        "warning",
        "not-measurable",
        "This rule holds no number, no named feeling and no landmark, so a patient has to guess.",
        "Write what can be counted or felt: “You can do 3 sets of 12 on 2 days in a row.”",
        place,
    )


def _order(loaded: Loaded[Ladder]) -> Iterator[Finding]:
    codes = [rung.exercise for rung in loaded.entry.steps]
    for index, rung in enumerate(loaded.entry.steps):
        if rung.exercise in codes[:index]:
            yield Finding(
                "error",
                "step-twice",
                f"“{rung.exercise}” is a step of this ladder already.",
                "A ladder climbs each exercise once. Make a new exercise for another dose.",
                loaded.source.place(("steps", index, "exercise")),
            )
        for at, code in enumerate(rung.replaces):
            if code == rung.exercise or code in codes[index + 1 :]:
                yield Finding(
                    "error",
                    "replaces-later-step",
                    f"This step cannot replace “{code}”, which is not done before it.",
                    "Name exercises of earlier steps.",
                    loaded.source.place(("steps", index, "replaces", at)),
                )


def _demand(library: Library, loaded: Loaded[Ladder], pose_order: PoseOrder | None) -> Iterator[Finding]:
    steps = loaded.entry.steps
    for index in range(1, len(steps)):
        pair = [library.exercises.get(steps[at].exercise) for at in (index - 1, index)]
        if None in pair or steps[index].same_or_less_because:
            continue
        earlier, later = (one.entry for one in pair if one)
        compared = harder_than(earlier, later, pose_order)
        if compared.needs_reason:
            yield Finding(
                "note" if compared.pose == "unknown" else "warning",
                "step-asks-less",
                f"“{later.code}” asks no more than “{earlier.code}” before it ({_parts(compared)}).",
                "Change the dose or the order, or say why in `same_or_less_because:`.",
                loaded.source.place(("steps", index)),
            )


def _parts(compared: Comparison) -> str:
    parts = {"dose": compared.dose, "load": compared.load, "pose": compared.pose}
    return ", ".join(f"{name} {asks}" for name, asks in parts.items() if asks != "unknown")


def _cycles(library: Library) -> Iterator[Finding]:
    for circle in cycles(progressions(library)):
        loaded = library.exercises[circle[0]]
        key = "harder" if loaded.entry.harder else "easier"
        yield Finding(
            "error",
            "progression-cycle",
            f"Harder leads round in a circle: {' → '.join((*circle, circle[0]))}.",
            "Look at `harder:`, `easier:` and the order of the ladders; one of them points the wrong way.",
            loaded.source.place((key, "exercise")),
        )
    for circle in cycles(alternatives(library)):
        ladders = [library.ladders[ident].entry for ident in circle]
        if any(names_alternative(ladder.steps[0].step_back_when) for ladder in ladders):
            continue
        yield Finding(
            "warning",
            "ladders-in-a-circle",
            f"Who can do none of these is sent round in a circle: {' → '.join((*circle, circle[0]))}.",
            "Let the lowest step of one of them end with “stop and call us”.",
            library.ladders[circle[0]].source.place(("if_you_cannot", "go_to")),
        )


def _ways(loaded: Loaded[Exercise], found: tuple[LadderPlace, ...]) -> Iterator[Finding]:
    exercise, source = loaded.entry, loaded.source
    if not exercise.easier and not exercise.instead and not any(place.index == 0 for place in found):
        yield Finding(
            "error",
            "no-way-back",
            "Nothing says what to do when this is too hard.",
            "Add `easier:` with its rule. Only the bottom of a ladder may do without.",
            source.place(),
        )
    above = {place.after for place in found if place.after}
    below = {place.before for place in found if place.before}
    if above and not exercise.harder:
        yield Finding(
            "warning",
            "no-way-up",
            f"Its ladder goes on with “{sorted(above)[0]}”, but the exercise names nothing harder.",
            "Add `harder:` with the same rule as in the ladder.",
            source.place(),
        )
    for name, way, ladder_says in (
        ("harder", exercise.harder, above),
        ("easier", exercise.easier, below),
    ):
        if way and ladder_says and way.exercise not in ladder_says:
            yield Finding(
                "warning",
                "way-differs-from-ladder",
                f"`{name}` leads to “{way.exercise}”, the ladder to “{sorted(ladder_says)[0]}”.",
                "The patient meets both; let them agree.",
                source.place((name, "exercise")),
            )
    for place in found:
        rule = place.ladder.steps[place.index].move_on_when
        way = exercise.harder
        if way and rule and way.exercise == place.after and way.when != rule:
            yield Finding(
                "note",
                "rule-differs-from-ladder",
                f"The ladder “{place.ladder.id}” says it with other words: {rule}",
                "Use the same words in both, so that there is one rule.",
                source.place(("harder", "when")),
            )


def _measurable(loaded: Loaded[Exercise]) -> Iterator[Finding]:
    harder = loaded.entry.harder
    if harder and not measured_by(harder.when):
        yield _not_measurable(loaded.source.place(("harder", "when")))


def _not_found(loaded: Loaded[Exercise]) -> Finding:
    return Finding(
        "warning",
        "not-in-a-collection",
        "No collection leads here, by itself or through a ladder; only the finder does.",
        "Name it in a collection or put it in a ladder.",
        loaded.source.place(("code",)),
    )


def _ladders_found(library: Library) -> Iterator[Finding]:
    named = {
        ident for one in library.collections.values() if one.entry.is_published for ident in one.entry.ladders
    }
    for ident, loaded in library.ladders.items():
        if loaded.entry.is_published and ident not in named:
            yield Finding(
                "warning",
                "ladder-not-in-a-collection",
                "No collection leads to this ladder.",
                "Name it under `ladders:` of a collection.",
                loaded.source.place(("id",)),
            )
