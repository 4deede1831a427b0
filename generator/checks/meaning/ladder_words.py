"""Rules that stand twice, in a ladder and in its exercise, are the same rule: numbers, sides, a no, a direction.

The words may differ; what they state may not. Compared are lines that share most of their words.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from limberleaf.checks.meaning.overlap import content_words
from limberleaf.clinical.ladders import whereabouts
from limberleaf.clinical.text_facts import facts_of, poles
from limberleaf.findings import Finding
from limberleaf.library import Exercise, Ladder, Library, Loaded

LEAST_SHARED = 0.6
"""Part of the shorter line's words that both must hold, before they are taken for the same rule."""


def check_ladder_words(library: Library) -> Iterator[Finding]:
    """Report rules of a ladder that the exercise states otherwise, and exercises that fell out of their ladder."""
    first = library.settings.language
    for loaded in library.ladders.values():
        if loaded.entry.status != "retired":
            yield from _of_ladder(library, loaded, first)
    yield from _fallen_out(library)


def _of_ladder(library: Library, loaded: Loaded[Ladder], language: str) -> Iterator[Finding]:
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
