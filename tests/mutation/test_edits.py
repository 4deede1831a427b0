"""One line edited: a slip is marked as safety, a good editor's edit as wording; both lists lie in edits.yml."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest
import yaml

from limberleaf.clinical.governance.difference import Difference, differences
from limberleaf.clinical.governance.fact_words import word_change
from limberleaf.clinical.text_facts import words_of
from limberleaf.data_files import data_of

EDITS = yaml.safe_load(Path(__file__).with_name("edits.yml").read_text("utf-8"))


def marked(language: str, field: str, old: str, new: str) -> Difference | None:
    """Give the difference as `review --record` shows it."""

    found = listed(language, field, [old], [new])
    return found[0] if found else None


def listed(language: str, field: str, old: list[str], new: list[str]) -> list[Difference]:
    """Give the differences between two lists of lines."""

    def entry(lines: list[str]) -> dict[str, object]:
        first, _, second = field.partition(".")
        return {first: {second: lines} if second else lines}

    return differences(entry(old), entry(new), language)


@pytest.mark.parametrize("edit", EDITS["slips"], ids=lambda edit: edit[3])
def test_a_slip_is_marked_as_safety_and_wants_a_reason(edit: list[str]) -> None:
    change = marked(*edit)
    assert change is not None
    assert change.safety
    assert change.weakens


def test_nine_good_edits_of_ten_stay_wording() -> None:
    """What is marked too often is read too little; the rest is marked for a word that could be a fact elsewhere."""
    marks = [(edit, marked(*edit)) for edit in EDITS["legitimate"]]
    over = [(edit[3], change.says) for edit, change in marks if change is not None and change.safety]
    assert 10 * len(over) <= len(marks), over


@pytest.mark.parametrize("edit", EDITS["cut"], ids=lambda edit: edit[2][0])
def test_a_step_cut_in_two_stays_wording(edit: tuple[str, str, list[str], list[str]]) -> None:
    assert [one.safety for one in listed(*edit)] == [False]


@pytest.mark.parametrize("edit", EDITS["cut_slips"], ids=lambda edit: edit[2][0])
def test_a_line_cut_or_joined_so_that_it_says_something_else_is_safety(
    edit: tuple[str, str, list[str], list[str]],
) -> None:
    found = listed(*edit)
    assert any(one.safety for one in found), [one.says for one in found]


@pytest.mark.parametrize("language", ["en", "nl", "ar"])
def test_each_word_that_says_the_same_stands_once_and_is_taken_for_its_others(language: str) -> None:
    groups = [
        group.split("/")
        for group in data_of("limberleaf.clinical", "fact_words.yml")[language]["same"].split()
    ]
    counts = Counter(word for group in groups for word in group)
    assert [word for word, count in counts.items() if count > 1] == []
    assert [word for word in counts if words_of(word) != [word]] == []
    for first, *others in groups:
        for other in others:
            assert not word_change(first, other, language), (first, other)


def test_both_lists_are_long_enough_to_mean_something() -> None:
    assert len(EDITS["legitimate"]) >= 30
    assert (
        {edit[0] for edit in EDITS["legitimate"]}
        == {edit[0] for edit in EDITS["slips"]}
        == {"en", "nl", "ar"}
    )
