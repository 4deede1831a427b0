"""Every language says all that English says: the same phrases with the same blanks, in its own words.

Pages, handouts and plans take their words from `generator/words`, alternative texts from `diagrams/data/words`. A
phrase that is missing would stop a page, a lost blank would hide a number, a phrase left in English would reach a
patient.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from string import Formatter
from typing import Any

import pytest

from limberleaf.diagrams.body.skeleton import load_data
from limberleaf.diagrams.sides import languages as figure_languages
from limberleaf.words import _read as read_words
from limberleaf.words import interface_words, is_plural, known_languages

# Plural categories of whole numbers, read off Unicode CLDR 46, supplemental/plurals.xml, by hand: Babel must agree.
PLURALS = {
    "en": {"one", "other"},
    "nl": {"one", "other"},
    "ar": {"zero", "one", "two", "few", "many", "other"},
}
# What a language may have over English: how its side words are written before a noun (linkerhand).
OWN = {("sides", "joined"), ("joined",), ("oblique",)}
# No word of its own in some languages: Arabic has an ending.
ENDINGS = {("your",)}
# Forms for one exact number may leave the number out, as Arabic does for one and two.
EXACT = {"zero", "one", "two"}
COUNTS = {"n", "number"}

Path = tuple[str, ...]
TRANSLATED = [language for language in known_languages() if language != "en"]


SOURCES = [
    *(("interface", language) for language in TRANSLATED),
    *(("figure", language) for language in figure_languages() if language != "en"),
]


def tree(kind: str, language: str) -> Mapping[str, Any]:
    return read_words(language) if kind == "interface" else load_data(f"words/{language}")


def phrases(group: Mapping[str, Any], path: Path = ()) -> Iterator[tuple[Path, Any]]:
    """Give every phrase with the way to it; a phrase with plural forms is one."""
    for name, value in group.items():
        here = (*path, str(name))
        if isinstance(value, Mapping) and not is_plural(value):
            yield from phrases(value, here)
        else:
            yield here, value


def forms(phrase: Any) -> dict[str, str]:
    """Give the texts of a phrase by plural category; a plain text counts for every number."""
    if isinstance(phrase, Mapping):
        return dict(phrase)
    return {"other": " ".join(phrase) if isinstance(phrase, list) else str(phrase)}


def blanks(text: str) -> set[str]:
    return {name for _, name, _, _ in Formatter().parse(text) if name}


@pytest.mark.parametrize(("kind", "language"), SOURCES)
def test_the_same_phrases(kind: str, language: str) -> None:
    english, ours = dict(phrases(tree(kind, "en"))), dict(phrases(tree(kind, language)))
    assert set(english) - set(ours) == set(), "missing"
    assert set(ours) - set(english) - OWN == set(), "said nowhere in English"


@pytest.mark.parametrize(("kind", "language"), SOURCES)
def test_the_same_blanks(kind: str, language: str) -> None:
    ours = dict(phrases(tree(kind, language)))
    wrong = {}
    for path, phrase in phrases(tree(kind, "en")):
        wanted = set().union(*(blanks(text) for text in forms(phrase).values()))
        for category, text in forms(ours[path]).items():
            found = blanks(text)
            spared = COUNTS if category in EXACT else {"n"}  # `n` chooses the form and need not be said
            if not (found <= wanted | {"n"} and wanted - spared <= found):
                wrong[path, category] = (wanted, found)
    assert wrong == {}


@pytest.mark.parametrize("language", known_languages())
def test_plural_forms_are_those_of_the_language(language: str) -> None:
    for path, phrase in phrases(interface_words(language).phrases):
        assert "other" in forms(phrase), path
        assert set(forms(phrase)) <= PLURALS[language], path
    assert {interface_words(language).plural_category(number) for number in range(201)} == PLURALS[language]


@pytest.mark.parametrize(("kind", "language"), SOURCES)
def test_no_phrase_is_empty_or_left_in_english(kind: str, language: str) -> None:
    english = dict(phrases(tree(kind, "en")))
    for path, phrase in phrases(tree(kind, language)):
        for category, text in forms(phrase).items():
            assert text.strip() or path in ENDINGS, path
            same = text == forms(english.get(path, "")).get(category)
            assert not (same and len(text.split()) >= 3 and text.count("{") < 2), path


@pytest.mark.parametrize("language", TRANSLATED)
def test_days_are_complete(language: str) -> None:
    words = interface_words(language).phrases
    assert len(set(words["chart"]["days"])) == 7
