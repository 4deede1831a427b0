"""Doses: inside the usual range or with a reason, possible in a day, and the same in figures and in words.

A dose outside the usual range is a note, never a block: the clinician decides. A dose that the steps contradict is
a warning, because the patient reads both.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import NamedTuple

from limberleaf.checks.each import each_exercise
from limberleaf.clinical.dosage.dose import in_unit, repetitions, rests, times_a_day, totals
from limberleaf.clinical.dosage.usual import Amount, Usual, amounts, excused, outside
from limberleaf.clinical.text_facts import number_of
from limberleaf.findings import Finding, Severity
from limberleaf.library import Dose, Exercise, Library, Loaded
from limberleaf.library.models.values import Count, Duration
from limberleaf.library.yaml.source import Loc

WAKING_SECONDS = 16 * 3600
LONG_SESSION = 60 * 60
"""Seconds; one counted exercise that takes an hour is a slip of the pen (common practice, no source)."""

FAR_ABOVE = 2
"""Times the most that is usual from which a dose is more likely a slip than a choice (common practice, no source)."""

SPECIAL: dict[tuple[str, str], tuple[Severity, str]] = {
    ("stretch", "hold_a_side"): ("warning", "stretch-too-short"),
    ("strength", "days_a_week"): ("warning", "strength-without-rest-days"),
    ("nerve_slider", "hold"): ("error", "slider-held"),
    ("nerve_tensioner", "hold"): ("warning", "tensioner-held"),
}
"""Findings with a code of their own, by kind and part of the dose."""

PARTS = {
    "sets": "sets",
    "repetitions": "repeats in a set",
    "hold": "of hold",
    "rest": "of rest",
    "duration": "in all",
    "times_a_day": "times a day",
    "days_a_week": "days a week",
    "hold_a_side": "of stretch on one side each time",
}

NAMED = {
    "sets": "sets",
    "repetitions": "repeats",
    "hold": "hold",
    "rest": "rest",
    "duration": "minutes",
    "times_a_day": "a day",
    "days_a_week": "days",
    "hold_a_side": "hold",
}
"""A word by which a reason is known to speak of a part of the dose (`clinical.usual.excused`)."""


def check_doses(library: Library) -> Iterator[Finding]:
    """Say unusual doses without a reason, impossible ones, and words that differ from the dose."""
    yield from each_exercise(library, _of_exercise, library.settings.language)


def _of_exercise(loaded: Loaded[Exercise], language: str) -> Iterator[Finding]:
    yield from _unusual(loaded)
    yield from _possible(loaded)
    yield from _bands(loaded)
    if language == "en":
        yield from _words(loaded)


def _unusual(loaded: Loaded[Exercise]) -> Iterator[Finding]:
    exercise = loaded.entry
    found = outside(exercise)
    if exercise.dose_reason:
        if not found:
            yield Finding(
                "note",
                "dose-reason-not-needed",
                "The dose is inside the usual range, so it needs no reason.",
                "Leave `dose_reason:` out.",
                loaded.source.place(("dose_reason",), key=True),
            )
        found = {part: rows for part, rows in found.items() if part not in excused(exercise)}
    given = amounts(exercise)
    for part, rows in found.items():
        severity, code = SPECIAL.get((exercise.kind, part), ("note", "dose-unusual"))
        if severity == "note" and given[part].low >= FAR_ABOVE * max(row.high for row in rows):
            severity = "warning"
        yield Finding(
            severity,
            code,
            f"{_amount(given[part])} {PARTS[part]} is not usual for this kind ({exercise.kind}). "
            f"Usual: {_ranges(rows)}.",
            (
                f"`dose_reason:` does not speak of it: say why there, with the word “{NAMED[part]}”. Source: "
                if exercise.dose_reason
                else "Change the dose, or write `dose_reason:`. Source: "
            )
            + "; ".join(dict.fromkeys(f"{row.source} ({row.status.replace('_', ' ')})" for row in rows))
            + ".",
            loaded.source.place(("dose", part)),
        )


def _amount(amount: Amount) -> str:
    if isinstance(amount, Count):
        return str(amount.low) if amount.low == amount.high else f"{amount.low}-{amount.high}"
    number, unit = in_unit(amount)
    return f"{_amount(number)} {unit.removesuffix('s') if number.high == 1 else unit}"


def _ranges(rows: tuple[Usual, ...]) -> str:
    amounts = []
    for row in rows:
        amount: Amount = (Duration if row.unit == "seconds" else Count)(row.low, row.high)
        who = " ".join(word for word in (row.age_group, row.purpose) if word not in ("any", "general"))
        amounts.append(_amount(amount) + (f" ({who})" if who else ""))
    return ", ".join(dict.fromkeys(amounts))


def _possible(loaded: Loaded[Exercise]) -> Iterator[Finding]:
    exercise, dose = loaded.entry, loaded.entry.dose
    total = totals(dose, exercise.sides)
    if total.day.high > WAKING_SECONDS:
        yield Finding(
            "error",
            "dose-longer-than-day",
            f"The dose adds up to {total.day.high // 3600} hours a day.",
            "Look at the hold, the sets and how often.",
            loaded.source.place(("dose",)),
        )
    elif dose.repetitions and total.session.high > LONG_SESSION:
        yield Finding(
            "error",
            "session-too-long",
            f"One go takes {total.session.high // 60} minutes.",
            "Look at the hold, the rest and the sets.",
            loaded.source.place(("dose",)),
        )
    if dose.rest and not rests(dose).high:
        yield _idle(loaded, "rest", "It is done once in a go, so there is nothing to rest between.")
    for part in ("hold", "tempo"):
        if dose.duration and getattr(dose, part):
            yield _idle(loaded, part, f"A timed dose has no {part}.")
    if dose.every and not 15 * 60 <= dose.every.low <= 8 * 3600:
        yield Finding(
            "warning",
            "every-not-likely",
            f"Every {_amount(dose.every)} is not likely while awake.",
            "Write `every: 1 h`, or use `times_a_day:`.",
            loaded.source.place(("dose", "every")),
        )


def _idle(loaded: Loaded[Exercise], part: str, message: str) -> Finding:
    return Finding(
        "warning",
        "dose-part-idle",
        message,
        f"Leave `{part}:` out, or correct the rest of the dose.",
        loaded.source.place(("dose", part), key=True),
    )


def _bands(loaded: Loaded[Exercise]) -> Iterator[Finding]:
    bands = loaded.entry.feelings.bands
    if bands and not bands.tile():
        yield Finding(
            "error",
            "bands-gap",
            "These pain bands do not cover 0 to 10 without a gap or an overlap.",
            "Write three that follow each other, such as 0-2, 3-5 and 6-10.",
            loaded.source.place(("feelings", "bands")),
        )
    for name in ("fine", "ease_off", "stop"):
        for index, text in enumerate(getattr(loaded.entry.feelings, name)):
            for match in re.finditer(r"\b(\d{1,2})(?= out of 10)", text):
                yield Finding(
                    "note",
                    "pain-number-written-out",
                    f"“{match[1]} out of 10” will not follow when the clinic changes its bands.",
                    "Write {acceptable_pain} out of 10, or set `bands:` for this exercise.",
                    loaded.source.place(("feelings", name, index), offset=match.start()),
                )


# --- the same in words -----------------------------------------------------------------------------------------

_WRITTEN = [
    *("two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "twelve", "fifteen", "twenty"),
    *("thirty", "forty", "fifty", "sixty", "ninety"),
]
_NUMBER = rf"(?P<low>\d++|{'|'.join(_WRITTEN)})(?:(?: or | to |-|–)(?P<high>\d++))?"

_NOT_SECONDS = "min|hour|time|day|week|month|step|slow|deep|breath"


class Phrase(NamedTuple):
    """A way to write a part of the dose in a text; `low` and `high` are its numbers."""

    pattern: re.Pattern[str]
    part: str


PHRASES = (
    Phrase(re.compile(rf"\b{_NUMBER} sets?\b", re.IGNORECASE), "sets"),
    Phrase(re.compile(rf"\b{_NUMBER} (?:times a day|goes a day)\b", re.IGNORECASE), "times_a_day"),
    Phrase(re.compile(r"\b(?P<word>once|twice) a day\b", re.IGNORECASE), "times_a_day"),
    Phrase(re.compile(r"\b(?P<word>every day|each day|daily)\b", re.IGNORECASE), "days_a_week"),
    Phrase(re.compile(r"\bfor (?P<word>a minute|1 minute|one minute)\b", re.IGNORECASE), "count"),
    Phrase(re.compile(rf"\b{_NUMBER} days (?:a|each) week\b", re.IGNORECASE), "days_a_week"),
    Phrase(re.compile(rf"\b{_NUMBER} (?:times(?! a day| in all)|repeats)\b", re.IGNORECASE), "repetitions"),
    Phrase(re.compile(rf"\bsets? of {_NUMBER}\b", re.IGNORECASE), "repetitions"),
    Phrase(
        re.compile(
            rf"\b(?:count to|hold for|hold there for|for) {_NUMBER}(?! ?(?:{_NOT_SECONDS}))",
            re.IGNORECASE,
        ),
        "count",
    ),
)
"""English only; other languages are checked by their reviewers."""

_WORDS = {
    "once": 1, "twice": 2, "every day": 7, "each day": 7, "daily": 7, "a minute": 60, "1 minute": 60, "one minute": 60,
}  # fmt: skip


def _words(loaded: Loaded[Exercise]) -> Iterator[Finding]:
    for key in ("steps", "in_short"):
        lines: list[str] = getattr(loaded.entry, key)
        for index, text in enumerate(lines):
            for phrase in PHRASES:
                for match in phrase.pattern.finditer(text):
                    count = _count_in(match)
                    allowed = _allowed(loaded.entry.dose, phrase.part)
                    if allowed and not any(_agree(count, amount) for amount in allowed):
                        yield _differs(loaded, (key, index), match, allowed)


def _count_in(match: re.Match[str]) -> Count:
    groups = match.groupdict()
    if groups.get("word"):
        number = _WORDS[groups["word"].lower()]
        return Count(number, number)
    low = int(groups["low"]) if groups["low"].isdigit() else number_of(groups["low"], "en") or 0
    return Count(low, int(groups.get("high") or low))


def _allowed(dose: Dose, part: str) -> list[Amount]:
    if part == "count":
        tempo = (dose.tempo.out, dose.tempo.pause, dose.tempo.back) if dose.tempo else ()
        return [time for time in (dose.hold, *tempo, dose.duration) if time]
    given = {
        "sets": dose.sets,
        "repetitions": repetitions(dose),
        "times_a_day": times_a_day(dose),
        "days_a_week": dose.days_a_week,
    }[part]
    return [given] if given else []


def _agree(count: Count, amount: Amount) -> bool:
    return amount.low <= count.low and count.high <= amount.high


def _differs(loaded: Loaded[Exercise], loc: Loc, match: re.Match[str], allowed: list[Amount]) -> Finding:
    return Finding(
        "error",
        "words-differ-from-dose",
        f"“{match[0]}” does not agree with the dose ({' or '.join(_amount(amount) for amount in allowed)}).",
        "Correct the words or the dose; the patient reads both.",
        loaded.source.place(loc, offset=match.start()),
    )
