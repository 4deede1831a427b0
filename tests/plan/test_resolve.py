"""A plan against the library as it is today: what it says, suggests and never hides."""

from __future__ import annotations

from itertools import permutations

import pytest
from plan.sample import MARKUP, sample_library

from limberleaf.clinical.cautions import boxes
from limberleaf.diagrams.language.words import posture_rows
from limberleaf.library import Library
from limberleaf.plan import Pick, Plan, resolve
from limberleaf.plan.notes import notes
from limberleaf.plan.order import places, suggested, travel
from limberleaf.plan.remarks import remarks_in_words
from limberleaf.plan.resolve import Resolved, make
from limberleaf.words import interface_words

WORDS = interface_words("en")


@pytest.fixture(scope="module")
def sample(tmp_path_factory: pytest.TempPathFactory) -> Library:
    return sample_library(tmp_path_factory.mktemp("sample"))


def _codes(resolved: Resolved) -> dict[str, tuple[str, ...]]:
    return {remark.code: remark.codes for remark in resolved.remarks}


def test_unknown_retired_and_changed_exercises_are_reported_and_the_rest_still_works(sample: Library) -> None:
    picks = (
        Pick("kn-99"), Pick("kn-07"), Pick("kn-08"), Pick("kn-09"), Pick("kn-02", "left", 2), Pick("kn-01", "left", 4),
    )  # fmt: skip
    resolved = resolve(Plan(picks), sample, "en")
    assert [one.pick.code for one in resolved.chosen] == ["kn-02", "kn-01"]
    lines = remarks_in_words(resolved, sample, WORDS)
    for start in (
        "KN-99 is not in our library.",
        "We no longer use KN-07. KN-02 Straighten your knee takes its place.",
        "We no longer use KN-08.",
        "KN-09 is not in our library.",
        "KN-02: its words were changed on 1 September 2026",
        "KN-01 is newer",
        "6 exercises.",
    ):
        assert any(line.startswith(start) for line in lines), (start, lines)


@pytest.mark.parametrize(("count", "code"), [(1, None), (4, None), (5, "many"), (6, "many"), (7, "too_many")])
def test_more_than_four_and_more_than_six_exercises_are_remarked_with_their_source(
    sample: Library, count: int, code: str | None
) -> None:
    """Eckard et al. 2015 and Medina-Mirapeix et al. 2009: adherence falls with the number of exercises."""
    picks = [Pick(f"kn-{number:02d}") for number in (1, 2, 3, 4, 5, 6, 10, 11)][:count]
    resolved = resolve(Plan(tuple(picks)), sample, "en")
    sizes = {"many", "too_many"} & set(_codes(resolved))
    assert sizes == ({code} if code else set())
    if code:
        assert any("Eckard 2015" in line for line in remarks_in_words(resolved, sample, WORDS))


def test_what_the_ladder_replaces_is_stopped_when_asked_for_and_never_both(sample: Library) -> None:
    assert make(sample, [Pick("kn-02", "left")], 6).stop == ()  # nothing is stopped that nobody asked for
    assert make(sample, [Pick("kn-02", "left")], 6, stops=True).stop == ("kn-01",)
    both = make(sample, [Pick("kn-02", "left"), Pick("kn-01", "left")], 6, stops=True)
    assert both.stop == ()
    assert _codes(resolve(both, sample, "en"))["also_stopped"] == ("kn-01",)


def test_a_side_is_asked_for_where_there_is_one(sample: Library) -> None:
    resolved = resolve(Plan((Pick("kn-01"), Pick("kn-04"))), sample, "en")
    assert _codes(resolved)["choose_side"] == ("kn-01",)


def test_every_posture_of_the_figures_has_a_place_in_the_order() -> None:
    assert set(places()) == set(posture_rows())


POSTURES = ["standing", "sitting", "supine", "prone", "four_point_kneeling", "sitting", "step_standing"]


def test_the_suggested_order_has_the_fewest_ups_and_downs_there_can_be() -> None:
    for size in range(1, 7):
        for chosen in permutations(POSTURES, size) if size < 4 else [POSTURES[:size], POSTURES[::-1][:size]]:
            order = suggested(chosen)
            assert sorted(order) == list(range(size))
            best = min(travel(one) for one in permutations(chosen))
            assert travel([chosen[i] for i in order]) == best


def test_the_order_starts_near_the_first_exercise_and_keeps_equals_in_place() -> None:
    assert suggested(["supine", "standing", "supine"]) == [0, 2, 1]
    assert suggested(["standing", "supine", "standing"]) == [0, 2, 1]


def test_cautions_are_merged_into_one_box_a_tier(sample: Library) -> None:
    resolved = resolve(Plan((Pick("kn-01", "left"), Pick("kn-02", "left"))), sample, "en")
    merged = resolved.boxes(sample, "en")
    single = {
        ident for one in resolved.chosen for box in boxes(sample, one.exercise, "en") for ident in box.ids
    }
    assert sorted(ident for box in merged for ident in box.ids) == sorted(single)
    keys = [(box.tier, box.action) for box in merged]
    assert len(keys) == len(set(keys))


def test_notes_are_one_plain_line_an_exercise(sample: Library) -> None:
    plan = make(
        sample,
        [Pick("kn-02", "left", changes={"sets": 2}, star=True), Pick("kn-04"), Pick("kn-05"), Pick("kn-99")],
        6,
        stops=True,
    )
    lines = notes(
        resolve(plan, sample, "en"), WORDS, {"kn-01": "Slide your heel"}, {}, "https://x.example/plan/#1"
    )
    assert lines == [
        "Home exercise plan, 6 weeks:",
        "KN-04 v1 Bend and straighten, 1 x as many as comfortable, up to 20, every 60 min while awake, 7 days a week",
        (
            "KN-02 v3 Straighten your knee, left, 2 x 8-12, hold 3 s, rest 120 s, 1x a day, 3 days a week, "
            "most important one"
        ),
        "KN-05 v1 Lie and rest, 1 x 600 s, 2x a day, 7 days a week",
        "KN-99: not in the library any more",
        "Stopped: KN-01 Slide your heel",
        "Plan link: https://x.example/plan/#1",
    ]


def test_a_plan_has_no_place_for_a_name(sample: Library) -> None:
    """Whatever a plan carries is a code, a side from a list of four, a number, a day, the name of a note or a flag."""
    kinds = {type(value) for value in vars(Pick("kn-01")).values()}
    assert kinds == {str, int, dict, bool}
    assert set(vars(Plan(()))) == {"picks", "weeks", "stop", "days", "review", "notes"}
    assert MARKUP in {loaded.entry.title for loaded in sample.exercises.values()}
