"""The demo library's translations say what the English says: line by line the same numbers and the same blanks.

A lost or changed number in a translation is a wrong dose or a wrong warning. Words for small numbers
(“once”, “twice”) may become digits, so a translation may have more digits than the English, never fewer or others.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest

from limberleaf.checks.texts import texts_of
from limberleaf.library import Library, load_library
from limberleaf.library.text import BLANK
from limberleaf.library.translate import group_in_language, in_language

# English number words that a translation may write as digits.
SPELT = {"once": "1", "twice": "2", "two": "2", "three": "3"}


@pytest.fixture(scope="module")
def demo_library() -> Library:
    return load_library(Path(__file__).parents[2] / "content")


def numbers(text: str) -> Counter[str]:
    return Counter(re.findall(r"\d+(?:[.,]\d+)?", text))


def pairs(library: Library, language: str) -> Iterator[tuple[str, str, str]]:
    """Give each English line with its translation and its place."""
    for code in library.exercises:
        words = in_language(library, code, language)
        if words:
            yield from lines(code, library.exercises[code].entry, words)
    for folder in ("ladders", "collections", "cautions"):
        for name, loaded in getattr(library, folder).items():
            group = group_in_language(library, folder, loaded.entry, language)
            if group:
                yield from lines(name, loaded.entry, group)


def lines(name: str, english: object, words: object) -> Iterator[tuple[str, str, str]]:
    ours, theirs = dict(texts_of(english)), dict(texts_of(words))
    assert set(ours) == set(theirs), f"{name}: lines are missing or were added"
    for loc, text in ours.items():
        yield f"{name} {loc}", text, theirs[loc]


@pytest.mark.parametrize("language", ["nl", "ar"])
def test_every_line_keeps_its_numbers(demo_library: Library, language: str) -> None:
    checked = 0
    for where, english, words in pairs(demo_library, language):
        wanted, found = numbers(english), numbers(words)
        assert wanted <= found, f"{where}: {english} | {words}"
        spelt = Counter(SPELT[word] for word in re.findall(r"[a-z]+", english.lower()) if word in SPELT)
        scale = Counter({"0": 1, "10": 1})  # “out of 10” may be “on a scale of 0 to 10”
        assert found - wanted <= spelt + scale, f"{where}: {english} | {words}"
        checked += bool(wanted)
    assert checked >= 9  # the numbers of doses are blanks


@pytest.mark.parametrize("language", ["nl", "ar"])
def test_every_line_keeps_its_blanks(demo_library: Library, language: str) -> None:
    for where, english, words in pairs(demo_library, language):
        assert Counter(BLANK.findall(english)) == Counter(BLANK.findall(words)), (
            f"{where}: {english} | {words}"
        )
