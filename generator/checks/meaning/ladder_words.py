"""Rules that stand twice, in a ladder and in its exercise, are the same rule: numbers, sides, a no, a direction.

The words may differ; what they state may not. Compared are lines that share most of their words.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from functools import cache
from typing import Any

from limberleaf.clinical.ladders import Where, whereabouts
from limberleaf.clinical.text_facts import facts_of, poles, words_of
from limberleaf.findings import Finding
from limberleaf.library import Exercise, Ladder, Library, Loaded

LEAST_SHARED = 0.6
"""Part of the shorter line's words that both must hold, before they are taken for the same rule."""

_SMALL = {"your", "with", "that", "this", "then", "when", "than", "more", "have"}


def check_ladder_words(library: Library) -> Iterator[Finding]:
    """Say rules of a ladder that the exercise states otherwise, and exercises that fell out of their ladder."""
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
        for key, others in (
            ("move_on_when", [exercise.harder.when] if exercise.harder else []),
            ("step_back_when", [exercise.easier.when] if exercise.easier else []),
            ("start_here_if", exercise.suits),
        ):
            text = getattr(rung, key)
            for other in others if text else ():
                differs = _differs(text, other, language)
                if differs:
                    yield Finding(
                        "error",
                        "rule-not-the-same",
                        f"“{text}” here, “{other}” on the page of {rung.exercise}: {differs}.",
                        "It is one rule; correct the one that is wrong.",
                        loaded.source.place(("steps", index, key)),
                    )


def _differs(one: str, two: str, language: str) -> str:
    ours, theirs = _content(one), _content(two)
    if len(ours & theirs) < max(2, LEAST_SHARED * min(len(ours), len(theirs))):
        return ""
    mine, other = facts_of(one, language), facts_of(two, language)
    if Counter(mine.numbers) != Counter(other.numbers) and mine.numbers and other.numbers:
        return "the numbers are not the same"
    if mine.units != other.units and mine.units and other.units:
        return "the units are not the same"
    if bool(mine.firm_negations) != bool(other.firm_negations):
        return "one of them says “not”"
    if any(poles(two, language).get(name, end) != end for name, end in poles(one, language).items()):
        return "one says the opposite of the other"
    return ""


@cache
def _content(text: str) -> frozenset[str]:
    bare = re.sub(r"\{[a-z_]+\}", " ", text)
    return frozenset(word[:5] for word in words_of(bare) if len(word) > 3 and word not in _SMALL)


def _fallen_out(library: Library) -> Iterator[Finding]:
    """Say exercises in no ladder that an exercise of a ladder leads to, or that lead into one."""
    where = whereabouts(library)
    published = library.published()
    for code, loaded in published.items():
        if where.get(code, Where()).places:
            continue
        near = [way.exercise for way in (loaded.entry.harder, loaded.entry.easier) if way]
        near += [other for other, one in published.items() if code in _ways(one)]
        inside = [other for other in near if where.get(other, Where()).places]
        if inside:
            yield Finding(
                "warning",
                "in-no-ladder",
                f"No ladder has “{code}” as a step, though it is a step up or down from {inside[0]}.",
                "Put it into the ladder, or take it out of `easier:` and `harder:`. A step may have been lost.",
                loaded.source.place(("code",)),
            )


def _ways(loaded: Loaded[Any]) -> list[str]:
    exercise: Exercise = loaded.entry
    return [way.exercise for way in (exercise.harder, exercise.easier) if way]
