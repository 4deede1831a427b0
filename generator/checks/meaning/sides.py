"""Sides: no left where the page says right, in words or drawing, and no reader left to guess.

An entry is written once and shown for the left and for the right, so a literal side in it is wrong on one of the
two pages. Exercises that use both sides may name both, as in turning the head left and right.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any, cast

from limberleaf.checks.each import each_exercise
from limberleaf.checks.texts import texts_of
from limberleaf.clinical.sides import (
    OPPOSITE,
    blanks_precede,
    lies_down,
    needs_sides,
    role_named,
    side_down,
    sides_named,
)
from limberleaf.findings import Finding, Place
from limberleaf.library import Exercise, Library, Loaded, Source, Translation
from limberleaf.library.translate import translated
from limberleaf.library.yaml.source import Loc
from limberleaf.store.nodes import each

BLANK_ALONE = re.compile(r"\{(?:affected|other)\}(?! ?\w)")
DOING = ("setup", "steps")


def check_sides(library: Library) -> Iterator[Finding]:
    """Say literal sides, sides that are not said, and working and base sides that disagree."""
    first = library.settings.language
    yield from each_exercise(library, _of_exercise, first)
    for (code, language), translation in each(library.translations):
        if code in library.exercises:
            original = library.exercises[code].entry
            yield from _in_words(original, translation.entry, translation.source, language)
            yield from _same_blanks(original, translation)
    for entries in (library.ladders, library.collections, library.cautions):
        for _, group in each(cast("Mapping[str, Loaded[Any]]", entries)):
            for loc, text in texts_of(group.entry):
                for named in sides_named(text, first):
                    yield _literal(group.source.place(loc, offset=named.start), named.word)


def _of_exercise(loaded: Loaded[Exercise], language: str) -> Iterator[Finding]:
    yield from _in_words(loaded.entry, loaded.entry, loaded.source, language)
    yield from _named_in_words(loaded)
    yield from _working_and_base(loaded, language)


def _in_words(
    exercise: Exercise, words: Exercise | Translation, source: Source, language: str
) -> Iterator[Finding]:
    places: dict[str, Finding] = {}
    for loc, text in texts_of(words):
        written: Loc = ("figure", *loc[2:]) if "captions" in loc else loc
        for named in sides_named(text, language):
            finding = _literal(source.place(written, offset=named.start), named.word)
            if exercise.sides == "one":
                yield finding
            else:
                places.setdefault(named.side, finding)
        if blanks_precede(language):
            for match in BLANK_ALONE.finditer(text):
                yield Finding(
                    "warning",
                    "side-word-alone",
                    f"{match[0]} has no word beside it; it becomes “sore”, “left” or “right” and needs its word.",
                    "Write the body part after it: your {affected} leg.",
                    source.place(written, offset=match.start()),
                )
    if len(places) == 1:
        side, finding = next(iter(places.items()))
        yield Finding(
            "warning",
            "one-side-only",
            f"The words name the {side} and never the other side, though both sides have their turn.",
            "Name both, or neither.",
            finding.place,
        )


def _literal(place: Place, word: str) -> Finding:
    return Finding(
        "error",
        "literal-side",
        f"“{word}” is wrong on the page for the other side.",
        "Write {affected} or {other}: your {affected} leg. The pages put in the side.",
        place,
    )


def _named_in_words(loaded: Loaded[Exercise]) -> Iterator[Finding]:
    exercise = loaded.entry
    doing = [text for key in DOING for text in getattr(exercise, key)]
    says = [text for text in doing if "{affected}" in text or "{other}" in text]
    if exercise.sides == "one" and not says:
        yield Finding(
            "warning",
            "side-not-said",
            "Setup and steps never say which side, so the left and the right page read the same.",
            "Use {affected} and {other}, or write `sides: both` or `sides: each`.",
            loaded.source.place(("steps",), key=True),
        )
    captions = [pose.caption or "" for pose in exercise.figure.poses]
    drawn = any("{affected}" in text or "{other}" in text for text in captions)
    if exercise.sides == "one" and says and any(captions) and not drawn:
        yield Finding(
            "warning",
            "side-not-in-captions",
            "No caption of the figure says which side.",
            "Use {affected} or {other} in the caption of the side that moves.",
            loaded.source.place(("figure", "poses")),
        )
    if exercise.sides == "both":
        yield from _side_of_both(loaded)


def _side_of_both(loaded: Loaded[Exercise]) -> Iterator[Finding]:
    for loc, text in texts_of(loaded.entry):
        at = text.find("{affected}")
        if at >= 0 and loc[0] in (*DOING, "in_short", "figure"):
            yield Finding(
                "error",
                "side-of-both",
                "Both sides work at once here, so there is no page for one side that could fill {affected}.",
                "Say “both legs”, or write `sides: one` or `sides: each`.",
                loaded.source.place(loc, offset=at),
            )


def _working_and_base(loaded: Loaded[Exercise], language: str) -> Iterator[Finding]:
    exercise, source = loaded.entry, loaded.source
    if not needs_sides(exercise):
        return
    for key, what in (("working_side", "which side works"), ("base_side", "which side is down or stands")):
        if not getattr(exercise, key):
            yield Finding(
                "error",
                f"no-{key.replace('_', '-')}",
                f"In this position the page must say {what}.",
                f"Add `{key}:`, such as “The leg with the {{affected}} knee” or “Your other leg, underneath”.",
                source.place(("position",)),
            )
    down = side_down(exercise, language)
    if lies_down(exercise) and exercise.sides == "one" and down is None:
        yield Finding(
            "warning",
            "side-down-not-said",
            "The setup does not say which side to lie on.",
            "Write “Lie on your {other} side”, or “on your {affected} side”.",
            source.place(("setup",)),
        )
    working, base = (role_named(text, down, language) for text in (exercise.working_side, exercise.base_side))
    if working and base and working == base:
        yield _disagree(source, ("base_side",), "`working_side` and `base_side` name the same side.")
    if lies_down(exercise) and down and base and base != down:
        yield _disagree(
            source, ("base_side",), f"The setup lies on the {down} side, the base is the {base} one."
        )
    if exercise.sides == "one" and working == "other":
        yield Finding(
            "note",
            "other-side-works",
            "The side that works is the other one, not the affected one.",
            "Keep it if it is meant; a page “for the left” is then about the right.",
            source.place(("working_side",)),
        )


def _disagree(source: Source, loc: Loc, message: str) -> Finding:
    return Finding(
        "error",
        "sides-disagree",
        message,
        f"One is the {{affected}} side, the other the {{{OPPOSITE['affected']}}} side. Correct one of them.",
        source.place(loc),
    )


def _same_blanks(original: Exercise, translation: Loaded[Translation]) -> Iterator[Finding]:
    """Say lines in which a translation has lost or swapped a side."""
    words = translated(original, translation.entry)
    for key in DOING:
        ours, theirs = getattr(original, key), getattr(words, key)
        if len(ours) != len(theirs):
            yield Finding(
                "warning",
                "lines-differ",
                f"`{key}` has {len(theirs)} lines, the entry it translates {len(ours)}.",
                "Translate line by line, so that words and drawing keep together.",
                translation.source.place((key,), key=True),
            )
            continue
        for index, (our, their) in enumerate(zip(ours, theirs, strict=True)):
            if {role for role in OPPOSITE if f"{{{role}}}" in our} != {
                role for role in OPPOSITE if f"{{{role}}}" in their
            }:
                yield Finding(
                    "error",
                    "side-lost",
                    "This line does not name the same sides as the line it translates.",
                    f"That line reads: {our}",
                    translation.source.place((key, index)),
                )
