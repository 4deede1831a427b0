"""What an editor judged wrong or harmful does not come back, and what was found useful stays (`judged.yml`)."""

from collections.abc import Mapping
from pathlib import Path

import pytest
import yaml

from limberleaf.reading import Block, read

JUDGED: Mapping[str, list[Mapping[str, str]]] = yaml.safe_load(
    (Path(__file__).parent / "judged.yml").read_text(encoding="utf-8")
)


def _rules(text: str) -> set[str]:
    return {mark.rule for mark in read([Block("prose", text)]).marks}


@pytest.mark.parametrize("row", JUDGED["wrong"], ids=lambda row: f"{row['rule']}: {row['text'][:40]}")
def test_a_mark_judged_wrong_is_not_made(row: Mapping[str, str]) -> None:
    assert row["rule"] not in _rules(row["text"])


@pytest.mark.parametrize("row", JUDGED["useful"], ids=lambda row: f"{row['rule']}: {row['text'][:40]}")
def test_a_mark_judged_useful_is_made(row: Mapping[str, str]) -> None:
    assert row["rule"] in _rules(row["text"])


def test_advice_never_parts_what_must_both_be_true() -> None:
    """Splitting this at its only “and” would change whom to call, and when."""
    text = (
        "Also call 999 at once if you suddenly have severe pain in the hip or the groin and cannot put any weight"
        " on the leg, or if the whole leg looks shorter or turned out."
    )
    (mark,) = [mark for mark in read([Block("prose", text)]).marks if mark.rule.endswith("sentence")]
    assert mark.suggestion == "Make it a list; what must both be true (“and”) stays on one line."


def test_advice_shows_where_a_second_sentence_begins() -> None:
    text = (
        "It is normal for the thigh and the whole leg to be swollen and bruised, sometimes down to the foot, but the"
        " bruising may look worse before it fades."
    )
    (mark,) = [mark for mark in read([Block("prose", text)]).marks if mark.rule == "long-sentence"]
    assert mark.suggestion == "Make it two sentences: the second begins at “but the bruising may …”."


def test_a_row_of_signs_is_advised_as_a_list_and_a_range_is_marked_whole_and_once() -> None:
    text = (
        "See your GP soon if you are losing weight, have a fever, have ever had cancer, have pain after a fall, or have"
        " pain that is worse at night."
    )
    (long,) = [mark for mark in read([Block("prose", text)]).marks if mark.rule == "long-sentence"]
    assert long.suggestion == "Make it a list, one line for each."
    bullets = [Block("bullet", "Press for one to two minutes."), Block("bullet", "Hold for five seconds.")]
    (number,) = [mark for mark in read(bullets).marks if mark.rule == "number-word"]
    assert (number.replacement, number.suggestion) == (
        "1 to 2",
        "Write 1 to 2: digits are found at a glance. Here too: “five”.",
    )


@pytest.mark.parametrize("row", JUDGED["not_to_be_cut"], ids=lambda row: row["text"][:40])
def test_advice_fits_how_the_sentence_is_built(row: Mapping[str, str]) -> None:
    """A cut would leave two sentences joined by a comma; unlike clauses and two short conditions make no list."""
    (mark,) = [mark for mark in read([Block("prose", row["text"])]).marks if mark.rule == "long-sentence"]
    assert mark.suggestion == "Make it shorter, or two sentences."


def test_a_name_that_everybody_says_stays_and_is_explained() -> None:
    (mark,) = read([Block("prose", "An MRI scan may be arranged.")]).marks
    assert mark.replacement is None
    assert mark.suggestion.startswith("Keep “MRI”")
