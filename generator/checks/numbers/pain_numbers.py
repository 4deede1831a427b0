"""Pain numbers typed into texts, against the bands that count on the page: two limits on one page are no limit.

The page prints the bands ("Pain of 0 to 3 out of 10") beside what the texts say. A typed number may repeat an edge of
them; another one contradicts the page. In the languages of `_SAID`; other languages are left to their reviewers.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any, cast

from limberleaf.checks.texts import texts_of
from limberleaf.findings import Finding
from limberleaf.library import Exercise, Library, Loaded
from limberleaf.library.models.exercise import PainBands
from limberleaf.library.yaml.source import Loc
from limberleaf.store.nodes import each

_SAID = re.compile(r"\b(?P<number>\d{1,2})(?= (?:out of|van de) 10\b)")
_DO_LESS = ("ease_off", "easier", "step_back_when")
_STOP = ("stop", "signs")


def check_pain_numbers(library: Library) -> Iterator[Finding]:
    """Say pain numbers that differ from the bands of their page: the exercise's own, else the clinic's."""
    clinic = library.settings.pain_bands
    for entries in (library.exercises, library.ladders):
        for name, loaded in each(cast("Mapping[str, Loaded[Any]]", entries)):
            if loaded.entry.status != "retired":
                given = (loaded, library.clinic)
                yield from library.read_cache.cached(
                    ("pain numbers", name), given, _differing, loaded, clinic
                )


def _differing(loaded: Loaded[Any], clinic: PainBands) -> Iterator[Finding]:
    own = loaded.entry.feelings.bands if isinstance(loaded.entry, Exercise) else None
    bands = own or clinic
    for loc, text in texts_of(loaded.entry):
        for match in _SAID.finditer(text):
            if not _agrees(int(match["number"]), loc, bands):
                yield Finding(
                    "warning",
                    "pain-number-differs",
                    f"“{match[0]} out of 10” is not the limit of this page: carry on {_band(bands.carry_on)}, ease off "
                    f"{_band(bands.ease_off)}, stop {_band(bands.stop)}.",
                    "Write {acceptable_pain} out of 10 for the limit; for other limits set `bands:` for this exercise.",
                    loaded.source.place(loc, offset=match.start()),
                )


def _band(band: Any) -> str:
    return f"{band.low}-{band.high}"


def _agrees(number: int, loc: Loc, bands: PainBands) -> bool:
    """Tell whether a number lies where its text may put it: the edge of doing less, or inside the band of stopping."""
    if any(name in loc for name in _STOP):
        return number >= bands.ease_off.high
    if any(name in loc for name in _DO_LESS):
        return number in (bands.carry_on.high, bands.ease_off.low)
    return number <= bands.ease_off.low
