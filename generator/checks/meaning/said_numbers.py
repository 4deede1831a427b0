"""Numbers in instructions, in words or figures: each is the dose's, or counts something else.

Read in setup, steps, captions and the lines in short, in the languages of clinical/data/text_facts.yml. What counts
things and parts of the body (“one hand”, “3 breaths”) is left alone.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from functools import cache
from typing import Any

from limberleaf.checks.each import each_exercise
from limberleaf.checks.texts import texts_of
from limberleaf.clinical.dose_parts import seconds_or_count
from limberleaf.clinical.text_facts import number_of, number_words
from limberleaf.findings import Finding
from limberleaf.library import Dose, Exercise, Library, Loaded, Translation
from limberleaf.library.source import Source

READ = ("steps", "in_short", "figure", "setup", "watch_for")
PARTS = (
    "sets",
    "repetitions",
    "hold",
    "rest",
    "duration",
    "times_a_day",
    "days_a_week",
    "out",
    "back",
    "pause",
    "every",
)

UNITS: Mapping[str, Mapping[str, int]] = {
    "en": {
        "second": 1,
        "sec": 1,
        "minute": 60,
        "min": 60,
        "hour": 3600,
        "time": 0,
        "repeat": 0,
        "rep": 0,
        "set": 0,
        "round": 0,
    },
    "nl": {"seconde": 1, "sec": 1, "tel": 1, "minu": 60, "uur": 3600, "keer": 0, "herhaling": 0, "serie": 0},
    "ar": {"ثان": 1, "ثوان": 1, "دقيق": 60, "دقائق": 60, "ساع": 3600, "مر": 0, "مجموع": 0},
}
"""Beginnings of the words that stand after a number of a dose, with the seconds of the unit (0: it counts)."""

_BEFORE = {
    "en": r"count(?:ed|ing)? (?:slowly )?(?:up )?to|(?:hold|stay|wait|rest|press|squeeze|push|pull)(?: \w+)? for|for",
    "nl": r"(?:tel|telt|tellend)(?: \w+)? tot|vast (?:tot|voor)",
    "ar": r"عُ?دّ? (?:\w+ )?حتى|اثبت حتى",
}
_SAYS_HOURLY = re.compile(
    r"\b(?:every|each) (?:day|hour|minute|morning|evening)\b|\ball day\b|\bdaily\b|\bhourly\b"
    r"|\b(?:once|twice|thrice) an? (?:day|week|hour)\b"
    r"|\bhalf an hour\b|\ba dozen\b|\belke? (?:dag|uur|minuut)\b|\bdagelijks\b|\bde hele dag\b|\bkeer op een dag\b",
    re.IGNORECASE,
)
_OF_ITS_OWN = re.compile(r"\b(?:last|first|add)\s*$", re.IGNORECASE)
"""Before a number that is not the dose's and does not mean to be: the last 2 minutes of a walk."""

_DAYS = re.compile(r"day|morning|evening|dag|week", re.IGNORECASE)


def check_said_numbers(library: Library) -> Iterator[Finding]:
    """Say numbers in instructions that are none of the dose's."""
    yield from each_exercise(library, _of_exercise, library.settings.language)
    for (code, language), words in library.translations.items():
        original = library.exercises.get(code)
        if original and words.entry.status != "retired":
            yield from _in_entry(words.entry, words.source, original.entry.dose, language)


def _of_exercise(loaded: Loaded[Exercise], language: str) -> Iterator[Finding]:
    yield from _in_entry(loaded.entry, loaded.source, loaded.entry.dose, language)


@cache
def _pattern(language: str) -> re.Pattern[str] | None:
    if language not in UNITS:
        return None
    words = "|".join(sorted(map(re.escape, number_words(language)), key=len, reverse=True))
    number = rf"(?<![\w{{.,])(?P<number>\d+|(?:{words})(?!\w))"
    units = "|".join(UNITS[language])
    article = r"(?P<article>\ban?\b|\been\b) " if language in ("en", "nl") else r"(?P<article>(?!)) "
    timed = "|".join(unit for unit, seconds in UNITS[language].items() if seconds)
    return re.compile(
        rf"(?P<before>\b(?:{_BEFORE[language]}) )?{number}(?: ?(?P<unit>(?:{units})\w*))?"
        rf"|{article}(?P<one>(?:{timed})\w*)",
        re.IGNORECASE,
    )


def _in_entry(entry: Exercise | Translation, source: Source, dose: Dose, language: str) -> Iterator[Finding]:
    pattern = _pattern(language)
    if pattern is None:
        return
    for loc, text in texts_of(entry):
        if loc[0] not in READ:
            continue
        place = ("figure", *loc[2:]) if isinstance(entry, Translation) and loc[0] == "figure" else loc
        for match in pattern.finditer(text):
            if _contradicts(match, dose, language) and not _OF_ITS_OWN.search(text[: match.start()]):
                yield _finding(match[0], source, place, match.start())
        for said in _SAYS_HOURLY.finditer(text):
            if not _is_so(said[0], dose):
                yield _finding(said[0], source, place, said.start())


def _contradicts(match: re.Match[str], dose: Dose, language: str) -> bool:
    unit = (match["unit"] or match["one"] or "").casefold()
    if not unit and not match["before"]:
        return False
    number = 1 if match["one"] else _value(match["number"], language)
    seconds = (
        next((times for start, times in UNITS[language].items() if unit.startswith(start)), 0) if unit else 0
    )
    said = number * seconds if seconds else number
    for part in PARTS:
        own = seconds_or_count(dose, part)
        if own and own.low <= said <= own.high:
            return False
    return True


def _value(text: str, language: str) -> int:
    return int(text) if text.isdecimal() else number_of(text, language) or 0


def _is_so(said: str, dose: Dose) -> bool:
    lower = said.casefold()
    if "hour" in lower or "uur" in lower:
        return "half" not in lower and bool(dose.every)
    if lower.startswith(("once", "twice", "thrice")):
        times = seconds_or_count(dose, "times_a_day")
        return times is not None and times.low <= {"o": 1, "t": 2}[lower[0]] <= times.high
    if _DAYS.search(lower) and "all" not in lower and "hele" not in lower:
        return dose.days_a_week.high == 7
    return False


def _finding(said: str, source: Source, loc: tuple[Any, ...], offset: int) -> Finding:
    return Finding(
        "error",
        "number-not-in-dose",
        f"“{said.strip()}” is no number of the dose.",
        "Write the blank of the dose, such as {hold_count} or {repetitions}; or correct the dose.",
        source.place(loc, offset=offset),
    )
