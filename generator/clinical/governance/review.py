"""Review dates: when an entry is due, what is overdue, and the list of what is coming as text, CSV or iCalendar.

The day is always passed in, so that the same library and day give the same answer. A month or year later than the
29th to 31st of a month that has no such day is that month's last day: 29 February 2024 and 3 years is 28 February
2027. So nothing is ever due later than the calendar allows.
"""

from __future__ import annotations

import csv
import io
import json
from calendar import monthrange
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any, Literal
from urllib.parse import urlsplit

from limberleaf.ical import calendar_file, escaped
from limberleaf.library import Clinic, Library, Loaded, Review
from limberleaf.library.models.record import Status
from limberleaf.library.models.values import Span

DueState = Literal["unknown", "current", "due_soon", "overdue"]


def add_span(day: date, span: Span, *, back: bool = False) -> date:
    """Give the day a span later (or earlier with `back`); a day the month has not becomes its last one."""
    number = -span.number if back else span.number
    if span.unit in ("day", "week"):
        return day + timedelta(days=number * (7 if span.unit == "week" else 1))
    months = day.year * 12 + day.month - 1 + number * (12 if span.unit == "year" else 1)
    year, month = divmod(months, 12)
    return date(year, month + 1, min(day.day, monthrange(year, month + 1)[1]))


def due_day(review: Review, clinic: Clinic) -> date | None:
    """Give the day the next review is due: as written, else the clinic's interval after the last one."""
    if review.due:
        return review.due
    return add_span(review.reviewed, clinic.review.interval) if review.reviewed else None


def state(review: Review, clinic: Clinic, today: date) -> DueState:
    """Return the state of a review. On its due day it is due, the day after it is overdue."""
    due = due_day(review, clinic)
    if due is None:
        return "unknown"
    if due < today:
        return "overdue"
    return "due_soon" if add_span(due, clinic.review.reminder, back=True) <= today else "current"


@dataclass(frozen=True)
class ReviewItem:
    """One entry with its review: `kind` exercises, ladders, collections, cautions or translations."""

    kind: str
    name: str
    title: str
    status: Status
    owner: str
    reviewed: date | None
    due: date | None
    path: str

    def days_left(self, today: date) -> int | None:
        """Give the days until it is due; negative when overdue, None when no day is known."""
        return (self.due - today).days if self.due else None


def review_items(library: Library) -> Iterator[ReviewItem]:
    """Give every entry and translation that is not a draft and not retired."""
    for kind in ("exercises", "ladders", "collections", "cautions"):
        for name, loaded in getattr(library, kind).items():
            yield from _item(library, kind, name, loaded)
    for (code, language), translation in library.translations.items():
        yield from _item(library, "translations", f"{code}.{language}", translation)
    for (folder, name, language), words in library.group_translations.items():
        yield from _item(library, folder, f"{name}.{language}", words)


def _item(library: Library, kind: str, name: str, loaded: Loaded[Any]) -> Iterator[ReviewItem]:
    entry = loaded.entry
    if entry.status in ("draft", "retired"):
        return
    review: Review = entry.review
    yield ReviewItem(
        kind,
        name,
        entry.title,
        entry.status,
        review.owner,
        review.reviewed,
        due_day(review, library.settings),
        loaded.source.path,
    )


def coming_due(library: Library, span: Span, today: date) -> list[ReviewItem]:
    """Give what is overdue or due within the span from today (its last day included), the most urgent first."""
    last = add_span(today, span)
    items = (item for item in review_items(library) if item.due and item.due <= last)
    return sorted(items, key=lambda item: (item.due or today, item.kind, item.name))


def coming_text(items: Sequence[ReviewItem], today: date) -> str:
    """Write the list as lines: due day, how long until then, name, title, owner."""
    if not items:
        return "Nothing is due.\n"
    wide = max(len(item.name) for item in items)
    lines = []
    for item in items:
        days = item.days_left(today) or 0
        when = "today" if not days else f"in {_days(days)}" if days > 0 else f"{_days(-days)} overdue"
        lines.append(f"{item.due}  {when:<18}  {item.name:<{wide}}  {item.title} ({item.owner})")
    return "\n".join(lines) + "\n"


def _days(number: int) -> str:
    return f"{number} day" + "s" * (number != 1)


def coming_json(items: Sequence[ReviewItem], today: date) -> str:
    """Write the list as JSON, with the columns of the CSV as keys."""
    rows = [
        {
            "due": str(item.due),
            "days_left": item.days_left(today),
            "kind": item.kind,
            "name": item.name,
            "title": item.title,
            "owner": item.owner,
            "reviewed": str(item.reviewed) if item.reviewed else None,
            "status": item.status,
            "path": item.path,
        }
        for item in items
    ]
    return json.dumps(rows, indent=2, ensure_ascii=False) + "\n"


def coming_csv(items: Sequence[ReviewItem], today: date) -> str:
    """Write the list as CSV (RFC 4180): one line an entry, dates as year-month-day."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(["due", "days_left", "kind", "name", "title", "owner", "reviewed", "status", "path"])
    for item in items:
        fields = [item.kind, item.name, item.title, item.owner]
        writer.writerow(
            [
                item.due,
                item.days_left(today),
                *map(safe_cell, fields),
                item.reviewed or "",
                item.status,
                item.path,
            ]
        )
    return out.getvalue()


def safe_cell(text: str) -> str:
    """Keep spreadsheets from reading a title as a formula."""
    return f"'{text}" if text[:1] in "=+-@\t" else text


# --- iCalendar (RFC 5545) --------------------------------------------------------------------------------------


def coming_icalendar(items: Sequence[ReviewItem], clinic: Clinic, today: date) -> str:
    """Write the list as an iCalendar of whole-day events, one an entry, stamped with the day passed in.

    The same entry keeps its UID, so that a calendar that reads the list again moves the event. Nothing about a patient
    is in it.
    """
    host = urlsplit(clinic.site).hostname or "localhost"
    events = [_event(item, item.due, host, today) for item in items if item.due]
    return calendar_file("Review dates", events)


def _event(item: ReviewItem, due: date, host: str, today: date) -> list[str]:
    return [
        "BEGIN:VEVENT",
        f"UID:review-{item.kind}-{item.name}@{host}",
        f"DTSTAMP:{today:%Y%m%d}T000000Z",
        f"DTSTART;VALUE=DATE:{due:%Y%m%d}",
        f"DTEND;VALUE=DATE:{due + timedelta(days=1):%Y%m%d}",
        f"SUMMARY:{escaped(f'Review due: {item.title} ({item.name})')}",
        f"DESCRIPTION:{escaped(_story(item))}",
        "TRANSP:TRANSPARENT",
        "END:VEVENT",
    ]


def _story(item: ReviewItem) -> str:
    last = f"Last reviewed {item.reviewed}." if item.reviewed else "Never reviewed."
    return f"Owner: {item.owner}\n{last}\nFile: {item.path}"
