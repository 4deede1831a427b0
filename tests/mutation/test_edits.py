"""One line edited: a slip is marked as safety, a good editor's edit as wording; both lists lie in edits.yml."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml

from limberleaf.clinical.governance.difference import Difference, differences

EDITS = yaml.safe_load(Path(__file__).with_name("edits.yml").read_text("utf-8"))


def marked(language: str, field: str, old: str, new: str) -> Difference | None:
    """Give the difference as `review --record` shows it."""

    def entry(text: str) -> dict[str, object]:
        first, _, second = field.partition(".")
        return {first: {second: [text]} if second else [text]}

    found = differences(entry(old), entry(new), language)
    return found[0] if found else None


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


def test_both_lists_are_long_enough_to_mean_something() -> None:
    assert len(EDITS["legitimate"]) >= 30
    assert (
        {edit[0] for edit in EDITS["legitimate"]}
        == {edit[0] for edit in EDITS["slips"]}
        == {"en", "nl", "ar"}
    )
