"""Translations against their originals, item by item: every line has its counterpart and states the same facts.

Numbers (in figures or words), units, sides, a no, an urgency and blanks must be the same; a line left in the original's
language, or left out, is reported.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterator
from typing import Any

from limberleaf.clinical.approval import plain
from limberleaf.clinical.text_facts import TextFacts, facts_of, own_words_of, poles, usual_length, words_of
from limberleaf.findings import Finding
from limberleaf.library import Library, Loaded
from limberleaf.library.exercise import Translation
from limberleaf.library.values import ANY_LANGUAGE, LocalText

Loc = tuple[str | int, ...]

_BLANKS = re.compile(r"\{[a-z_]+\}|\[\[[^\]]*\]\]")
LEAST_LENGTH = 0.6
"""Part of the usual length of a translation below which something must be missing (measured on the demo library)."""

SHORTEST = 26
"""Letters of an original below which lengths say nothing."""

NOT_COMPARED = {
    "title",
    "synonyms",
    "switched_off",
    "review",
    "affected_word",
    "translates",
    "status",
    "summary",
}


def check_same_facts(library: Library) -> Iterator[Finding]:
    """Say where a translation leaves a line out or states another number, unit, side or no."""
    first = library.settings.language
    for (code, language), words in library.translations.items():
        if code in library.exercises and words.entry.status != "retired":
            given = (library.exercises[code], words, first)
            yield from library.read_cache.keep(("facts", code, language), given, _compare, *given, language)
    for (folder, name, language), group in library.group_translations.items():
        shelf = getattr(library, folder)
        if name in shelf and group.entry.status != "retired":
            whole = (shelf[name], group, first)
            yield from library.read_cache.keep(
                ("facts", folder, name, language), whole, _compare, *whole, language
            )
    yield from _settings(library)
    yield from _prose(library)


def _prose(library: Library) -> Iterator[Finding]:
    """Compare prose pages with their originals line by line; a line is a heading, a paragraph's line or an item."""
    first = library.settings.language
    for (name, language), page in library.pages.items():
        original = library.pages.get((name, "")) if language else None
        if original is None:
            continue
        ours, theirs = (list(re.finditer(r"[^\n]*\S[^\n]*", one.markdown)) for one in (original, page))
        if len(ours) != len(theirs):
            yield Finding(
                "error",
                "translation-other-length",
                f"{original.source.path} has {len(ours)} lines, this page {len(theirs)}.",
                "Keep headings, lines and items one to one, so that a line that is lost is seen.",
                page.place(theirs[-1].start() if theirs else 0),
            )
            continue
        for one, two in zip(ours, theirs, strict=True):
            found = difference_of_facts(one[0], two[0], first, language, prose=True)
            if found:
                yield Finding(
                    "error",
                    found[0],
                    f"{found[1]}: “{two[0].strip()}” translates “{one[0].strip()}”.",
                    "Correct this line, or the original when that is the wrong one.",
                    page.place(two.start()),
                )


def _compare(original: Loaded[Any], words: Loaded[Any], first: str, language: str) -> Iterator[Finding]:
    entry, own = original.entry, words.entry
    names = set(type(own).model_fields) - NOT_COMPARED
    if isinstance(own, Translation):
        ours = plain(entry)
        ours["figure"] = {"captions": [pose.caption or "" for pose in entry.figure.poses]}
    else:
        ours = plain(entry)
    theirs = plain(own)
    for name in sorted(names):
        yield from _value(ours.get(name), theirs.get(name), (name,), words, (first, language))


def _value(
    ours: Any, theirs: Any, loc: Loc, words: Loaded[Any], languages: tuple[str, str]
) -> Iterator[Finding]:
    if isinstance(ours, str):
        if isinstance(theirs, str):
            yield from _text(ours, theirs, loc, words, languages)
        else:
            yield _missing(ours, loc, words)
    elif isinstance(ours, list):
        theirs = theirs if isinstance(theirs, list) else []
        if len(theirs) > len(ours):
            yield _more(len(ours), len(theirs), loc, words)
        for index, item in enumerate(ours):
            yield from _value(
                item, theirs[index] if index < len(theirs) else None, (*loc, index), words, languages
            )
    elif isinstance(ours, dict):
        theirs = theirs if isinstance(theirs, dict) else {}
        for key, item in ours.items():
            if key in ("when", "instead", "fine", "ease_off", "stop", "captions", "start_here_if", "move_on_when",
                       "step_back_when", "same_or_less_because", "ask", "answer"):  # fmt: skip
                yield from _value(item, theirs.get(key), (*loc, key), words, languages)


