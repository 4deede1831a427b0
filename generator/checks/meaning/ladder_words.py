"""Rules that stand twice, in a ladder and in its exercise, are the same rule: numbers, sides, a no, a direction.

The words may differ; what they state may not. Compared are lines that share most of their words.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator

from limberleaf.checks.meaning.overlap import content_words
from limberleaf.checks.meaning.said_numbers import PARTS, times_said
from limberleaf.checks.texts import texts_of
from limberleaf.checks.together import together
from limberleaf.clinical.dosage.dose_parts import seconds_or_count
from limberleaf.clinical.ladders import whereabouts
from limberleaf.clinical.text_facts import facts_of, poles
from limberleaf.findings import Finding
from limberleaf.library import Exercise, Ladder, Library, Loaded
from limberleaf.store.nodes import each

LEAST_SHARED = 0.6
"""Part of the shorter line's words that both must hold, before they are taken for the same rule."""

AN_HOUR = 3600
"""Seconds from which a time says how long something takes to settle, and not how long to hold."""


def _ladders(library: Library) -> Iterator[Finding]:
    first = library.settings.language
    for _, loaded in each(library.ladders):
        if loaded.entry.status != "retired":
            yield from _of_ladder(library, loaded, first)
            yield from _sent_on(library, loaded, first)


def _of_ladder(library: Library, loaded: Loaded[Ladder], language: str) -> Iterator[Finding]:
    yield from _times(library, loaded, language)
    for index, rung in enumerate(loaded.entry.steps):
        one = library.exercises.get(rung.exercise)
        if one is None:
            continue
        exercise = one.entry
        for key, rules in (
            ("move_on_when", [exercise.harder.when] if exercise.harder else []),
            ("step_back_when", [exercise.easier.when] if exercise.easier else []),
            ("start_here_if", exercise.suits),
        ):
            text = getattr(rung, key)
            for rule in rules if text else ():
                differs = _differs(text, rule, language)
                if differs:
                    yield Finding(
                        "error",
                        "rule-not-the-same",
                        f"“{text}” here, “{rule}” on the page of {rung.exercise}: {differs}.",
                        "It is one rule; correct the one that is wrong.",
                        loaded.source.place(("steps", index, key)),
                    )


_HURTS = re.compile(r"\b(?:hurt|pain|sore|worse|spread|tingl)\w*", re.IGNORECASE)
_BACK = re.compile(r"\b(?:your|a|the|stronger|lower|upper) back\b", re.IGNORECASE)
"""The part of the body, which is no direction."""

_MOVEMENTS = ("forward", "straight", "up", "push")


def _sent_on(library: Library, loaded: Loaded[Ladder], language: str) -> Iterator[Finding]:
    """Report a ladder to which people are sent because of the very movement that it works on."""
    other = loaded.entry.if_you_cannot
    target = library.ladders.get(other.go_to) if other else None
    if other is None or target is None or language != "en":
        return
    reason = other.when.partition(".")[0]
    if not _HURTS.search(reason):
        return
    hurts, works = (poles(_BACK.sub(" ", text), language) for text in (reason, target.entry.title))
    if any(hurts.get(name) and hurts.get(name) == works.get(name) for name in _MOVEMENTS):
        yield Finding(
            "error",
            "sent-to-what-hurts",
            f"“{reason}.” sends people to “{target.entry.title}”, which is that same movement.",
            "Name the movement of this ladder, or send them to another one.",
            loaded.source.place(("if_you_cannot", "when")),
        )


def _times(library: Library, loaded: Loaded[Ladder], language: str) -> Iterator[Finding]:
    """Report times that no exercise of the ladder states, in its dose or in its words."""
    exercises = [
        library.exercises[rung.exercise].entry
        for rung in loaded.entry.steps
        if rung.exercise in library.exercises
    ]
    known = {seconds for one in exercises for seconds in _times_of(one, language)}
    for index, rung in enumerate(loaded.entry.steps):
        for key in ("start_here_if", "move_on_when", "step_back_when", "same_or_less_because"):
            for match, seconds in times_said(getattr(rung, key) or "", language):
                if seconds < AN_HOUR and seconds not in known:
                    yield Finding(
                        "error",
                        "ladder-time-unknown",
                        f"No exercise of this ladder says “{match[0].strip()}”, in its dose or its words.",
                        "Write the time that the exercise has.",
                        loaded.source.place(("steps", index, key), offset=match.start()),
                    )


def _times_of(exercise: Exercise, language: str) -> Iterator[int]:
    for part in PARTS:
        own = seconds_or_count(exercise.dose, part)
        if own:
            yield from (own.low, own.high)
    for _, text in texts_of(exercise):
        yield from (seconds for _, seconds in times_said(text, language))


def _differs(one: str, two: str, language: str) -> str:
    ours, theirs = content_words(one, "rules"), content_words(two, "rules")
    if len(ours & theirs) < max(2, LEAST_SHARED * min(len(ours), len(theirs))):
        return ""
    here, there = facts_of(one, language), facts_of(two, language)
    if Counter(here.numbers) != Counter(there.numbers) and here.numbers and there.numbers:
        return "the numbers are not the same"
    if here.units != there.units and here.units and there.units:
        return "the units are not the same"
    if bool(here.firm_negations) != bool(there.firm_negations):
        return "only one of them says “not”"
    if any(poles(two, language).get(name, end) != end for name, end in poles(one, language).items()):
        return "one says the opposite of the other"
    return ""


def _fallen_out(library: Library) -> Iterator[Finding]:
    """Report exercises in no ladder that an exercise of a ladder leads to, or that lead into one."""
    in_ladder = {code for code, where in whereabouts(library).items() if where.places}
    published = library.published()
    led_from: dict[str, list[str]] = {}
    for code, loaded in published.items():
        for way in _ways(loaded.entry):
            led_from.setdefault(way, []).append(code)
    for code, loaded in published.items():
        if code in in_ladder:
            continue
        near = [*_ways(loaded.entry), *led_from.get(code, [])]
        inside = [other for other in near if other in in_ladder]
        if inside:
            yield Finding(
                "warning",
                "in-no-ladder",
                f"No ladder has “{code}” as a step, though it is a step up or down from {inside[0]}.",
                "Put it into the ladder, or take it out of `easier:` and `harder:`. A step may have been lost.",
                loaded.source.place(("code",)),
            )


def _ways(exercise: Exercise) -> list[str]:
    return [way.exercise for way in (exercise.harder, exercise.easier) if way]


check_ladder_words = together(_ladders, _fallen_out)
"""Report rules of a ladder that the exercise states otherwise, and exercises that fell out of their ladder."""
