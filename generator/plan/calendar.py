"""Reminders for a plan as an iCalendar file (RFC 5545) that ends by itself and names nothing.

One event for each time of day, on the plan's days, as often as its weeks allow. Times are local to the reader's
device ("floating", RFC 5545 section 3.3.5). The words are the same for every plan: calendars are shared and synced.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta

from limberleaf.clinical.dose import totals
from limberleaf.ical import calendar_file, escaped
from limberleaf.plan.resolve import Resolved
from limberleaf.words import InterfaceWords

DAYS = ("MO", "TU", "WE", "TH", "FR", "SA", "SU")
SPREAD = {1: (0,), 2: (0, 3), 3: (0, 2, 4), 4: (0, 2, 4, 6), 5: (0, 1, 3, 4, 5), 6: (0, 1, 2, 3, 4, 5)}
"""Days from the start on which exercise days fall; common practice, no source."""

TIMES = {
    1: ("09:00",),
    2: ("09:00", "18:00"),
    3: ("09:00", "14:00", "19:00"),
    4: ("08:00", "12:00", "16:00", "20:00"),
}
"""Times of day; a plan with more goes a day keeps to four reminders."""


@dataclass(frozen=True)
class Reminders:
    """What the file says. `minutes` is one go; `link` goes in only when the reader asked for it."""

    name: str
    start: date
    weeks: int
    days_a_week: int
    times_a_day: int
    minutes: int
    words: str
    seed: str
    link: str = ""


def calendar(reminders: Reminders, stamp: datetime) -> str:
    """Write the file; `stamp` is when it was made. Lines end in CRLF and are folded."""
    slots = TIMES[min(max(reminders.times_a_day, 1), 4)]
    return calendar_file("Plan", (_event(reminders, stamp, slot, at) for slot, at in enumerate(slots, 1)))


def _event(reminders: Reminders, stamp: datetime, slot: int, at: str) -> list[str]:
    hour, minute = (int(part) for part in at.split(":"))
    begin = datetime.combine(reminders.start, time(hour, minute))
    made = stamp.astimezone(UTC)
    lines = [
        "BEGIN:VEVENT",
        f"UID:{seed_of(reminders.seed)}-{reminders.start:%Y%m%d}-{slot}@limberleaf",
        f"DTSTAMP:{made:%Y%m%dT%H%M%SZ}",
        f"DTSTART:{begin:%Y%m%dT%H%M%S}",
        f"DURATION:PT{max(1, reminders.minutes)}M",
        f"RRULE:{rule(reminders.start, reminders.days_a_week, reminders.weeks)}",
        f"SUMMARY:{escaped(reminders.name)}",
    ]
    if reminders.link:
        lines += [f"DESCRIPTION:{escaped(reminders.words + ' ' + reminders.link)}", f"URL:{reminders.link}"]
    else:
        lines.append(f"DESCRIPTION:{escaped(reminders.words)}")
    lines += ["TRANSP:TRANSPARENT", "CLASS:PRIVATE", "BEGIN:VALARM", "ACTION:DISPLAY", "TRIGGER:PT0S"]
    return [*lines, f"DESCRIPTION:{escaped(reminders.name)}", "END:VALARM", "END:VEVENT"]


def rule(start: date, days_a_week: int, weeks: int) -> str:
    """Give the recurrence rule: always with an end, its first day being the start (RFC 5545 section 3.8.5.3)."""
    if days_a_week >= 7:
        return f"FREQ=DAILY;COUNT={weeks * 7}"
    offsets = SPREAD[max(days_a_week, 1)]
    names = sorted({(start + timedelta(days=offset)).weekday() for offset in offsets})
    return f"FREQ=WEEKLY;BYDAY={','.join(DAYS[day] for day in names)};COUNT={weeks * len(offsets)}"


def seed_of(text: str) -> str:
    """Give 8 hex digits of a text (FNV-1a, 32 bits), so that the same plan gives the same events."""
    value = 0x811C9DC5
    for byte in text.encode("utf-8"):
        value = (value ^ byte) * 0x01000193 % 2**32
    return f"{value:08x}"


def reminders_of(
    resolved: Resolved, words: InterfaceWords, start: date, seed: str, link: str = ""
) -> Reminders:
    """Say when to remind of a plan: on as many days and as often in a day as its busiest exercise asks."""
    sums = [totals(one.dose, one.sides) for one in resolved.chosen]
    return Reminders(
        name=words.say("plan.calendar.name"),
        start=start,
        weeks=resolved.plan.weeks,
        days_a_week=max([1, *(one.dose.days_a_week.high for one in resolved.chosen)]),
        times_a_day=max([1, *(total.times_a_day.high for total in sums)]),
        minutes=-(-sum(total.session.high for total in sums) // 60),
        words=words.say("plan.calendar.words"),
        seed=seed,
        link=link,
    )
