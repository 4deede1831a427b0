"""Review dates against dateutil, and the lists against icalendar and the csv module."""

from __future__ import annotations

import csv
import io
from datetime import date, timedelta
from pathlib import Path

import icalendar
import pytest
from dateutil.relativedelta import relativedelta
from hypothesis import given
from hypothesis import strategies as st

from limberleaf.clinical.governance.review import (
    ReviewItem,
    add_span,
    coming_csv,
    coming_due,
    coming_icalendar,
    coming_text,
    due_day,
    state,
)
from limberleaf.library import Clinic, Library, Review
from limberleaf.library.models.values import Span

TODAY = date(2026, 11, 25)
days = st.dates(date(1990, 1, 1), date(2090, 12, 31))
spans = st.builds(Span, st.integers(1, 60), st.sampled_from(["day", "week", "month", "year"]))


@given(days, spans)
def test_a_span_later_is_what_dateutil_says(day: date, span: Span) -> None:
    assert add_span(day, span) == day + relativedelta(**{f"{span.unit}s": span.number})


@given(days, spans)
def test_a_span_earlier_is_what_dateutil_says(day: date, span: Span) -> None:
    assert add_span(day, span, back=True) == day - relativedelta(**{f"{span.unit}s": span.number})


def test_worked_dates() -> None:
    """P: a health service's page reviewed on 15 March 2021 for 3 years is due on 15 March 2024. C: the leap day."""
    assert add_span(date(2021, 3, 15), Span(3, "year")) == date(2024, 3, 15)
    assert add_span(date(2024, 2, 29), Span(3, "year")) == date(2027, 2, 28)
    assert add_span(date(2024, 2, 29), Span(4, "year")) == date(2028, 2, 29)
    assert add_span(date(2026, 8, 31), Span(6, "month")) == date(2027, 2, 28)


def review(**parts: object) -> Review:
    return Review.model_validate({"owner": "Lead", "approved_by": "Clinical lead", **parts})


def test_due_on_the_day_and_overdue_the_day_after(clinic: Clinic) -> None:
    """The clinic's interval is 2 years and its reminder 3 months (P: submit 3 months before the review date)."""
    plain = review(reviewed="2026-09-14")
    assert due_day(plain, clinic) == date(2028, 9, 14)
    states = {
        day: state(plain, clinic, date.fromisoformat(day))
        for day in ("2028-06-13", "2028-06-14", "2028-09-14", "2028-09-15")
    }
    assert list(states.values()) == ["current", "due_soon", "due_soon", "overdue"]
    assert state(review(), clinic, TODAY) == "unknown"


@pytest.fixture
def items(library: Library) -> list[ReviewItem]:
    return coming_due(library, Span(2, "year"), TODAY)


def test_coming_due_counts_its_last_day_and_leaves_drafts_out(library: Library) -> None:
    assert coming_due(library, Span(1, "year"), TODAY) == []
    assert coming_due(library, Span(1, "day"), date(2028, 8, 30)) == []
    on_the_day = coming_due(library, Span(1, "day"), date(2028, 8, 31))
    assert [item.name for item in on_the_day][:2] == ["hot-knee", "knee-giving-way"]
    assert {item.kind for item in on_the_day} == {"exercises", "ladders", "collections", "cautions"}
    kn = library.exercises["kn-01"]
    draft = kn.entry.model_copy(update={"status": "draft"})
    library.exercises["kn-01"] = type(kn)(draft, kn.source)
    assert "kn-01" not in {item.name for item in coming_due(library, Span(2, "year"), TODAY)}


def test_icalendar_reads_the_calendar_back(items: list[ReviewItem], clinic: Clinic) -> None:
    awkward = ReviewItem(
        "exercises",
        "kn-09",
        "Größe; bend, then \\ straighten: "
        + "ein langes Wort für das Falten über fünfundsiebzig Oktette hinaus " * 2,
        "approved",
        "Lead, physiotherapist",
        None,
        date(2028, 2, 29),
        "exercises/knee/kn-09.yml",
    )
    text = coming_icalendar([*items, awkward], clinic, TODAY)
    calendar = icalendar.Calendar.from_ical(text)
    events = list(calendar.walk("VEVENT"))

    assert len(events) == len(items) + 1 > 5
    assert not [error for event in events for error in event.errors]
    assert len({str(event["UID"]) for event in events}) == len(events)
    for item, event in zip([*items, awkward], events, strict=True):
        assert event.decoded("DTSTART") == item.due
        assert event.decoded("DTEND") == item.due + timedelta(days=1)
        assert str(event["SUMMARY"]) == f"Review due: {item.title} ({item.name})"
        assert item.owner in str(event["DESCRIPTION"])
        assert event.decoded("DTSTAMP").date() == TODAY


def test_lines_of_the_calendar_are_folded_as_the_standard_asks(
    items: list[ReviewItem], clinic: Clinic
) -> None:
    """P (RFC 5545, 3.1): CRLF, at most 75 octets a line, no line cut inside a character."""
    long = [ReviewItem("exercises", "x", "é" * 200, "approved", "Lead", None, TODAY, "x.yml"), *items]
    data = coming_icalendar(long, clinic, TODAY).encode()
    assert data.endswith(b"END:VCALENDAR\r\n")
    assert b"\n" not in data.replace(b"\r\n", b"")
    for line in data.split(b"\r\n"):
        assert len(line) <= 75
        line.decode("utf-8")


def test_the_same_day_gives_the_same_calendar(items: list[ReviewItem], clinic: Clinic) -> None:
    assert coming_icalendar(items, clinic, TODAY) == coming_icalendar(items, clinic, TODAY)


def test_csv_is_read_back(items: list[ReviewItem]) -> None:
    formula = ReviewItem(
        "exercises", "kn-09", '=HYPERLINK("x"), "quoted"', "approved", "Lead", None, TODAY, "x.yml"
    )
    rows = list(csv.DictReader(io.StringIO(coming_csv([*items, formula], TODAY), newline="")))
    assert [row["name"] for row in rows] == [*(item.name for item in items), "kn-09"]
    assert rows[0]["due"] == str(items[0].due)
    assert int(rows[0]["days_left"]) == (items[0].due - TODAY).days  # type: ignore[operator]
    assert rows[-1]["title"] == "'" + formula.title


def test_text_says_how_long_until_then(items: list[ReviewItem]) -> None:
    late = [
        ReviewItem("exercises", "kn-09", "Bend", "approved", "Lead", None, TODAY - timedelta(days=1), "x.yml")
    ]
    assert "1 day overdue" in coming_text(late, TODAY)
    assert "today" in coming_text(late, TODAY - timedelta(days=1))
    assert coming_text([], TODAY) == "Nothing is due.\n"
    assert len(coming_text(items, TODAY).splitlines()) == len(items)


def test_a_leap_day_review_shows_on_the_last_of_february(library: Library, tmp_path: Path) -> None:
    file = library.root / "exercises/knee/kn-01.yml"
    text = file.read_text("utf-8").replace("reviewed: 2026-09-01, due: 2028-09-01,", "reviewed: 2024-02-29,")
    file.write_text(text, "utf-8")
    from limberleaf.library import load_library

    found = coming_due(load_library(library.root), Span(1, "day"), date(2026, 2, 27))
    assert [(item.name, item.due) for item in found] == [("kn-01", date(2026, 2, 28))]
