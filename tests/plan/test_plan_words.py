"""The words of plans in every language: none missing, the same blanks, easy enough in English."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from pages.fakes import PlainFigures
from plan.sample import sample_library

from limberleaf.pages import SiteContext
from limberleaf.pages.language_edition import edition_of
from limberleaf.pages.views.plan_data import exercise_data
from limberleaf.reading import Block, read
from limberleaf.words import interface_words

GROUPS = ("plan", "follow", "desk_sheet")
FORMS = {"zero", "one", "two", "few", "many", "other"}


def _phrases(value: Any, path: str) -> Iterator[tuple[str, list[str]]]:
    if not isinstance(value, dict):
        yield path, [str(value)]
    elif "other" in value and set(value) <= FORMS and not path.endswith("first_side"):
        yield path, [str(text) for text in value.values()]
    else:
        for name, inner in value.items():
            yield from _phrases(inner, f"{path}.{name}")


def _blanks(texts: list[str]) -> set[str]:
    return {blank for text in texts for blank in re.findall(r"\{(\w+)\}", text)}


@pytest.mark.parametrize("group", GROUPS)
@pytest.mark.parametrize("language", ["nl", "ar"])
def test_every_phrase_is_there_with_the_same_blanks(language: str, group: str) -> None:
    english = dict(_phrases(interface_words("en").phrases[group], group))
    other = dict(_phrases(interface_words(language).phrases[group], group))
    assert set(other) == set(english)
    assert {path: _blanks(texts) for path, texts in other.items()} == {
        path: _blanks(texts) for path, texts in english.items()
    }


def test_what_patients_read_is_at_or_below_grade_six() -> None:
    """Flesch-Kincaid grade of the sentences of the patient's page and of following along together.

    The formula is checked against published values in tests/outside/test_reading_formulas.py. What only a clinician
    reads (making, the record, remarks on the plan's size) is left out.
    """
    patient: list[str] = []
    for group in ("plan", "follow"):
        for path, texts in _phrases(interface_words("en").phrases[group], group):
            mine = not path.startswith(("plan.make", "plan.notes", "plan.add")) and not path.endswith(
                ("many", "also_stopped", "order", "several_stars", "wrong_side", "choose_side")
            )
            patient += [re.sub(r"\{\w+\}", "ten", text) for text in texts if mine and text.endswith(".")]
    assert len(patient) > 30
    measures = read([Block("prose", text, number) for number, text in enumerate(patient)]).measures
    assert measures["flesch_kincaid"] <= 6


def test_the_day_of_a_review_is_in_the_readers_language_though_the_exercise_is_not(tmp_path: Path) -> None:
    """Days as CLDR writes them (Unicode CLDR, dates, long pattern)."""
    edition = edition_of(SiteContext(sample_library(tmp_path), PlainFigures()), "en")
    written = exercise_data(edition, edition.exercises["kn-02"])
    data = json.loads(written.partition(",")[2].removesuffix(");\n"))
    assert data["reviewed"] == "1 September 2026"
    assert data["in"]["nl"]["reviewed"] == "1 september 2026"
    assert data["in"]["ar"]["reviewed"] == "1 سبتمبر 2026"
