"""Household things in place of a weight weigh about what the rest of the entry says: half a kilo is not 5 kilos."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache

from limberleaf.checks.texts import texts_of
from limberleaf.clinical.text_facts import number_of
from limberleaf.findings import Finding
from limberleaf.library import Exercise, Library
from limberleaf.store.nodes import each

MOST_TIMES = 4
"""How many times the lighter one the heavier may weigh: two steps that double it (common practice, no source)."""

_SAID = re.compile(
    r"\b(?P<half>half an?|(?:een )?halve)\s+(?P<unit>kilo|kg|pound|litre)"
    r"|\b(?P<number>\d+(?:[.,]\d+)?|an?|een|one|two|three|four|five|ten|twee|drie|vier|vijf|tien)\s*"
    r"(?P<other>kilograms?|kilos?|kg|grams?|gram|g|litres?|liters?|pounds?|stone)\b",
    re.IGNORECASE,
)
_KILOS = {"k": 1.0, "l": 1.0, "g": 0.001, "p": 0.45, "s": 6.35}
"""Kilos in a unit by its first letter; a litre of water weighs one (pound, stone: Weights and Measures Act 1985)."""


@cache
def kilos_said(text: str, language: str) -> tuple[float, ...]:
    """Give the weights a text names, in kilos."""
    found = []
    for match in _SAID.finditer(text):
        if match["half"]:
            found.append(0.5 * _KILOS[match["unit"][0].lower()])
            continue
        said = match["number"].lower()
        number = float(said.replace(",", ".")) if said[0].isdigit() else float(number_of(said, language) or 1)
        found.append(number * _KILOS[match["other"][0].lower()])
    return tuple(found)


def check_weights(library: Library) -> Iterator[Finding]:
    """Report a thing in place of a weight that weighs far more or less than the entry says elsewhere."""
    language = library.settings.language
    for _, loaded in each(library.exercises):
        for number, need in enumerate(loaded.entry.equipment if loaded.entry.is_published else ()):
            kilos = kilos_said(need.instead or "", language)
            others = list(_elsewhere(library, loaded.entry, number, language)) if kilos else []
            if not others or min(others) / MOST_TIMES < kilos[0] < max(others) * MOST_TIMES:
                continue
            yield Finding(
                "error",
                "weight-differs",
                f"What stands in for the weight is {kilos[0]:g} kg; elsewhere this exercise says {others[0]:g} kg.",
                "Write the weight that was meant; a figure may have slipped.",
                loaded.source.place(("equipment", number, "instead")),
            )


def _elsewhere(library: Library, exercise: Exercise, number: int, language: str) -> Iterator[float]:
    """Give the weights that the exercise and its steps in ladders name, but for one piece of equipment."""
    for loc, text in texts_of(exercise):
        if loc[:2] != ("equipment", number):
            yield from kilos_said(text, language)
    for ladder in library.ladders.values():
        for rung in ladder.entry.steps:
            if rung.exercise == exercise.code:
                for _, text in texts_of(rung):
                    yield from kilos_said(text, language)
