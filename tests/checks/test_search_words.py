"""The finder leads nobody who needs help now to an exercise: such search words are named, in each language."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from limberleaf.checks.safety.search_words import check_search_words
from limberleaf.library import load_library

SYNONYMS = "synonyms: [leg extension]"


def found(content: Path, word: str) -> list[str]:
    file = content / "exercises/knee/kn-02.yml"
    text = file.read_text("utf-8")
    assert SYNONYMS in text
    file.write_text(text.replace(SYNONYMS, f'synonyms: [leg extension, "{word}"]'), "utf-8")
    return [
        f"{one.severity} {one.code} {one.place.path}" for one in check_search_words(load_library(content))
    ]


URGENT = """broken knee; Chest Pain; dvt; blood clot; cauda equina; chest pain after exercise; chest pain since
yesterday; cannot walk since this morning; old person chest pain; after lunch chest pain; after a stroke chest pain;
can't pee; can’t walk; cannot breathe; short of breath; numb between the legs; concussion; unconscious; having fits"""
OVER = """after a broken knee; After my old hip fracture; knee strength; fear of a stroke; heart fitness; stroke rehab;
recovering from a broken leg; breast stroke; exercise that fits you; keep fit"""


@pytest.mark.parametrize("word", re.split(r";\s", URGENT))
def test_the_name_of_an_emergency_is_no_search_word(content: Path, word: str) -> None:
    assert found(content, word) == ["warning search-word-urgent exercises/knee/kn-02.yml"]


@pytest.mark.parametrize("word", re.split(r";\s", OVER))
def test_what_is_over_or_no_emergency_may_be_one(content: Path, word: str) -> None:
    assert found(content, word) == []


@pytest.mark.parametrize(
    ("language", "urgent", "over"),
    [
        (
            "nl",
            [
                "gebroken knie",
                "enkelbreuk",
                "pijn op de borst na inspanning",
                "trombose sinds gisteren",
                "hersenschudding",
            ],
            ["na een gebroken knie", "stijve knie", "liesbreuk"],
        ),
        (
            "ar",
            ["كسر الركبة", "جَلْطة", "ألم الصدر", "كسور", "دوار وألم في الصدر", "ألم في الصدر بعد التمرين"],
            ["بعد كسر الركبة", "ركبة متيبسة"],
        ),
    ],
)
def test_other_languages_are_read_in_their_own_words(
    content: Path, language: str, urgent: list[str], over: list[str]
) -> None:
    clinic = content / "clinic.yml"
    clinic.write_text(
        clinic.read_text("utf-8").replace("languages: [en]", f"languages: [{language}]"), "utf-8"
    )
    words = content / "words.yml"
    lines = "".join(f'  "{word}": [knee]\n' for word in (*urgent, *over))
    words.write_text(words.read_text("utf-8") + f"synonyms:\n{lines}", "utf-8")
    named = [one.message for one in check_search_words(load_library(content))]
    assert [f"“{word}”" in message for word, message in zip(urgent, named, strict=True)] == [True] * len(
        urgent
    )
