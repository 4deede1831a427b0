"""Numbers in instructions, in words or figures: each is the dose's, or counts something else.

Read in setup, steps, captions and the lines in short, in the languages of data/numbers_in_words.yml. What counts
things and parts of the body (“one hand”, “3 breaths”) is left alone.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from functools import cache
from typing import NamedTuple

from limberleaf.checks.each import each_in_its_words
from limberleaf.checks.texts import texts_of
from limberleaf.clinical.dosage.dose import ALL_WEEK
from limberleaf.clinical.dosage.dose_parts import seconds_or_count
from limberleaf.clinical.text_facts import number_of, number_words
from limberleaf.data_files import data_of
from limberleaf.findings import Finding
from limberleaf.library import Dose, Exercise, Library, Translation
from limberleaf.library.yaml.source import Loc, Source

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
RHYTHMS = ("hourly", "daily", "times", "never")


class _Ways(NamedTuple):
    """How a language says numbers of a dose."""

    pattern: re.Pattern[str]
    seconds: Mapping[str, int]
    own: re.Pattern[str] | None
    rhythms: tuple[tuple[str, re.Pattern[str]], ...]


@cache
def _ways(language: str) -> _Ways | None:
    row = data_of(__package__, "numbers_in_words.yml").get(language)
    if row is None:
        return None
    seconds: Mapping[str, int] = row["units"]
    words = "|".join(sorted(map(re.escape, number_words(language)), key=len, reverse=True))
    number = rf"(?<![\w{{.,])(?P<number>\d+|(?:{words})(?!\w))"
    pattern = rf"(?P<before>\b(?:{row['before']}) )?{number}(?: ?(?P<unit>(?:{'|'.join(seconds)})\w*))?"
    if "article" in row:
        timed = "|".join(unit for unit, length in seconds.items() if length)
        pattern += rf"|{row['article']} (?P<one>(?:{timed})\w*)"
    return _Ways(
        re.compile(pattern, re.IGNORECASE),
        seconds,
        re.compile(row["own"], re.IGNORECASE) if "own" in row else None,
        tuple((name, re.compile(row[name], re.IGNORECASE)) for name in RHYTHMS if name in row),
    )


def check_said_numbers(library: Library) -> Iterator[Finding]:
    """Report numbers in instructions that are none of the dose's."""
    yield from each_in_its_words(library, lambda entry: entry.dose, _in_entry)


def _in_entry(entry: Exercise | Translation, source: Source, dose: Dose, language: str) -> Iterator[Finding]:
    ways = _ways(language)
    if ways is None:
        return
    for loc, text in texts_of(entry):
        if loc[0] not in READ:
            continue
        place = ("figure", *loc[2:]) if isinstance(entry, Translation) and loc[0] == "figure" else loc
        for match in ways.pattern.finditer(text):
            if _contradicts(match, dose, ways, language) and not (
                ways.own and ways.own.search(text[: match.start()])
            ):
                yield _finding(match[0], source, place, match.start())
        for match in rhythms_not_so(text, dose, language):
            yield _finding(match[0], source, place, match.start())


def rhythms_not_so(text: str, dose: Dose, language: str) -> Iterator[re.Match[str]]:
    """Give each way to say how often without a figure (“twice a day”) that the dose does not have."""
    ways = _ways(language)
    for rhythm, pattern in ways.rhythms if ways else ():
        for match in pattern.finditer(text):
            if not _is_so(rhythm, match, dose, language):
                yield match


def times_said(text: str, language: str) -> Iterator[tuple[re.Match[str], int]]:
    """Give each time a text states, such as “30 seconds” or “a minute”, with its seconds; it may be that of no dose."""
    ways = _ways(language)
    for match in ways.pattern.finditer(text) if ways else ():
        seconds = _seconds_of(match, ways.seconds) if ways else 0
        if seconds:
            yield match, (_value(match["number"], language) if match["number"] else 1) * seconds


def _seconds_of(match: re.Match[str], seconds: Mapping[str, int]) -> int:
    groups = match.groupdict()
    unit = (groups["unit"] or groups.get("one") or "").casefold()
    return next((length for start, length in seconds.items() if unit and unit.startswith(start)), 0)


def _contradicts(match: re.Match[str], dose: Dose, ways: _Ways, language: str) -> bool:
    groups = match.groupdict()
    unit = (groups["unit"] or groups.get("one") or "").casefold()
    if not unit and not groups["before"]:
        return False
    number = _value(groups["number"], language) if groups["number"] else 1
    number *= next((length for start, length in ways.seconds.items() if unit.startswith(start)), 0) or 1
    owns = (seconds_or_count(dose, part) for part in PARTS)
    return not any(own and own.low <= number <= own.high for own in owns)


def _value(text: str, language: str) -> int:
    return int(text) if text.isdecimal() else number_of(text, language) or 0


def _is_so(rhythm: str, match: re.Match[str], dose: Dose, language: str) -> bool:
    if rhythm == "hourly":
        return bool(dose.every)
    if rhythm == "daily":
        return dose.days_a_week.high == ALL_WEEK
    if rhythm == "times":
        own = seconds_or_count(dose, "times_a_day")
        return own is not None and own.low <= _value(match["times"], language) <= own.high
    return False


def _finding(words: str, source: Source, loc: Loc, offset: int) -> Finding:
    return Finding(
        "error",
        "number-not-in-dose",
        f"“{words.strip()}” is not in the dose of this exercise.",
        "Write the blank of the dose, such as {hold_count} or {repetitions}; or correct the dose.",
        source.place(loc, offset=offset),
    )
