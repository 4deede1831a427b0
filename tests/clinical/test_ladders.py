"""Places in ladders, cycles, measurable rules, and what a later step asks."""

from __future__ import annotations

from typing import Any

import pytest

from limberleaf.clinical.demand import components, harder_than
from limberleaf.clinical.drawing import position_family
from limberleaf.clinical.ladders import cycles, measured_by, places, progressions
from limberleaf.diagrams.language.words import posture_rows
from limberleaf.library import Dose, Exercise, Library


def test_places_count_from_the_bottom(library: Library) -> None:
    (first,), (second,) = places(library, "kn-01"), places(library, "kn-02")
    assert (first.index, first.count, first.before, first.after) == (0, 2, None, "kn-02")
    assert (second.index, second.count, second.before, second.after) == (1, 2, "kn-01", None)
    assert second.ladder.id == "knee-first-steps"


def test_a_ladder_that_is_not_approved_gives_no_place(library: Library) -> None:
    loaded = library.ladders["knee-first-steps"]
    draft = loaded.entry.model_copy(update={"status": "in_review"})
    library.ladders["knee-first-steps"] = type(loaded)(draft, loaded.source)
    assert places(library, "kn-01") == []


def test_ways_up_come_from_ladders_and_from_both_directions(library: Library) -> None:
    assert progressions(library) == {"kn-01": {"kn-02"}, "kn-02": set()}


@pytest.mark.parametrize(
    ("ways", "found"),
    [
        ({"a": {"b"}, "b": {"c"}, "c": set()}, []),
        ({"a": {"b"}, "b": {"c"}, "c": {"a"}}, [("a", "b", "c")]),
        ({"a": {"a"}}, [("a",)]),
        ({"a": {"b"}, "b": {"a"}, "c": {"d"}, "d": {"c"}}, [("a", "b"), ("c", "d")]),
        ({"x": {"a"}, "a": {"b"}, "b": {"a"}, "c": {"b"}}, [("a", "b")]),
    ],
)
def test_circles(ways: dict[str, set[str]], found: list[tuple[str, ...]]) -> None:
    assert sorted(cycles(ways)) == found


@pytest.mark.parametrize(
    ("rule", "by"),
    [
        ("You can do 3 sets of 12 on 2 days in a row.", "number"),
        ("Your heel comes within two hands of your bottom.", "number"),
        ("Pain stays at {acceptable_pain} or less.", "number"),
        ("You feel only a mild pull.", "feeling"),
        ("Your knee no longer hurts at night.", "feeling"),
        ("Your foot is level with your other knee.", "landmark"),
        ("You are ready for more.", None),
        ("You feel strong enough.", None),
        ("It goes well.", None),
    ],
)
def test_what_makes_a_rule_measurable(rule: str, by: str | None) -> None:
    assert measured_by(rule) == by


def exercise(library: Library, dose: dict[str, Any], **changes: Any) -> Exercise:
    whole = {"times_a_day": 1, "days_a_week": 3, **dose}
    return library.exercises["kn-02"].entry.model_copy(update={"dose": Dose.model_validate(whole), **changes})


@pytest.mark.parametrize(
    ("before", "after", "asks"),
    [
        ({"sets": 2, "repetitions": 10}, {"sets": 3, "repetitions": 10}, "more"),
        ({"sets": 3, "repetitions": 10}, {"sets": 2, "repetitions": 10}, "less"),
        ({"sets": 3, "repetitions": 10}, {"sets": 3, "repetitions": 10}, "same"),
        ({"sets": 2, "repetitions": 15}, {"sets": 3, "repetitions": 10}, "same"),
        ({"repetitions": 10}, {"repetitions": 5, "hold": "10 s"}, "mixed"),
        ({"duration": "5 min"}, {"duration": "10 min"}, "more"),
        ({"duration": "5 min"}, {"repetitions": 10}, "less"),
        ({"repetitions": 10, "days_a_week": 3}, {"repetitions": 10, "days_a_week": 7}, "more"),
    ],
)
def test_doses_are_compared_part_by_part(
    library: Library, before: dict[str, Any], after: dict[str, Any], asks: str
) -> None:
    assert harder_than(exercise(library, before), exercise(library, after)).dose == asks


def test_a_side_at_a_time_counts_each_side_alone(library: Library) -> None:
    assert components(exercise(library, {"repetitions": 10}, sides="each"))["repeats"] == 10


def test_a_reason_is_needed_only_when_nothing_asks_more(library: Library) -> None:
    more, less = (
        exercise(library, {"sets": 3, "repetitions": 10}),
        exercise(library, {"sets": 2, "repetitions": 10}),
    )
    one_leg = exercise(library, {"sets": 2, "repetitions": 10}, tags=["single_leg"])
    assert harder_than(more, less).needs_reason
    assert not harder_than(less, more).needs_reason
    assert not harder_than(more, one_leg).needs_reason
    assert harder_than(one_leg, less).load == "less"
    # An unknown pose gives the same dose the benefit of the doubt; a known one does not.
    assert not harder_than(more, more).needs_reason
    assert harder_than(more, more, lambda *_: "same").needs_reason
    assert not harder_than(more, less, lambda *_: "more").needs_reason
    assert harder_than(more, more, lambda *_: "less").needs_reason


def test_every_posture_of_the_figures_has_a_family() -> None:
    families = {posture: position_family(posture) for posture in posture_rows()}
    assert [posture for posture, family in families.items() if posture == family] == []
    assert families["standing"] == families["split_stance"] != families["sitting"]
