"""An editor sees at most three marks first, the gravest, and every mark says what to do."""

from pathlib import Path

import pytest

from limberleaf.reading import Block, Reading, read, rules
from limberleaf.reading.tables import load_yaml

CORPUS = sorted((Path(__file__).parent / "corpus").glob("*.txt"))


def _leaflet(path: Path) -> Reading:
    lines = [line for line in path.read_text(encoding="utf-8").splitlines() if line]
    return read([Block("prose", line) for line in lines])


@pytest.mark.parametrize("path", CORPUS, ids=lambda path: path.stem)
def test_at_most_three_marks_come_first(path: Path) -> None:
    reading = _leaflet(path)
    assert len(reading.first) == min(3, len(reading.marks))
    assert set(reading.first) <= set(reading.marks)


def test_no_mark_left_behind_is_graver() -> None:
    grave = {"error": 0, "warning": 1, "note": 2}
    for path in CORPUS:
        reading = _leaflet(path)
        gravest = sorted(grave[mark.level] for mark in reading.marks)[:1]
        assert [grave[mark.level] for mark in reading.first][:1] == gravest


def test_what_may_be_done_wrongly_comes_before_what_is_tiring() -> None:
    reading = read(
        [
            Block("prose", "You should utilise the band, and approximately ten paces away is sufficient."),
            Block("prose", "Do not stop walking unless you are not in pain."),
            Block("dose", "Do it regularly."),
        ]
    )
    assert [mark.rule for mark in reading.first][:2] == ["vague-dose", "double-negative"]


def test_three_marks_of_one_rule_leave_room_for_another() -> None:
    reading = read(
        [
            Block("prose", "Ask about analgesia."),
            Block("prose", "Ask about oedema."),
            Block("prose", "Ask about ambulation."),
            Block("prose", "Do not stop walking unless you are not in pain."),
        ]
    )
    assert len({mark.rule for mark in reading.first}) > 1
    assert "double-negative" in {mark.rule for mark in reading.first}


def test_a_text_without_marks_has_none_first() -> None:
    assert read([Block("prose", "Bend your knee.")]).first == ()


def test_every_mark_says_what_to_do() -> None:
    for path in CORPUS:
        for mark in _leaflet(path).marks:
            assert len(mark.suggestion.split()) >= 2, mark


def test_every_rule_has_its_place_in_the_order() -> None:
    assert sorted(load_yaml("first_marks.yml")["order"]) == sorted(rule.id for rule in rules())
