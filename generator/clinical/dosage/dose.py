"""The arithmetic and the words of a dose.

A dose is written once (3 sets of 8-12, hold 3 s). From it come the totals (so that no reader has to calculate),
plain sentences, the strip of numbers under the figure, and ISO 8601 durations for machines. Ranges stay ranges all
the way: the low ends make the low total, the high ends the high one.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from limberleaf.data_files import safe_load
from limberleaf.library.models.exercise import AsComfortable, Dose, Sides, Tempo
from limberleaf.library.models.values import Count, Duration
from limberleaf.words import InterfaceWords

NO_TIME = Duration(0, 0)
ONE = Count(1, 1)
ALL_WEEK = 7
LONG_MINUTES = 180
"""From so many minutes on, times are given in hours; 150 minutes a week is how the public advice says it."""


@cache
def assumptions() -> Mapping[str, Any]:
    """Read what the arithmetic takes for granted (data/assumptions.yml)."""
    text = files("limberleaf.clinical").joinpath("data/assumptions.yml").read_text("utf-8")
    return dict(safe_load(text))


@dataclass(frozen=True)
class Totals:
    """What a dose adds up to. Repetitions are None for a timed dose; times are in seconds."""

    repetitions_a_go: Count | None
    """Of all sets and all sides, each time."""
    repetitions_a_day: Count | None
    repetitions_a_side: Count | None
    """In a day, for one side; the same as `repetitions_a_day` unless each side has its turn."""
    hold_a_side: Duration
    """Time held on one side, each time: what counts for a stretch."""
    hold: Duration
    """Time held on all sides, each time."""
    session: Duration
    """One go, with the rests between sets."""
    times_a_day: Count
    day: Duration
    week: Duration


@dataclass(frozen=True)
class Cell:
    """One number of the dose strip and what it counts."""

    number: str
    label: str


def times_a_day(dose: Dose) -> Count:
    """Give how often in a day; "every hour" counts the waking hours."""
    if dose.times_a_day is not None:
        return dose.times_a_day
    if dose.every is None or not dose.every.low:
        return ONE
    awake = [hours * 3600 for hours in assumptions()["waking_hours"]]
    return Count(max(1, awake[0] // dose.every.high), max(1, awake[1] // dose.every.low))


def repetitions(dose: Dose) -> Count | None:
    """Give the repetitions of one set; "as many as feel comfortable" runs from 1 to its ceiling."""
    if isinstance(dose.repetitions, AsComfortable):
        return Count(1, dose.repetitions.up_to)
    return dose.repetitions


def one_repetition(dose: Dose) -> Duration:
    """Give the seconds of one repetition: out, pause, hold and back."""
    move = int(assumptions()["move_seconds"])
    parts = [dose.hold or NO_TIME]
    if dose.tempo:
        parts += [dose.tempo.out, dose.tempo.pause or NO_TIME, dose.tempo.back]
    else:
        parts.append(Duration(move, move))
    return Duration(sum(part.low for part in parts), sum(part.high for part in parts))


def rests(dose: Dose) -> Count:
    """Count the rests in one go on one side: between sets, or between the repetitions of a single set."""
    sets = dose.sets or ONE
    between = sets if sets.high > 1 else repetitions(dose) or ONE
    return Count(between.low - 1, between.high - 1)


def totals(dose: Dose, sides: Sides) -> Totals:
    """Add a dose up. `sides: each` doubles repetitions and time; `one` and `both` do not."""
    turns = 2 if sides == "each" else 1
    sets = dose.sets or ONE
    often = times_a_day(dose)
    count = repetitions(dose)
    rest = dose.rest or NO_TIME
    hold = NO_TIME
    if count:
        once = one_repetition(dose)
        hold = _scaled(_scaled(dose.hold or NO_TIME, count), sets)
        work = _scaled(once, count)
    else:
        work = dose.duration or NO_TIME
    pauses = rests(dose)
    side = Duration(
        sets.low * work.low + pauses.low * rest.low, sets.high * work.high + pauses.high * rest.high
    )
    session = _times(side, turns)
    day = _scaled(session, often)
    go = Count(sets.low * count.low, sets.high * count.high) if count else None
    a_side = Count(go.low * often.low, go.high * often.high) if go else None
    return Totals(
        repetitions_a_go=Count(go.low * turns, go.high * turns) if go else None,
        repetitions_a_day=Count(a_side.low * turns, a_side.high * turns) if a_side else None,
        repetitions_a_side=a_side,
        hold_a_side=hold,
        hold=_times(hold, turns),
        session=session,
        times_a_day=often,
        day=day,
        week=_scaled(day, dose.days_a_week),
    )


def _scaled(time: Duration, by: Count) -> Duration:
    return Duration(time.low * by.low, time.high * by.high)


def _times(time: Duration, by: int) -> Duration:
    return Duration(time.low * by, time.high * by)


# --- words -----------------------------------------------------------------------------------------------------


def spoken(dose: Dose, sides: Sides, words: InterfaceWords) -> str:
    """Say the dose in plain sentences, in the order in which it is done."""
    sentences = [_what(dose, words)]
    if dose.hold and dose.hold.high:
        count = repetitions(dose)
        only_one = count is None or (count.high == 1 and (dose.sets or ONE).high == 1)
        sentences.append(
            words.say("dose.hold_once" if only_one else "dose.hold", time=time_words(dose.hold, words))
        )
    if dose.tempo:
        sentences.append(_tempo(dose, words))
    several = (dose.sets or ONE).high > 1
    if dose.rest and dose.rest.high and rests(dose).high:
        key = "dose.rest" if several and not dose.duration else "dose.rest_between"
        sentences.append(words.say(key, time=time_words(dose.rest, words)))
    if sides == "each":
        key = "dose.each" if not several else "dose.each_timed" if dose.duration else "dose.each_sets"
        sentences.append(words.say(key))
    sentences.append(words.say("dose.often", times=often_words(dose, words), days=days_words(dose, words)))
    return " ".join(sentences)


def _what(dose: Dose, words: InterfaceWords) -> str:
    sets = dose.sets or ONE
    several = sets.high > 1
    if dose.duration:
        time = time_words(dose.duration, words)
        if not several:
            return words.say("dose.timed", time=time)
        return words.say("dose.timed_sets", n=plural_of(sets), number=number_words(sets, words), time=time)
    if isinstance(dose.repetitions, AsComfortable):
        most = dose.repetitions.up_to
        if not several:
            return words.say("dose.as_many", most=most)
        return words.say("dose.as_many_sets", n=plural_of(sets), number=number_words(sets, words), most=most)
    count = dose.repetitions or ONE
    if not several:
        return words.say("dose.repeats", n=plural_of(count), number=number_words(count, words))
    return words.say(
        "dose.sets", n=plural_of(sets), number=number_words(sets, words), repeats=number_words(count, words)
    )


def _tempo(dose: Dose, words: InterfaceWords) -> str:
    tempo = dose.tempo
    assert tempo is not None  # noqa: S101 - the caller looks first
    out, back = _seconds(tempo.out, words), _seconds(tempo.back, words)
    if tempo.pause and tempo.pause.high:
        return words.say("dose.tempo_pause", out=out, pause=_seconds(tempo.pause, words), back=back)
    return words.say("dose.tempo", out=out, back=back)


def often_words(dose: Dose, words: InterfaceWords) -> str:
    """Say how often in a day: `twice a day`, `every hour while you are awake`."""
    if dose.times_a_day is None:
        every = dose.every or Duration(3600, 3600)
        if every == Duration(3600, 3600):
            return words.say("dose.every_hour")
        return words.say("dose.every", time=time_words(every, words))
    often = dose.times_a_day
    if often == Count(2, 2):
        return words.say("dose.twice_a_day")
    return words.say("dose.times_a_day", n=plural_of(often), number=number_words(often, words))


def days_words(dose: Dose, words: InterfaceWords) -> str:
    """Say on which days: `every day`, `on 3 days a week`."""
    if dose.days_a_week.low == ALL_WEEK:
        return words.say("dose.every_day")
    days = dose.days_a_week
    return words.say("dose.days_a_week", n=plural_of(days), number=number_words(days, words))


def number_words(count: Count, words: InterfaceWords) -> str:
    """Write a count: 10, `8 to 12`, or `2 or 3` for neighbours."""
    if not count.is_range:
        return str(count.low)
    key = "dose.either" if count.high - count.low == 1 else "dose.range"
    return words.say(key, low=count.low, high=count.high)


def plural_of(count: Count) -> int:
    """Give the number whose plural a count takes; a range never takes the dual or the singular."""
    return max(count.high, 3) if count.is_range else count.high


def time_words(time: Duration, words: InterfaceWords) -> str:
    """Write a time in its largest whole unit: 90 seconds, 2 minutes, `20 to 30 seconds`."""
    number, unit = in_unit(time)
    return words.say(f"dose.{unit}", n=plural_of(number), number=number_words(number, words))


def in_unit(time: Duration) -> tuple[Count, str]:
    """Give a time as a count and the largest unit (`hours`, `minutes`, `seconds`) both its ends are whole in."""
    for unit, seconds in (("hours", 3600), ("minutes", 60)):
        if time.low and time.low % seconds == 0 and time.high % seconds == 0:
            return Count(time.low // seconds, time.high // seconds), unit
    return Count(time.low, time.high), "seconds"


def _seconds(time: Duration, words: InterfaceWords) -> str:
    return number_words(Count(time.low, time.high), words)


def about(time: Duration, words: InterfaceWords) -> str:
    """Write a time as people say it, to the minute: `about 5 minutes`, `about 7 to 9 minutes`."""
    high = _half_up(time.high, 60)
    if high < 1:
        return words.say("dose.under_a_minute")
    count, unit = Count(max(_half_up(time.low, 60), 1), high), "minutes"
    whole_hours = in_unit(time)[1] == "hours"
    if whole_hours or count.low >= LONG_MINUTES:
        count, unit = Count(_half_up(time.low, 3600), _half_up(time.high, 3600)), "hours"
    number = words.say("dose.range", low=count.low, high=count.high) if count.is_range else str(count.low)
    return words.say("dose.about", time=words.say(f"dose.{unit}", n=plural_of(count), number=number))


def _half_up(seconds: int, unit: int) -> int:
    return (2 * seconds + unit) // (2 * unit)


def total_line(dose: Dose, sides: Sides, words: InterfaceWords) -> str:
    """Say what the dose adds up to: "That is 24 to 36 repeats a day. It takes about 8 minutes."."""
    total = totals(dose, sides)
    time = about(total.session, words)
    takes = words.say(
        "dose.takes" if total.times_a_day == ONE else "dose.takes_each_time",
        time=time,
    )
    a_side = total.repetitions_a_side
    if a_side is None:
        if total.times_a_day == ONE and dose.days_a_week == ONE:
            return takes
        return words.say("dose.total_time", day=about(total.day, words), week=about(total.week, words))
    if isinstance(dose.repetitions, AsComfortable):
        key, number = "dose.total_most", str(a_side.high)
    else:
        key, number = "dose.total", number_words(a_side, words)
    if sides == "each":
        key += "_each"
    return words.say(key, n=plural_of(a_side), number=number) + " " + takes


def time_needed(dose: Dose, sides: Sides, words: InterfaceWords) -> str:
    """Say the time it takes: "About 5 minutes", "About 2 minutes, 3 times a day"."""
    time = about(totals(dose, sides).session, words)
    if dose.times_a_day != ONE:
        time = words.say("dose.time_and_often", time=time, times=often_words(dose, words))
    return time[:1].upper() + time[1:]


def table(dose: Dose, sides: Sides, words: InterfaceWords) -> list[Cell]:
    """Give the strip of numbers: sets, repeats, hold, tempo, rest, times a day, days a week."""
    cells: list[Cell] = []

    def add(number: Count, label: str) -> None:
        cells.append(Cell(_figures(number, words), words.say(f"dose.cells.{label}", n=plural_of(number))))

    def add_time(time: Duration, label: str) -> None:
        number, unit = in_unit(time)
        cells.append(
            Cell(_figures(number, words), words.say(f"dose.cells.{label}_{unit}", n=plural_of(number)))
        )

    several = (dose.sets or ONE).high > 1
    if dose.sets and several:
        add(dose.sets, "sets")
    if isinstance(dose.repetitions, AsComfortable):
        most = Count(dose.repetitions.up_to, dose.repetitions.up_to)
        add(most, "most_each" if sides == "each" else "most")
    elif dose.repetitions:
        add(dose.repetitions, "repeats_each" if sides == "each" else "repeats")
    if dose.duration:
        add_time(dose.duration, "timed_each" if sides == "each" else "timed")
    if dose.hold and dose.hold.high:
        add_time(dose.hold, "hold")
    if dose.tempo:
        cells.append(_tempo_cell(dose.tempo, words))
    if dose.rest and dose.rest.high and rests(dose).high:
        add_time(dose.rest, "rest")
    if dose.times_a_day:
        n, number = plural_of(dose.times_a_day), _figures(dose.times_a_day, words)
        often = words.say("dose.cells.times_a_day_number", n=n, number=number)
        cells.append(Cell(often, words.say("dose.cells.times_a_day", n=n)))
    elif dose.every:
        add_time(dose.every, "every")
    add(dose.days_a_week, "days_a_week")
    return cells


def _tempo_cell(tempo: Tempo, words: InterfaceWords) -> Cell:
    """Write a tempo for the strip: `2, then 3`, seconds to move, and to come back."""
    out, back = (_figures(Count(part.low, part.high), words) for part in (tempo.out, tempo.back))
    if tempo.pause and tempo.pause.high:
        pause = _figures(Count(tempo.pause.low, tempo.pause.high), words)
        number = words.say("dose.cells.tempo_pause_numbers", out=out, pause=pause, back=back)
        return Cell(number, words.say("dose.cells.tempo_pause"))
    return Cell(words.say("dose.cells.tempo_numbers", out=out, back=back), words.say("dose.cells.tempo"))


def _figures(count: Count, words: InterfaceWords) -> str:
    """Write a number or range for the strip. A dash between numbers runs backwards in right-to-left text (UAX 9)."""
    if not count.is_range:
        return str(count.low)
    return number_words(count, words) if words.direction == "rtl" else f"{count.low}–{count.high}"