def _missing(ours: str, loc: Loc, words: Loaded[Any]) -> Finding:
    return Finding(
        "error",
        "translation-item-missing",
        f"Nothing here translates “{ours}”.",
        "Translate line by line, in the same order, so that no warning is lost.",
        words.source.place(_written(loc, words)),
    )


def _more(ours: int, theirs: int, loc: Loc, words: Loaded[Any]) -> Finding:
    return Finding(
        "error",
        "translation-item-added",
        f"`{loc[-1]}` has {theirs} lines here and {ours} in the original.",
        "Is a line missing in the original? Put it back there. Take one out here only if nobody needs it any more.",
        words.source.place(_written(loc, words)),
    )


def _written(loc: Loc, words: Loaded[Any]) -> Loc:
    return (
        ("figure", *loc[2:])
        if loc[:2] == ("figure", "captions") and isinstance(words.entry, Translation)
        else loc
    )


def _text(
    ours: str, theirs: str, loc: Loc, words: Loaded[Any], languages: tuple[str, str]
) -> Iterator[Finding]:
    what = difference_of_facts(ours, theirs, *languages)
    if what:
        code, says = what
        yield Finding(
            "error",
            code,
            f"{says}: “{theirs}” translates “{ours}”.",
            "Correct this line, or the original when that is the wrong one.",
            words.source.place(_written(loc, words)),
        )


def difference_of_facts(
    ours: str, theirs: str, first: str, language: str, *, prose: bool = False
) -> tuple[str, str] | None:
    """Give the code and the words for what two lines state differently; None when they agree.

    In `prose` words such as “only” and “stop” are no “not”: there they are often said in another way.
    """
    if is_foreign(theirs, language, first) or (ours == theirs and len(words_of(_BLANKS.sub(" ", ours))) > 2):
        return "translation-not-translated", "This line is not in its language"
    one, two = facts_of(ours, first), facts_of(theirs, language)
    for code, differs, says in _IN_PROSE if prose else _DIFFERENCES:
        if differs(one, two):
            return f"translation-{code}", says
    if says_less(ours, theirs, language):
        return "translation-says-less", "This line is much shorter than what it translates"
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
    return bool(one.units != two.units and one.numbers and two.units and one.units)


def _other_no(one: TextFacts, two: TextFacts) -> bool:
    return bool(one.negations) != bool(two.negations)


def _other_firm_no(one: TextFacts, two: TextFacts) -> bool:
    return bool(one.firm_negations) != bool(two.firm_negations)


def _fewer_nos(one: TextFacts, two: TextFacts) -> bool:
    return one.firm_negations > 1 and 0 < two.firm_negations < one.firm_negations


_DIFFERENCES: tuple[tuple[str, Callable[[TextFacts, TextFacts], bool], str], ...] = (
    ("other-blanks", _other_blanks, "The blanks (sides, numbers, contacts) are not the same"),
    ("other-number", _other_numbers, "The numbers are not the same"),
    ("other-unit", _other_units, "The units are not the same"),
    ("other-no", _other_no, "One of the two says “not” (never, no, only, stop), the other does not"),
    ("other-no", _fewer_nos, "The original says “not” more often than this line"),
)
_IN_PROSE = tuple(
    (code, _other_firm_no if differs is _other_no else differs, says) for code, differs, says in _DIFFERENCES
)


def says_less(ours: str, theirs: str, language: str) -> bool:
    """Tell whether a translation is so short that a part of the sentence must be missing."""
    usual = usual_length(language)
    return usual > 0 and len(ours) >= SHORTEST and len(theirs) < LEAST_LENGTH * usual * len(ours)


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


def _settings(library: Library) -> Iterator[Finding]:
    """Compare the texts of settings and equipment that are written by language."""
    first = library.settings.language
    for loaded in (library.clinic, library.equipment):
        if loaded is None:
            continue
        for loc, text in _local_texts(loaded.entry, ()):
            ours = text.get(first)
            if ours is None or ANY_LANGUAGE in text:
                continue
            for language, theirs in text.items():
                found = None if language == first else difference_of_facts(ours, theirs, first, language)
                if found and loc[-1] != "hours":
                    yield Finding(
                        "error",
                        found[0],
                        f"{found[1]}: “{theirs}” translates “{ours}”.",
                        "Correct one of the two.",
                        loaded.source.place((*loc, language)),
                    )


def _local_texts(value: Any, loc: Loc) -> Iterator[tuple[Loc, LocalText]]:
    if isinstance(value, dict) and value and all(isinstance(item, str) for item in value.values()):
        if isinstance(value, LocalText):
            yield loc, value
    elif isinstance(value, dict):
        for key, item in value.items():
            yield from _local_texts(item, (*loc, key))
    elif hasattr(type(value), "model_fields"):
        for name in type(value).model_fields:
            yield from _local_texts(getattr(value, name), (*loc, name))
