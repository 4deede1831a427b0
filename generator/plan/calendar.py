"""Reminders for a plan as an iCalendar file (RFC 5545) that ends by itself and names nothing.

Each exercise is called on the days and as often in a day as it is dosed; exercises due at the same time on the same day
share one call, so three times a week is three calls and not fourteen. Times are local to the reader's device
("floating", RFC 5545 section 3.3.5): 9 in the morning stays 9 in the morning in another time zone and after the clocks
change. The words are the same for every plan: calendars are shared and synced.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta

from limberleaf.clinical.dosage.dose import totals
from limberleaf.ical import calendar_file, escaped
from limberleaf.plan.days import exercise_days
from limberleaf.plan.resolve import Resolved
from limberleaf.words import InterfaceWords

DAYS = ("MO", "TU", "WE", "TH", "FR", "SA", "SU")
TIMES = {
    1: ("09:00",),
    2: ("09:00", "18:00"),
    3: ("09:00", "14:00", "19:00"),
    4: ("08:00", "12:00", "16:00", "20:00"),
}
"""Times of day to begin with; the reader may choose others. A plan with more goes a day keeps to four reminders."""

MOST_TIMES = max(TIMES)


@dataclass(frozen=True)
class Due:
    """When one exercise is to be done (days 0 to 6 from the first of all), and how long one go takes in seconds."""

    days: tuple[int, ...]
    times_a_day: int
    seconds: int


@dataclass(frozen=True)
class Reminders:
    """What the file says: first and last day, the times of day, what is due; `link` only when the reader asked."""

    name: str
    start: date
    end: date
    times: tuple[str, ...]
    due: tuple[Due, ...]
    words: str
    seed: str
    link: str = ""


@dataclass(frozen=True)
class Call:
    """A reminder that comes again: its time, its days (0 to 6, counted from the first day of all), its minutes."""

    slot: int
    days: tuple[int, ...]
    minutes: int


def calls(due: tuple[Due, ...], times: int) -> list[Call]:
    """Say when to call: one call for all that is due at a time, days that take as long together in one rule."""
    found: list[Call] = []
    for slot in range(times):
        by_minutes: dict[int, list[int]] = {}
        for day in range(7):
            seconds = sum(
                one.seconds for one in due if day in one.days and slot in slots(one.times_a_day, times)
            )
            if seconds:
                by_minutes.setdefault(max(1, -(-seconds // 60)), []).append(day)
        found += [Call(slot, tuple(days), minutes) for minutes, days in by_minutes.items()]
    return found


def slots(often: int, times: int) -> set[int]:
    """Give at which of the day's `times` something done `often` a day is due, spread from the first to the last."""
    if often >= times or times < 2:
        return set(range(times))
    if often < 2:
        return {0}
    return {(2 * at * (times - 1) + often - 1) // (2 * (often - 1)) for at in range(often)}


def calendar(reminders: Reminders, stamp: datetime) -> str:
    """Write the file; `stamp` is when it was made. Lines end in CRLF and are folded."""
    found = calls(reminders.due, len(reminders.times))
    events = (_event(reminders, call, stamp, number) for number, call in enumerate(found, 1))
    return calendar_file("Plan", (event for event in events if event))


def _event(reminders: Reminders, call: Call, stamp: datetime, number: int) -> list[str]:
    dates = list(_dates(reminders, call))
    if not dates:
        return []
    hour, minute = (int(part) for part in reminders.times[call.slot].split(":"))
    begin = datetime.combine(dates[0], time(hour, minute))
    stamped = stamp.astimezone(UTC)
    lines = [
        "BEGIN:VEVENT",
        f"UID:{seed_of(reminders.seed)}-{reminders.start:%Y%m%d}-{number}@limberleaf",
        f"DTSTAMP:{stamped:%Y%m%dT%H%M%SZ}",
        f"DTSTART:{begin:%Y%m%dT%H%M%S}",
        f"DURATION:PT{call.minutes}M",
        f"RRULE:{rule(reminders.start, call.days, len(dates))}",
        f"SUMMARY:{escaped(reminders.name)}",
    ]
    if reminders.link:
        lines += [f"DESCRIPTION:{escaped(reminders.words + ' ' + reminders.link)}", f"URL:{reminders.link}"]
    else:
        lines.append(f"DESCRIPTION:{escaped(reminders.words)}")
    lines += ["TRANSP:TRANSPARENT", "CLASS:PRIVATE", "BEGIN:VALARM", "ACTION:DISPLAY", "TRIGGER:PT0S"]
    return [*lines, f"DESCRIPTION:{escaped(reminders.name)}", "END:VALARM", "END:VEVENT"]


def _dates(reminders: Reminders, call: Call) -> Iterator[date]:
    for offset in range((reminders.end - reminders.start).days + 1):
        if offset % 7 in call.days:
            yield reminders.start + timedelta(days=offset)


def rule(start: date, days: tuple[int, ...], count: int) -> str:
    """Give the recurrence rule: always with an end (RFC 5545 section 3.3.10); `days` count from `start`."""
    if len(days) == 7:
        return f"FREQ=DAILY;COUNT={count}"
    names = sorted({(start + timedelta(days=day)).weekday() for day in days})
    return f"FREQ=WEEKLY;BYDAY={','.join(DAYS[day] for day in names)};COUNT={count}"


def seed_of(text: str) -> str:
    """Give 8 hex digits of a text (FNV-1a, 32 bits), so that the same plan gives the same events."""
    value = 0x811C9DC5
    for byte in text.encode("utf-8"):
        value = (value ^ byte) * 0x01000193 % 2**32
    return f"{value:08x}"


def reminders_of(
    resolved: Resolved, words: InterfaceWords, start: date, seed: str, link: str = ""
) -> Reminders:
    """Say when to remind of a plan: every exercise as it is dosed, for as many weeks as the plan runs."""
    due, chosen = [], resolved.plan.days
    for one in resolved.chosen:
        sums = totals(one.dose, one.sides)
        days = exercise_days(one.dose.days_a_week.high, chosen)
        if chosen:  # named days: counted from the first day of the reminders
            days = tuple((day - start.weekday()) % 7 for day in days)
        due.append(Due(days, sums.times_a_day.high, sums.session.high))
    often = min(max([1, *(one.times_a_day for one in due)]), MOST_TIMES)
    return Reminders(
        name=words.say("plan.calendar.name"),
        start=start,
        end=start + timedelta(days=resolved.plan.weeks * 7 - 1),
        times=TIMES[often],
        due=tuple(due),
        words=words.say("plan.calendar.words"),
        seed=seed,
        link=link,
    )
