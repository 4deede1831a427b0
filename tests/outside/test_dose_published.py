"""The arithmetic and the tables of doses against published figures.

P marks a published figure, C one computed here from published ones by hand, CP common practice without a source.
"""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from limberleaf.clinical.dosage.dose import spoken, total_line, totals
from limberleaf.clinical.dosage.pain import band_line
from limberleaf.clinical.dosage.usual import plan_size, ranges_for, usual_doses
from limberleaf.clinical.record import instruments
from limberleaf.library import Clinic, Dose, PainBands
from limberleaf.library.models.exercise import Sides
from limberleaf.library.models.values import Count, Duration
from limberleaf.reading import Block, read
from limberleaf.words import interface_words


def dose(**parts: Any) -> Dose:
    return Dose.model_validate({"times_a_day": 1, "days_a_week": 3, **parts})


# --- worked values (C) -----------------------------------------------------------------------------------------


def test_three_sets_of_ten_three_times_a_day() -> None:
    """C: 3 x 10 x 3 = 90 a day; with each side in turn 180."""
    three = dose(sets=3, repetitions=10, times_a_day=3)
    assert totals(three, "one").repetitions_a_day == Count(90, 90)
    assert totals(three, "both").repetitions_a_day == Count(90, 90)
    assert totals(three, "each").repetitions_a_day == Count(180, 180)
    assert totals(three, "each").repetitions_a_side == Count(90, 90)


def test_session_time_of_three_sets_with_rests() -> None:
    """C: 3 x 10 x 4 s of work and 2 rests of 60 s are 240 s for one side."""
    session = dose(sets=3, repetitions=10, tempo={"out": "2 s", "back": "2 s"}, rest="60 s")
    assert totals(session, "one").session == Duration(240, 240)
    assert totals(session, "each").session == Duration(480, 480)


def test_one_repetition_without_a_tempo_takes_four_seconds() -> None:
    """CP: four seconds out and back when the entry does not say."""
    assert totals(dose(sets=3, repetitions=10, rest="60 s"), "one").session == Duration(240, 240)


@pytest.mark.parametrize(("hold", "repetitions"), [("30 s", 2), ("20 s", 3), ("15 s", 4)])
def test_sixty_seconds_of_stretch_in_three_ways(hold: str, repetitions: int) -> None:
    """C from P (Garber et al. 2011: 60 s in all for each stretch): each of the three is 60 s."""
    assert totals(dose(hold=hold, repetitions=repetitions), "one").hold_a_side == Duration(60, 60)


def test_three_holds_of_thirty_seconds_on_both_sides() -> None:
    """C: 30 s x 3 is 90 s a side and 180 s of hold in all."""
    total = totals(dose(hold="30 s", repetitions=3), "each")
    assert (total.hold_a_side, total.hold) == (Duration(90, 90), Duration(180, 180))


def test_ten_times_every_hour_counts_the_waking_hours() -> None:
    """CP: 10 repeats every hour, as on leaflets after operations; 14 to 16 waking hours make 140 to 160 a day."""
    hourly = Dose.model_validate({"repetitions": 10, "every": "1 h", "days_a_week": 7})
    assert totals(hourly, "one").repetitions_a_day == Count(140, 160)


def test_moderate_activity_of_thirty_minutes_on_five_days() -> None:
    """P (Garber et al. 2011): 30 min on 5 days is the 150 min a week of the position stand."""
    walk = dose(duration="30 min", days_a_week=5)
    assert totals(walk, "both").week == Duration(150 * 60, 150 * 60)
    assert "150 minutes a week" in total_line(walk, "both", interface_words("en"))


def test_a_range_stays_a_range() -> None:
    """C: 2-3 sets of 8-12 with 60-90 s rest, 4 s each: 16-36 repeats, 2x8x4+60 = 124 s to 3x12x4+180 = 324 s."""
    total = totals(dose(sets="2-3", repetitions="8-12", rest="60-90 s"), "one")
    assert total.repetitions_a_day == Count(16, 36)
    assert total.session == Duration(124, 324)
    assert total.week == Duration(372, 972)


# --- published tables (P) --------------------------------------------------------------------------------------

PUBLISHED = [
    # Garber et al. 2011, ACSM position stand, repetitions, sets and rest read in a secondary text
    ("strength", "repetitions", "adult", "general", 8, 12),
    ("strength", "repetitions", "older", "starting", 10, 15),
    ("strength", "repetitions", "adult", "endurance", 15, 25),
    ("strength", "sets", "adult", "general", 2, 4),
    ("strength", "rest", "adult", "general", 120, 180),
    # Garber et al. 2011, abstract
    ("strength", "days_a_week", "any", "general", 2, 3),
    # ACSM, stretching and flexibility guidelines update, 2021
    ("stretch", "hold", "adult", "general", 10, 30),
    ("stretch", "hold", "older", "general", 30, 60),
]


@pytest.mark.parametrize(("kind", "part", "age", "purpose", "low", "high"), PUBLISHED)
def test_usual_range_is_the_published_one(
    kind: str, part: str, age: str, purpose: str, low: int, high: int
) -> None:
    rows = [row for row in ranges_for(kind, part) if (row.age_group, row.purpose) == (age, purpose)]
    assert [(row.low, row.high, row.status) for row in rows] == [(low, high, "published")]


def test_weekly_minutes_are_the_published_ones() -> None:
    """P: 150 min moderate or 75 min vigorous a week (Garber 2011); over 3 h of balance work (Sherrington 2016)."""
    lows = {
        (row.kind, row.purpose): row.low // 60
        for row in usual_doses()
        if row.scope == "programme" and row.part == "week"
    }
    assert lows == {
        ("aerobic", "moderate"): 150,
        ("aerobic", "vigorous"): 75,
        ("balance", "fewer falls"): 180,
    }


