"""Rules of a whole plan on the generator's side: the cases of plan_cases.yml, as the page's script has them too."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

import pytest
import yaml
from plan.sample import sample_library

from limberleaf.library import Library
from limberleaf.plan import Pick, Plan, resolve
from limberleaf.plan.days import exercise_days, weeks_until
from limberleaf.plan.notes import message, notes
from limberleaf.plan.remarks import days_in_words, remarks_in_words
from limberleaf.plan.resolve import note_texts
from limberleaf.plan.typed import read_typed
from limberleaf.words import interface_words

CASES = yaml.safe_load(Path(__file__).with_name("plan_cases.yml").read_text("utf-8"))
WORDS = interface_words("en")


@pytest.fixture(scope="module")
def sample(tmp_path_factory: pytest.TempPathFactory) -> Library:
    return sample_library(tmp_path_factory.mktemp("sample"))


def plan_of(case: dict[str, Any]) -> Plan:
    """Make the plan of a case."""
    picks = tuple(Pick(*pick) for pick in case["picks"])
    review = date.fromisoformat(case["review"]) if "review" in case else None
    return Plan(
        picks,
        case.get("weeks", 6),
        days=tuple(case.get("days", ())),
        review=review,
        notes=tuple(case.get("notes", ())),
    )


@pytest.mark.parametrize("case", CASES["typed"], ids=lambda case: case["text"] or "nothing")
def test_what_is_typed_is_read(case: dict[str, Any]) -> None:
    days = [WORDS.weekday(day) for day in range(1, 8)]
    found = read_typed(case["text"], WORDS.phrases["chart"]["days"], days)
    picks = [
        [one.code, one.side, one.changes, *([list(one.range)] if one.range else [])] for one in found.picks
    ]
    assert picks == case["picks"]
    assert [found.last.side, found.last.changes] == case.get("last", ["none", {}])
    assert found.rest == case.get("rest", [])
    assert (found.weeks, list(found.days)) == (case.get("weeks", 0), case.get("days", []))
    assert (str(found.review or ""), found.notes) == (case.get("review", ""), case.get("notes", []))


@pytest.mark.parametrize("case", CASES["typed_long"], ids=lambda case: str(case["times"]))
def test_a_long_text_is_read_whole_or_refused_whole(case: dict[str, Any]) -> None:
    days = [WORDS.weekday(day) for day in range(1, 8)]
    found = read_typed(case["text"] * case["times"], WORDS.phrases["chart"]["days"], days)
    assert (len(found.picks), len(found.rest)) == (case["picks"], case["rest"])


@pytest.mark.parametrize("language", ["en", "nl", "ar"])
def test_a_word_names_one_day_or_none(language: str) -> None:
    words = interface_words(language)
    days = [words.weekday(day) for day in range(1, 8)]
    for word, day in CASES["day_words"][language].items():
        found = read_typed(word, words.phrases["chart"]["days"], days)
        assert found.days == ((day,) if day else ()), word


@pytest.mark.parametrize("case", CASES["days"], ids=str)
def test_days_are_as_chosen(case: dict[str, Any]) -> None:
    assert list(exercise_days(case["often"], case["chosen"])) == case["falls_on"]


@pytest.mark.parametrize("case", CASES["weeks"], ids=str)
def test_the_weeks_until_a_day_are_counted(case: dict[str, Any]) -> None:
    day, today = date.fromisoformat(case["day"]), date.fromisoformat(case["today"])
    assert weeks_until(day, today) == case["weeks"]


@pytest.mark.parametrize("case", CASES["dates"], ids=lambda case: case["day"])
@pytest.mark.parametrize("language", ["en", "nl", "ar"])
def test_a_day_is_written_as_the_language_does(case: dict[str, Any], language: str) -> None:
    assert interface_words(language).date_with_weekday(date.fromisoformat(case["day"])) == case[language]


@pytest.mark.parametrize("case", CASES["remarks"], ids=str)
def test_what_has_to_be_known_is_said(case: dict[str, Any], sample: Library) -> None:
    resolved = resolve(plan_of(case["plan"]), sample, "en")
    for whom in ("patient", "clinician"):
        own = tuple(one for one in resolved.remarks if one.for_whom == whom)
        lines = remarks_in_words(type(resolved)(**{**vars(resolved), "remarks": own}), sample, WORDS)
        assert lines == case.get(whom, [])


def test_the_days_of_either_side_are_told_apart(sample: Library) -> None:
    both = (Pick("kn-02", "left", 3), Pick("kn-02", "right", 3, {"days_a_week": 1}), Pick("kn-10"))
    resolved = resolve(Plan(both, days=(1, 3, 5)), sample, "en")
    assert days_in_words(resolved, WORDS) == [
        "Straighten your knee (left side): on Monday, Wednesday, Friday.",
        "Straighten your knee (right side): on Monday.",
        "Walk on the spot: on Monday, Wednesday, Friday.",
    ]
    dutch = days_in_words(resolved, interface_words("nl"))
    assert dutch[1] == "Straighten your knee (rechterkant): op maandag."


@pytest.mark.parametrize("case", CASES["record"], ids=lambda case: str(len(case["lines"])))
def test_the_record_has_a_line_for_everything(case: dict[str, Any], sample: Library) -> None:
    resolved = resolve(plan_of(case["plan"]), sample, "en")
    assert notes(resolved, WORDS, {}, note_texts(sample, "en"), "https://x.example/plan/#1") == case["lines"]


def test_the_message_tells_nothing_of_what_the_plan_is_for() -> None:
    text = message(WORDS, "Quillmere Physiotherapy", "01632 960100", "https://x.example/plan/#1")
    assert text == (
        "Your exercises from Quillmere Physiotherapy: https://x.example/plan/#1 "
        "If the link does not open, call 01632 960100."
    )
