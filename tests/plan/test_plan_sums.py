"""The sums and words of a plan's doses against the hand-worked table that the page's script is held to as well."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml
from plan.sample import sample_library

from limberleaf.clinical.dosage.dose import spoken, table, time_needed, total_line, totals
from limberleaf.clinical.dosage.dose_blanks import blanks
from limberleaf.library import Library
from limberleaf.library.models.values import Count, Duration
from limberleaf.plan import Pick, Plan, resolve
from limberleaf.plan.limits import choices, dose_of, limits, refused, sides_of
from limberleaf.words import interface_words

CASES = yaml.safe_load((Path(__file__).parent / "cases.yml").read_text("utf-8"))


@pytest.fixture(scope="module")
def sample(tmp_path_factory: pytest.TempPathFactory) -> Library:
    return sample_library(tmp_path_factory.mktemp("sample"))


def _pair(value: Count | Duration | None) -> list[int] | None:
    return None if value is None else [value.low, value.high]


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["name"])
def test_the_generator_adds_up_as_the_table_says(sample: Library, case: dict[str, Any]) -> None:
    exercise = sample.exercises[case["code"]].entry
    pick = Pick(case["code"], case["side"], 1, case["changes"])
    dose, sides = dose_of(pick, exercise), sides_of(pick, exercise)
    sums, words = totals(dose, sides), interface_words("en")
    for name in ("session", "day", "week", "repetitions_a_day"):
        assert _pair(getattr(sums, name)) == case[name], name
    results = {
        "spoken": spoken(dose, sides, words),
        "total": total_line(dose, sides, words),
        "time": time_needed(dose, sides, words),
        "cells": [[cell.number, cell.label] for cell in table(dose, sides, words)],
    }
    for name, value in results.items():
        assert value == case.get(name, value), name
    assert refused(pick, exercise) == case.get("refused", [])
    for language, wanted in case.get("blanks", {}).items():
        assert wanted.items() <= blanks(dose, interface_words(language)).items()


def test_every_choice_offered_is_allowed(sample: Library) -> None:
    for code, loaded in sample.published().items():
        for name, numbers in choices(loaded.entry).items():
            bound = limits(loaded.entry)[name]
            assert numbers == sorted(set(numbers))
            for number in numbers:
                assert bound.low <= number <= bound.high
                assert refused(Pick(code, changes={name: number}), loaded.entry) == []


def test_a_plan_never_adds_what_the_entry_does_not_have(sample: Library) -> None:
    exercise = sample.exercises["kn-01"].entry
    assert exercise.dose.hold is None
    pick = Pick("kn-01", changes={"hold": 5, "duration": 600})
    assert refused(pick, exercise) == ["hold", "duration"]
    assert dose_of(pick, exercise) == exercise.dose


def test_a_nerve_slider_is_never_held_longer_than_two_seconds(sample: Library) -> None:
    """Common teaching: a slider is not a held stretch (clinical/data/usual_doses.csv, from memory)."""
    exercise = sample.exercises["kn-06"].entry
    held = exercise.model_copy(update={"dose": exercise.dose.model_copy(update={"hold": Duration(1, 1)})})
    assert limits(held)["hold"] == Count(1, 2)


def test_strength_work_is_not_raised_above_three_days(sample: Library) -> None:
    """Garber et al. 2011: each major muscle group on 2-3 days a week."""
    assert limits(sample.exercises["kn-02"].entry)["days_a_week"].high == 3


def test_a_plan_adds_up_its_exercises(sample: Library) -> None:
    """Case table: 240 s three times a day is 720 s; 280 s once a day; together 1000 s. Week: 5040 + 840."""
    picks = (
        Pick("kn-01", "left", 1, {"sets": 3}),
        Pick("kn-02", "left", 3, {"sets": 2, "repetitions": 10}),
        Pick("kn-99", "none", 1),
    )
    resolved = resolve(Plan(picks), sample, "en")
    assert resolved.day == Duration(1000, 1000)
    assert resolved.week == Duration(5880, 5880)
