"""What a cell of the table holds: texts and lists survive it, and each key of an exercise has one."""

from __future__ import annotations

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from limberleaf.exchange import cells
from limberleaf.exchange.columns import columns
from limberleaf.exchange.csv_table import csv_text, read_csv
from limberleaf.library.models.exercise import Exercise


def test_csv_guards_texts_that_look_like_formulas() -> None:
    row = {"code": "kn-01", "title": "=1+1", "aim": "-x", "suits": "'quoted"}
    text = csv_text(list(row), [row])
    assert next(csv.DictReader(io.StringIO(text.lstrip("\ufeff"))))["title"] == "'=1+1"
    assert read_csv("a.csv", text.encode()).rows[0].cells == row


@pytest.mark.parametrize("text", ["Up - and down", "Up – down", "- up", "*", "a | b", "\\n"])
def test_dashes_and_stars_inside_a_text_survive_a_cell(text: str) -> None:
    assert cells.read_list(cells.list_cell([text, text])) == [text, text]
    record = {"item": text, "instead": text}
    assert cells.read_records(cells.records_cell([record]), ["item", "instead"]) == [record]


def test_bullets_typed_before_the_lines_of_a_list_are_no_part_of_them() -> None:
    assert cells.read_list("- Sit tall.\n• Look up.") == ["Sit tall.", "Look up."]


@given(st.lists(st.text(min_size=1).map(str.strip).filter(bool), min_size=1))
def test_any_list_of_texts_survives_a_cell(texts: list[str]) -> None:
    assert cells.read_list(cells.list_cell(texts)) == texts


@given(
    st.lists(
        st.dictionaries(
            st.sampled_from(["item", "instead"]), st.text(min_size=1).map(str.strip).filter(bool), min_size=1
        ),
        min_size=1,
    )
)
def test_any_records_survive_a_cell(records: list[dict[str, str]]) -> None:
    wanted = [{key: cells.truth(text) for key, text in record.items()} for record in records]
    assert cells.read_records(cells.records_cell(records), ["item", "instead"]) == wanted


def test_each_key_of_an_exercise_has_a_column_or_stands_inside_one() -> None:
    heads = {column.path[0] for column in columns()}
    assert heads == set(Exercise.model_fields)
