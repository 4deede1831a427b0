"""Two lines, one a translation of the other: what they state differently, by code, in words and by weight."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterator

from limberleaf.clinical.text_facts import (
    TextFacts,
    facts_of,
    other_body_parts,
    other_safety_words,
    own_words_of,
    poles,
    usual_length,
    words_of,
)
from limberleaf.findings import Severity
from limberleaf.library.yaml.source import Loc

_BLANKS = re.compile(r"\{[a-z_]+\}|\[\[[^\]]*\]\]")
LEAST_LENGTH = 0.6
"""Part of the usual length of a translation below which something must be missing (measured on the demo library)."""

MOST_LENGTH = 2.2
"""Times the usual length of a translation above which the original must have lost something (measured there too)."""

SHORTEST = 26
"""Letters of an original below which lengths say nothing."""

WORDS_FREE = {"aim", "suits", "dose_reason", "hours", "name", "place"}
"""Keys under which a translation may speak of other things: names, and sentences that are not about safety."""

NAMES = {"title", "summary"}
"""Keys of an entry under which a translation says it in its own way, of the same part of the body. The titles of
settings lie deeper, and are translated word for word."""

PARTS_OF_PHRASES = {
    "head",
    "face",
    "back",
    "foot",
    "arm",
    "hand",
    "palm",
    "tummy",
    "leg",
    "eye",
    "ear",
    "buttock",
}
"""Parts that languages also name where none is meant (headache, hand towel, the back of a chair)."""

ALL_OR_ONE = {"signs", "stop", "ease_off", "leave_out_if", "come_back_when", "never", "instead", "markdown"}
"""Lists in which “or” and “and” decide who is warned."""


def differences_of(
    ours: str, theirs: str, loc: Loc, languages: tuple[str, str], *, prose: bool = False
) -> Iterator[tuple[str, str, Severity]]:
    """Give the code, the words and the weight of what two lines state differently, the gravest alone."""
    facts = difference_of_facts(ours, theirs, *languages, prose=prose)
    both = facts_of(ours, languages[0]), facts_of(theirs, languages[1])
    keys = {step for step in loc if isinstance(step, str)}
    if loc[0] in NAMES:
        if (swapped := _other_parts(ours, theirs, languages)) and swapped[1] == "error":
            yield "translation-other-part", *swapped
    elif facts:
        loosely = prose and facts[0] == "translation-other-unit" and _unit_without_number(*both)
        yield *facts, "warning" if loosely else "error"
    elif swapped := _other_parts(ours, theirs, languages):
        yield "translation-other-part", *swapped
    elif not keys & WORDS_FREE and (words := _other_words(ours, theirs, languages)):
        yield "translation-other-words", words, "warning"
    elif keys & ALL_OR_ONE and _other_joins(*both):
        yield "translation-or-for-and", "One of the two says “or” where the other says “and”", "warning"


def _other_parts(ours: str, theirs: str, languages: tuple[str, str]) -> tuple[str, Severity] | None:
    """Say which part of the body stands in another's place, or is in the original alone."""
    gone, come = other_body_parts(ours, theirs, *languages)
    if gone and come:
        return f"One of the two speaks of “{gone[0]}”, the other of “{come[0]}”".replace("-", " "), "error"
    if firm := [part for part in gone if part not in PARTS_OF_PHRASES]:
        return f"Only the original speaks of “{firm[0]}”".replace("-", " "), "warning"
    return None


def _other_words(ours: str, theirs: str, languages: tuple[str, str]) -> str:
    gone, come = other_safety_words(ours, theirs, *languages)
    names = " and ".join(f"“{name.replace('-', ' ')}”" for name in gone or come)
    if not names:
        return ""
    return f"Only the original speaks of {names}" if gone else f"Only the translation speaks of {names}"


def _other_joins(one: TextFacts, two: TextFacts) -> bool:
    """Tell whether an “or” of one line is an “and” of the other."""
    return (one.ors - two.ors) * (one.ands - two.ands) < 0


def difference_of_facts(
    ours: str, theirs: str, first: str, language: str, *, prose: bool = False
) -> tuple[str, str] | None:
    """Give the code and the words for what two lines state differently; None when they agree.

    In `prose` words such as “only” and “stop” are no “not”: there they are often said in another way.
    """
    if is_foreign(theirs, language, first) or (ours == theirs and len(words_of(_BLANKS.sub(" ", ours))) > 2):
        return "translation-not-translated", "The translation is not in its language"
    one, two = facts_of(ours, first), facts_of(theirs, language)
    for code, differs, says in _IN_PROSE if prose else _DIFFERENCES:
        if differs(one, two):
            return f"translation-{code}", says
    if says_less(ours, theirs, language):
        return "translation-says-less", "The translation is much shorter than the original"
    if says_more(ours, theirs, language):
        return "translation-says-more", "The original is much shorter than its translation"
    there = poles(theirs, language)
    if any(there.get(name, end) != end for name, end in poles(ours, first).items()):
        return (
            "translation-other-direction",
            "One of the two says the opposite (up for down, straight for bent)",
        )
    return None


