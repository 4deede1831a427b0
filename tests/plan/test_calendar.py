"""Reminders as iCalendar: RFC 5545, checked with the icalendar library and expanded with dateutil."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from dateutil.rrule import rrulestr
from hypothesis import given, settings
from hypothesis import strategies as st
from icalendar import Calendar
from plan.sample import sample_library

from limberleaf.ical import escaped, folded
from limberleaf.plan import Pick, Plan, resolve
from limberleaf.plan.calendar import TIMES, Due, Reminders, calendar, reminders_of, rule, seed_of
from limberleaf.plan.days import SPREAD
from limberleaf.words import interface_words

STAMP = datetime(2026, 11, 25, 8, 30, tzinfo=UTC)


def _reminders(**given: object) -> Reminders:
    usual: dict[str, object] = {
        "name": "Time for your exercises", "start": date(2026, 11, 30), "end": date(2027, 1, 10), "times": ("09:00",),
        "due": (Due(SPREAD[3], 1, 700),), "words": "Open your sheet.", "seed": "1.w6.kn03l3.154b",
    }  # fmt: skip
    return Reminders(**{**usual, **given})  # type: ignore[arg-type]


def test_three_days_a_week_for_six_weeks_from_a_monday() -> None:
    """Worked example of the trade notes: FREQ=WEEKLY;BYDAY=MO,WE,FR;COUNT=18."""
    assert rule(date(2026, 11, 30), SPREAD[3], 18) == "FREQ=WEEKLY;BYDAY=MO,WE,FR;COUNT=18"


@given(st.dates(date(2026, 1, 1), date(2030, 12, 31)), st.integers(1, 7), st.integers(1, 52))
def test_every_rule_ends_and_falls_on_the_asked_days(start: date, days: int, weeks: int) -> None:
    """RFC 5545 3.3.10: COUNT and UNTIL never together; 3.8.5.3: DTSTART is the first of the set."""
    text = rule(start, SPREAD[days], days * weeks)
    assert "COUNT=" in text
    assert "UNTIL" not in text
    begin = datetime(start.year, start.month, start.day, 9)
    found = list(rrulestr(text, dtstart=begin))
    assert found[0] == begin
    assert len(found) == days * weeks
    assert found[-1] < begin + timedelta(weeks=weeks)
    for week in range(weeks):
        here = begin + timedelta(weeks=week)
        assert sum(here <= one < here + timedelta(weeks=1) for one in found) == days


def test_the_file_is_read_by_an_independent_parser() -> None:
    text = calendar(_reminders(times=TIMES[3], due=(Due(SPREAD[3], 3, 700),)), STAMP)
    events = Calendar.from_ical(text).walk("VEVENT")
    assert [event["DTSTART"].dt.hour for event in events] == [9, 14, 19]
    assert len({str(event["UID"]) for event in events}) == 3
    for event in events:
        assert event["DTSTAMP"].dt == STAMP
        assert event["DTSTART"].dt.tzinfo is None  # local to the reader's device
        assert event["DURATION"].dt == timedelta(minutes=12)
        assert event["RRULE"]["COUNT"] == [18]
        assert str(event["SUMMARY"]) == "Time for your exercises"


def test_lines_end_in_crlf_and_hold_at_most_75_octets() -> None:
    """RFC 5545 section 3.1."""
    text = calendar(
        _reminders(
            link="https://x.example/plan/#" + "1.w6.kn03l3" * 20, name="Tijd voor uw oefeningen é" * 5
        ),
        STAMP,
    )
    assert text.endswith("\r\n")
    assert "\n" not in text.replace("\r\n", "")
    assert all(len(line.encode()) <= 75 for line in text.split("\r\n"))
    event = Calendar.from_ical(text).walk("VEVENT")[0]
    assert str(event["URL"]) == "https://x.example/plan/#" + "1.w6.kn03l3" * 20
    assert str(event["SUMMARY"]) == "Tijd voor uw oefeningen é" * 5


@given(st.text(max_size=400))
def test_folding_never_cuts_a_character_and_unfolds_to_the_same(text: str) -> None:
    line = escaped(text).encode("utf-8", "ignore").decode()
    parts = folded(line)
    assert parts[0] + "".join(part[1:] for part in parts[1:]) == line
    assert all(len(part.encode()) <= 75 for part in parts)


def test_special_signs_of_a_text_are_escaped() -> None:
    """RFC 5545 section 3.3.11."""
    text = calendar(_reminders(name="a;b,c\\d\ne\r\x07BEGIN:VEVENT"), STAMP)
    event = Calendar.from_ical(text).walk("VEVENT")
    assert len(event) == 1
    assert str(event[0]["SUMMARY"]) == "a;b,c\\d\neBEGIN:VEVENT"


def test_the_seed_is_the_published_hash() -> None:
    """FNV-1a, 32 bits: the authors' test vectors for "", "a" and "foobar"."""
    assert [seed_of(text) for text in ("", "a", "foobar")] == ["811c9dc5", "e40c292c", "bf9cf968"]


