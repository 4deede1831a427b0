"""Words against the figure, the dose and the ladder in the starter library: cases/words_and_figures.yml."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

import pytest
import yaml
from checks.test_clinical_families import prepared

from limberleaf.checks.clinic import check_clinic
from limberleaf.checks.meaning.drawn_sides import check_drawn_sides
from limberleaf.checks.meaning.facts import check_facts
from limberleaf.checks.meaning.ladder_numbers import check_ladder_numbers
from limberleaf.checks.meaning.placing import check_placing
from limberleaf.checks.meaning.steps import check_steps
from limberleaf.checks.meaning.straight import check_straight
from limberleaf.checks.translation.same_line import differences_of
from limberleaf.checks.translation.which_line import ChangedLines
from limberleaf.clinical.governance.lock import Approved, Lock
from limberleaf.clinical.governance.waiting import first_approval
from limberleaf.library import load_library

CHECKS = (
    check_clinic,
    check_drawn_sides,
    check_facts,
    check_ladder_numbers,
    check_placing,
    check_steps,
    check_straight,
)
CASES = yaml.safe_load(Path(__file__).with_name("cases").joinpath("words_and_figures.yml").read_text("utf-8"))


@pytest.mark.parametrize("case", CASES, ids=[case.get("name", case["code"]) for case in CASES])
def test_a_right_line_is_quiet_and_a_slip_is_named(content: Path, case: dict[str, Any]) -> None:
    place = prepared(content, case)
    library = load_library(content)
    assert library.findings == []
    found = [one for check in CHECKS for one in check(library) if one.code == case["code"]]
    if case.get("quiet"):
        assert found == []
    elif place:
        assert place in {(one.place.path, one.place.line, one.place.column) for one in found}
    else:
        assert case["file"] in {one.place.path for one in found}
    if case.get("once"):
        assert [one.place.path for one in found] == [case["file"]]


TITLE = ("sets", 0, "title", "en")
LINES = [
    # a stop rule stays one
    ("stop", "Stop if the pain keeps you from sleeping.", "Stop als de pijn u uit de slaap houdt.", set()),
    (
        "stop",
        "Stop if the pain keeps you from sleeping.",
        "Ga door als de pijn u uit de slaap houdt.",
        {"translation-other-no"},
    ),
    # days that count nothing
    ("steps", "On a bad day, do less.", "Op een slechte dag doet u minder.", set()),
    ("steps", "On a bad day, do less.", "في اليوم السيئ افعل أقل.", set()),
    ("steps", "Rest for two days.", "Rust twee dagen.", set()),
    ("steps", "Rest for two days.", "Rust twee weken.", {"translation-other-unit"}),
    # words that only begin like a part of the body
    ("steps", "Kneel on the mat.", "Kniel op de mat.", set()),
    ("steps", "Hold a brush in your hand.", "Houd een borstel in uw hand.", set()),
    ("steps", "Hold a brush at your knee.", "Houd een borstel bij uw borst.", {"translation-other-part"}),
]


@pytest.mark.parametrize(("key", "ours", "theirs", "codes"), LINES, ids=[line[2] for line in LINES])
def test_a_right_translation_is_quiet(key: str, ours: str, theirs: str, codes: set[str]) -> None:
    language = "ar" if theirs[0] > "\u0600" else "nl"
    found = differences_of(ours, theirs, (key, 0), ("en", language))
    assert {code for code, _, severity in found if severity == "error"} == codes


def test_the_title_of_a_setting_is_compared_and_that_of_an_entry_is_free() -> None:
    lines = "Knee, week 2", "Knie, week 3"
    assert [code for code, *_ in differences_of(*lines, TITLE, ("en", "nl"))] == ["translation-other-number"]
    assert list(differences_of(*lines, ("title",), ("en", "nl"))) == []


def test_a_language_without_a_word_list_lacks_no_part_of_the_body() -> None:
    assert list(differences_of("Lift your knee.", "Heben Sie das Knie.", ("steps", 0), ("en", "de"))) == []


def test_every_line_of_a_first_approval_waits() -> None:
    fields = {"steps": ["Lift your leg."]}
    day = date(2026, 11, 1)
    once = Approved(1, day, fields, waiting=(first_approval("Clinical lead", day),))
    assert "Lift your leg." in ChangedLines(Lock({"exercises/kn-02": once}), fields, "exercises/kn-02")