def _other_blanks(one: TextFacts, two: TextFacts) -> bool:
    return set(one.blanks) != set(two.blanks)


def _other_numbers(one: TextFacts, two: TextFacts) -> bool:
    return not _numbers_agree(one, two)


def _other_units(one: TextFacts, two: TextFacts) -> bool:
    if one.units and two.units:
        return one.units != two.units
    return bool((one.units ^ two.units) & _SPANS)


def _unit_without_number(one: TextFacts, two: TextFacts) -> bool:
    """Tell whether one line alone names a day or a week, and counts none: “a day you missed”."""
    with_unit, without = (one, two) if one.units else (two, one)
    return not without.units and not (with_unit.numbers or with_unit.loose or with_unit.blanks)


def _other_urgency(one: TextFacts, two: TextFacts) -> bool:
    return one.urgent != two.urgent


def _other_no(one: TextFacts, two: TextFacts) -> bool:
    return bool(one.negations) != bool(two.negations)


def _other_firm_no(one: TextFacts, two: TextFacts) -> bool:
    return bool(one.firm_negations) != bool(two.firm_negations)


def _lost_no(one: TextFacts, two: TextFacts) -> bool:
    """Tell whether a plain “not” is in one line alone, and no “only”, “stop” or “unlike” of the other stands for it."""
    with_not, without = (one, two) if one.firm_negations else (two, one)
    halves = [facts.negations - facts.firm_negations for facts in (with_not, without)]
    return bool(with_not.firm_negations) and not without.firm_negations and halves[1] <= halves[0]


def _fewer_nos(one: TextFacts, two: TextFacts) -> bool:
    return one.firm_negations > 1 and 0 < two.firm_negations < one.firm_negations


_SPANS = {"days", "weeks", "months", "years"}

_DIFFERENCES: tuple[tuple[str, Callable[[TextFacts, TextFacts], bool], str], ...] = (
    ("other-blanks", _other_blanks, "The blanks (sides, numbers, contacts) are not the same"),
    ("other-number", _other_numbers, "The numbers are not the same"),
    ("other-unit", _other_units, "The units are not the same"),
    (
        "other-urgency",
        _other_urgency,
        "One of the two says how soon (now, today), and the other says it otherwise or not",
    ),
    ("other-no", _other_no, "One of the two says “not” (never, no, only, stop), the other does not"),
    ("other-no", _lost_no, "One of the two says “not”, the other does not"),
    ("other-no", _fewer_nos, "The original says “not” more often than the translation"),
)
_IN_PROSE = tuple(
    (code, _other_firm_no if differs is _other_no else differs, says) for code, differs, says in _DIFFERENCES
)


def says_less(ours: str, theirs: str, language: str) -> bool:
    """Tell whether a translation is so short that a part of the sentence must be missing."""
    usual = usual_length(language)
    return usual > 0 and len(ours) >= SHORTEST and len(theirs) < LEAST_LENGTH * usual * len(ours)


def says_more(ours: str, theirs: str, language: str) -> bool:
    """Tell whether an original is so short that a part of its sentence must be missing."""
    usual = usual_length(language)
    return usual > 0 and len(theirs) >= SHORTEST and MOST_LENGTH * usual * len(ours) < len(theirs)


def _numbers_agree(one: TextFacts, two: TextFacts) -> bool:
    ours, theirs = Counter(one.numbers), Counter(two.numbers)
    return not (ours - theirs - Counter(two.loose)) and not (theirs - ours - Counter(one.loose))


def is_foreign(text: str, language: str, first: str) -> bool:
    """Tell whether a text is plainly written in the library's first language instead of its own."""
    if language == first:
        return False
    bare = _BLANKS.sub(" ", text)
    letters = [letter for letter in bare if letter.isalpha()]
    if language in ("ar", "fa", "he", "ur"):
        return bool(letters) and sum(letter.isascii() for letter in letters) * 2 > len(letters)
    foreign, own = own_words_of(bare, first), own_words_of(bare, language)
    return foreign >= 2 and foreign > own
