"""Every row of the word lists in its sense: what it must mark, what the text becomes, what it must leave alone.

The rows carry their own sentences (`data/rules/4_wording.yml`, `6_trade_words.yml`, `7_plain_words.yml`).
"""

from collections.abc import Mapping
from typing import Any

import pytest

from limberleaf.reading import Block, Mark, Rule, read, rules

LISTS = [rule for rule in rules() if rule.check == "phrases" and "en" in rule.langs]
ROWS = [
    pytest.param(rule, row, id=f"{rule.id}-{row['find'][0]}")
    for rule in LISTS
    for row in rule.settings["phrases"]
]


def _marks(rule: Rule, example: Any) -> tuple[str, list[Mark]]:
    kind, text = next(iter(example.items())) if isinstance(example, dict) else ("prose", example)
    return text, [mark for mark in read([Block(kind, text)]).marks if mark.rule == rule.id]


def _replaced(text: str, marks: list[Mark]) -> str:
    for mark in reversed(marks):
        if mark.replacement is not None:
            text = text[: mark.start] + mark.replacement + text[mark.end :]
    return text


@pytest.mark.parametrize(("rule", "row"), ROWS)
def test_a_row_marks_its_sense_and_no_other(rule: Rule, row: Mapping[str, Any]) -> None:
    becomes = row["hit"] if isinstance(row["hit"], dict) else None
    for example in row["hit"]:
        text, marks = _marks(rule, example)
        assert marks, example
        assert all(mark.suggestion for mark in marks)
        assert _replaced(text, marks) == (becomes[example] if becomes else text)
    for example in row["pass"]:
        assert _marks(rule, example)[1] == [], example


@pytest.mark.parametrize(("rule", "row"), ROWS)
def test_a_row_says_one_thing_to_do(rule: Rule, row: Mapping[str, Any]) -> None:
    assert len(row.keys() & {"say", "explain", "advise"}) == 1
    assert row["hit"]
    assert row["pass"]


# Findings of a check on public health texts: each of these changed the meaning of what was written.
@pytest.mark.parametrize(
    "text",
    [
        "Depression is common after a stroke, and you may have depression for months.",
        "An abnormal heartbeat can cause a stroke.",
        "Abnormal bleeding should be reported.",
        "Age-related macular degeneration takes the centre of your sight.",
        "A good knee bend helps on stairs.",
        "You can contract the flu from a handshake.",
        "Do weight-bearing exercise on most days.",
        "She moved into assisted living.",
        "He has trouble following instructions.",
        "A nurse will call, and he or she will explain the scan.",
        "Cervical screening and thoracic surgery are done in hospital.",
        "Your body may retain water.",
        "Repetitive strain injury and acute kidney injury are different things.",
        "Severe pain and chronic kidney disease need a doctor.",
        "Alternative medicine has no place here.",
        "The lesion was removed by a surgeon.",
    ],
)
def test_findings_signs_and_set_phrases_are_never_replaced(text: str) -> None:
    marks = read([Block("prose", text)]).marks
    assert [mark.replacement for mark in marks if mark.replacement] == []
    assert not [
        mark
        for mark in marks
        if mark.rule in ("plain-words", "harsh-wording", "the-patient", "noun-from-verb")
    ]
