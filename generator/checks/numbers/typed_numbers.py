"""Numbers of the dose in texts: written as blanks, so that a dose a clinician changed is the same on every line.

A number typed by hand stays behind when a plan changes the dose: the table says 10 seconds and the step "count to 3".
The check finds it, in the languages of clinical/data/dose_phrases.yml, and offers the blank. Rules to move on and to
start ("You can do 3 sets of 12") speak of what a patient can do, not of the dose, and are left alone.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from functools import cache
from importlib.resources import files
from typing import NamedTuple

from limberleaf.checks.each import each_exercise
from limberleaf.checks.texts import EntryText, texts_by_file, texts_of
from limberleaf.clinical.dosage.dose_blanks import blanks
from limberleaf.clinical.dosage.dose_parts import seconds_or_count
from limberleaf.data_files import safe_load
from limberleaf.findings import Finding, did_you_mean
from limberleaf.library import Dose, Exercise, Library, Loaded, Translation
from limberleaf.library.models.values import Count
from limberleaf.library.text import BLANK, DOSE_BLANKS
from limberleaf.library.yaml.source import Loc, Source
from limberleaf.store.nodes import each
from limberleaf.words import interface_words, known_languages

TELLS_THE_DOSE = ("title", "aim", "setup", "steps", "in_short", "figure", "watch_for")
"""Parts of an entry whose numbers are the dose's when they look like it."""

_NUMBER = r"(?<![\d.,])(?P<low>\d+)(?:(?: (?:to|or|tot|of|إلى|أو) |-|–)(?P<high>\d+))?(?![\d]|[.,]\d)"
_UNITS = {"s": 1, "min": 60, "دق": 60, "hour": 3600, "uur": 3600}


class Phrase(NamedTuple):
    """A way to say numbers of the dose: the pattern, and the blank for each part it may mean."""

    pattern: re.Pattern[str]
    parts: Mapping[str, str]


@cache
def phrases(language: str) -> tuple[Phrase, ...]:
    """Read the ways a language says numbers of a dose; none for a language nobody wrote them for."""
    text = files("limberleaf.clinical").joinpath("data/dose_phrases.yml").read_text("utf-8")
    rows = safe_load(text).get(language, [])
    return tuple(
        Phrase(re.compile(r"(?<!\w)" + row["say"].replace("#", _NUMBER), re.IGNORECASE), row["parts"])
        for row in rows
    )


def check_dose_numbers(library: Library) -> Iterator[Finding]:
    """Say numbers of the dose that were typed by hand, and blanks that the dose has no number for."""
    yield from each_exercise(library, _of_exercise, library.settings.language)
    for (code, language), loaded in each(library.translations):
        original = library.exercises.get(code)
        if original and loaded.entry.status != "retired":
            yield from _in_entry(loaded.entry, loaded.source, original.entry.dose, language)
    for texts in texts_by_file(library):
        yield from library.read_cache.cached(("doseless", texts.path), (texts,), _elsewhere, texts)


def _of_exercise(loaded: Loaded[Exercise], language: str) -> Iterator[Finding]:
    yield from _in_entry(loaded.entry, loaded.source, loaded.entry.dose, language)


def _in_entry(entry: Exercise | Translation, source: Source, dose: Dose, language: str) -> Iterator[Finding]:
    for loc, text in texts_of(entry):
        place: Loc = ("figure", *loc[2:]) if isinstance(entry, Translation) and loc[0] == "figure" else loc
        yield from _unfillable(text, source, place, dose, language)
        if loc[0] in (*TELLS_THE_DOSE, "feelings"):
            yield from _typed(text, source, place, dose, language)


def _unfillable(text: str, source: Source, loc: Loc, dose: Dose, language: str) -> Iterator[Finding]:
    names = [match for match in BLANK.finditer(text) if match[1] in DOSE_BLANKS]
    if not names:
        return
    fillable = blanks(dose, interface_words(language if language in known_languages() else "en"))
    for match in names:
        if loc[0] == "title":
            yield Finding(
                "error",
                "dose-blank-in-title",
                "A title is shown in lists and links, where no dose is known.",
                "Leave the number out of the title.",
                source.place(loc, offset=match.start()),
            )
        elif match[1] not in fillable:
            yield Finding(
                "error",
                "blank-without-dose",
                f"The dose has no {DOSE_BLANKS[match[1]]} to fill {match[0]} with.",
                did_you_mean(match[1], sorted(fillable)),
                source.place(loc, offset=match.start()),
            )


def _typed(text: str, source: Source, loc: Loc, dose: Dose, language: str) -> Iterator[Finding]:
    if not any(sign.isdigit() for sign in text) and language != "en":
        return
    taken: list[tuple[int, int]] = []
    for phrase in phrases(language):
        if loc[0] == "feelings" and "hold" not in phrase.parts:
            continue  # "You grab the worktop more than 3 times" counts something else
        for match in phrase.pattern.finditer(text):
            if any(start < match.end() and match.start() < end for start, end in taken):
                continue
            blank = _blank_for(match, phrase, dose)
            if blank is None:
                continue
            taken.append(match.span())
            yield _finding(match, blank, source, loc)


def _blank_for(match: re.Match[str], phrase: Phrase, dose: Dose) -> str | None:
    count = _count_in(match)
    for part, blank in phrase.parts.items():
        own = seconds_or_count(dose, part)
        if own and count == own:
            return blank
    return None


def _count_in(match: re.Match[str]) -> Count:
    groups = match.groupdict()
    for number, name in ((1, "one"), (2, "two")):
        if groups.get(name):
            return Count(number, number)
    low = int(groups["low"])
    count = Count(low, int(groups["high"] or low))
    after = match[0][match.end("high" if groups["high"] else "low") - match.start() :].strip().casefold()
    times = next((times for unit, times in _UNITS.items() if after.startswith(unit)), 1)
    counted = after.startswith(("set", "serie"))
    return count if counted else Count(count.low * times, count.high * times)


def _finding(match: re.Match[str], blank: str, source: Source, loc: Loc) -> Finding:
    if loc[0] == "title":
        hint = "Leave the number out of the title: it is shown in lists and links, where no dose is known."
    else:
        hint = f"Write {{{blank}}} for it; quote a text that begins with a blank. A plan fills in its own number."
    return Finding(
        "warning",
        "dose-number-typed",
        f"“{match[0]}” is a number of the dose. When a plan changes the dose, this line will contradict it.",
        hint,
        source.place(loc, offset=match.start()),
    )


def _elsewhere(texts: Iterable[EntryText]) -> Iterator[Finding]:
    """Find blanks of a dose in ladders, collections, cautions and settings, which have none."""
    for one in texts:
        if one.source.path.startswith("exercises/") or "{" not in one.text:
            continue
        for match in BLANK.finditer(one.text):
            if match[1] in DOSE_BLANKS:
                yield Finding(
                    "error",
                    "blank-without-dose",
                    f"{match[0]} is a number of a dose, and this is not an exercise.",
                    "Write the number.",
                    one.source.place(one.loc, offset=match.start()),
                )
