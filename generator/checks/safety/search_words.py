"""Search words that somebody types who needs help now: the finder would lead him to an exercise.

The words are data (clinical/data/urgent_words.yml), by language.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from functools import cache

from limberleaf.clinical.governance.approval import approvable
from limberleaf.clinical.governance.approvers import language_of
from limberleaf.clinical.text_facts import without_vowel_marks
from limberleaf.data_files import data_of
from limberleaf.findings import Finding
from limberleaf.library import Library
from limberleaf.library.yaml.source import Loc, Source


def check_search_words(library: Library) -> Iterator[Finding]:
    """Say which search words of entries, of their translations and of words.yml are names of an emergency."""
    first = library.settings.language
    for name, loaded in approvable(library):
        for at, word in enumerate(getattr(loaded.entry, "synonyms", ())):
            yield from _urgent(word, language_of(name, first), loaded.source, ("synonyms", at))
    if library.words:
        for typed in library.words.entry.synonyms:
            yield from _urgent(typed, first, library.words.source, ("synonyms", typed))


@cache
def _patterns(language: str) -> Mapping[str, re.Pattern[str]] | None:
    row = data_of("limberleaf.clinical", "urgent_words.yml").get(language)
    return {name: re.compile(text, re.IGNORECASE) for name, text in row.items()} if row else None


def _named(word: str, language: str) -> str | None:
    """Give the name of an emergency in a search word that does not say that it is past or feared."""
    patterns = _patterns(language)
    plain = without_vowel_marks(word)
    if patterns is None or patterns["anywhere"].search(plain):
        return None
    names = patterns["urgent"].finditer(plain)
    return next((one[0] for one in names if not patterns["before"].search(plain[: one.start()])), None)


def _urgent(word: str, language: str, source: Source, loc: Loc) -> Iterator[Finding]:
    if found := _named(word, language):
        yield Finding(
            "warning",
            "search-word-urgent",
            f"Who types “{word}” may need help now, and is led to an exercise (“{found}”).",
            "Leave the word out. Is it for people in whom it is over? Say so: “after a broken wrist”.",
            source.place(loc, key=loc[0] == "synonyms" and isinstance(loc[-1], str)),
        )