def test_every_range_names_its_source_and_how_sure_it_is() -> None:
    for row in usual_doses():
        assert row.status in ("published", "common_practice", "memory")
        assert len(row.source) > 10, row
        assert 0 <= row.low <= row.high


def test_plan_size_follows_the_trials() -> None:
    """P: four or more exercises went with lower compliance than two or fewer (Eckard 2015); over 6 worse than 3."""
    sizes = [plan_size(number) for number in (1, 4, 5, 6, 7, 12)]
    assert sizes == ["fine", "fine", "many", "many", "too_many", "too_many"]


# --- pain bands (P) --------------------------------------------------------------------------------------------


def bands(carry_on: str, ease_off: str, stop: str) -> PainBands:
    return PainBands.model_validate({"carry_on": carry_on, "ease_off": ease_off, "stop": stop})


def test_both_published_readings_of_the_bands_tile() -> None:
    """C from Thomee 1997 / Silbernagel 2007 (from memory): 0-2, 3-5, 6-10. P, UK traffic light: 0-3, 4-5, 6-10."""
    assert bands("0-2", "3-5", "6-10").tile()
    assert bands("0-3", "4-5", "6-10").tile()
    assert not bands("0-2", "2-5", "6-10").tile()
    assert not bands("0-2", "4-5", "6-10").tile()
    assert not bands("0-3", "4-5", "6-9").tile()


def test_a_score_of_three_is_in_different_bands_of_the_two_readings(clinic: Clinic) -> None:
    words = interface_words("en")
    first, second = bands("0-2", "3-5", "6-10"), bands("0-3", "4-5", "6-10")
    assert band_line("ease_off", first, clinic, words, "en").startswith("Pain of 3 to 5 out of 10.")
    assert band_line("carry_on", second, clinic, words, "en") == "Pain of 0 to 3 out of 10."
    assert band_line("stop", second, clinic, words, "en") == "Pain of 6 or more out of 10."


def test_the_middle_band_settles_within_the_clinics_time(clinic: Clinic) -> None:
    """P (UK traffic light): amber should settle within 24 hours; the time itself is the clinic's."""
    line = band_line("ease_off", clinic.pain_bands, clinic, interface_words("en"), "en")
    assert line == "Pain of 4 or 5 out of 10. It should settle within 24 hours."


# --- published counts of the instruments (P) -------------------------------------------------------------------


def test_instruments_have_their_published_items() -> None:
    """P: CERT 16 items in 19 lines; PEMAT-P 17 + 7 numbered 1-26 without 13 and 14; CCI 20."""
    items = {name: list(instrument["items"]) for name, instrument in instruments().items()}
    assert len(items["CERT"]) == 19
    assert len({number.rstrip("ab") for number in items["CERT"]}) == 16
    assert items["PEMAT-P"] == [str(n) for n in range(1, 27) if n not in (13, 14)]
    assert (sum(int(n) < 20 for n in items["PEMAT-P"]), sum(int(n) >= 20 for n in items["PEMAT-P"])) == (
        17,
        7,
    )
    assert items["CCI"] == [str(n) for n in range(1, 21)]


# --- properties of the sums ------------------------------------------------------------------------------------


counts = st.builds(lambda low, more: Count(low, low + more), st.integers(1, 20), st.integers(0, 10))
times = st.builds(lambda low, more: Duration(low, low + more), st.integers(1, 90), st.integers(0, 60))
doses = st.builds(
    Dose,
    sets=st.none() | counts,
    repetitions=counts,
    hold=st.none() | times,
    rest=st.none() | times,
    times_a_day=counts,
    days_a_week=st.sampled_from([Count(1, 1), Count(2, 3), Count(7, 7)]),
)
sides = st.sampled_from(["one", "each", "both"])


@given(doses)
def test_each_side_in_turn_is_twice_one_side(any_dose: Dose) -> None:
    one, each, both = (totals(any_dose, which) for which in ("one", "each", "both"))
    assert one == both
    assert each.repetitions_a_side == one.repetitions_a_day
    for name in ("hold", "session", "day", "week"):
        time, twice = getattr(one, name), getattr(each, name)
        assert (twice.low, twice.high) == (2 * time.low, 2 * time.high)


@given(doses, sides)
def test_totals_add_up_and_low_never_passes_high(any_dose: Dose, any_sides: Sides) -> None:
    total = totals(any_dose, any_sides)
    for time in (total.hold, total.session, total.day, total.week):
        assert 0 <= time.low <= time.high
    assert total.day.low == total.session.low * total.times_a_day.low
    assert total.week.high == total.day.high * any_dose.days_a_week.high
    assert total.hold.high <= total.session.high


# --- reading level ---------------------------------------------------------------------------------------------


usual_dose = st.builds(
    Dose,
    sets=st.none() | st.sampled_from([Count(1, 1), Count(2, 2), Count(2, 3), Count(3, 3)]),
    repetitions=counts,
    hold=st.none() | times,
    rest=st.none() | times,
    times_a_day=st.integers(1, 5).map(lambda often: Count(often, often)),
    days_a_week=st.sampled_from([Count(1, 1), Count(2, 3), Count(3, 3), Count(7, 7)]),
)


@given(usual_dose, sides)
def test_spoken_doses_stay_below_grade_six(any_dose: Dose, any_sides: Sides) -> None:
    """P: at or below US grade 6 is the target of AMA and NIH; Flesch-Kincaid, tested against its paper elsewhere."""
    words = interface_words("en")
    lines = [spoken(any_dose, any_sides, words), total_line(any_dose, any_sides, words)]
    reading = read([Block("prose", text) for text in lines])
    assert round(reading.measures["flesch_kincaid"]) <= 6  # grades are whole years of school