def test_a_reminder_names_no_exercise_and_holds_no_link_unless_asked(
    tmp_path: object, tmp_path_factory: pytest.TempPathFactory
) -> None:
    library = sample_library(tmp_path_factory.mktemp("sample"))
    resolved = resolve(Plan((Pick("kn-02", "left", 3), Pick("kn-01", "left")), 4), library, "en")
    reminders = reminders_of(resolved, interface_words("en"), date(2026, 12, 1), "seed")
    text = calendar(reminders, STAMP)
    for secret in ("knee", "heel", "kn-0", "kn0", "left", "http", "#"):
        assert secret not in text.lower()
    assert [(one.days, one.times_a_day) for one in reminders.due] == [(SPREAD[3], 1), (SPREAD[7], 3)]
    assert reminders.times == TIMES[3]
    assert "FREQ=DAILY;COUNT=28" in text


def _occurrences(text: str) -> list[datetime]:
    """Expand every event of a file with dateutil, an implementation of RFC 5545 that is not ours."""
    found: list[datetime] = []
    for event in Calendar.from_ical(text).walk("VEVENT"):
        found += rrulestr(event["RRULE"].to_ical().decode(), dtstart=event["DTSTART"].dt)
    return sorted(found)


def test_three_days_a_week_is_three_calls_a_week() -> None:
    found = _occurrences(calendar(_reminders(due=(Due(SPREAD[3], 1, 300), Due(SPREAD[3], 1, 200))), STAMP))
    assert len(found) == 3 * 6
    assert {day.weekday() for day in found} == {0, 2, 4}


@settings(deadline=None)
@given(
    st.lists(
        st.builds(Due, st.sampled_from([*SPREAD.values()]), st.integers(1, 6), st.integers(30, 1800)),
        min_size=1,
        max_size=6,
    ),
    st.dates(date(2026, 1, 1), date(2028, 12, 31)),
    st.integers(0, 60),
)
def test_every_exercise_is_called_as_dosed_and_nothing_twice(
    due: list[Due], start: date, length: int
) -> None:
    often = min(max(one.times_a_day for one in due), 4)
    end = start + timedelta(days=length)
    given_ = _reminders(due=tuple(due), start=start, end=end, times=TIMES[often])
    found = _occurrences(calendar(given_, STAMP))
    assert len(found) == len(set(found))
    assert all(start <= one.date() <= end for one in found)
    for offset in range(length + 1):
        day = start + timedelta(days=offset)
        called = sum(one.date() == day for one in found)
        wanted = [min(one.times_a_day, 4) for one in due if offset % 7 in one.days]
        assert called >= max(wanted, default=0)
        assert called <= (often if wanted else 0)


def test_a_reminder_keeps_its_hour_in_two_time_zones_and_when_the_clocks_change() -> None:
    """RFC 5545 section 3.3.5, form 1: a floating time is the same wall clock time wherever it is read."""
    text = calendar(
        _reminders(start=date(2026, 3, 23), end=date(2026, 4, 5), due=(Due(SPREAD[7], 1, 300),)), STAMP
    )
    (event,) = Calendar.from_ical(text).walk("VEVENT")
    assert event["DTSTART"].dt.tzinfo is None
    for zone, change in (("Europe/Amsterdam", 3600), ("America/New_York", 0)):
        local = [one.replace(tzinfo=ZoneInfo(zone)) for one in _occurrences(text)]
        assert {one.hour for one in local} == {9}
        offsets = {one.utcoffset() for one in local}
        assert max(offsets) - min(offsets) == timedelta(seconds=change)  # Europe changed on 29 March 2026
