"""The dose in the words of a handout: only numbers that stand there, each with its own unit."""

from __future__ import annotations

import re
from typing import Any

_NUMBERS = dict(
    zip(
        [
            "one",
            "two",
            "three",
            "four",
            "five",
            "six",
            "seven",
            "eight",
            "nine",
            "ten",
            "twelve",
            "fifteen",
            "twenty",
            "thirty",
        ],
        (1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 12, 15, 20, 30),
        strict=True,
    )
)
_N = r"(?P<n>\d{1,4}(?:\s*(?:-|–|to)\s*\d{1,4})?|" + "|".join(_NUMBERS) + ")"
_UNITS = {"s": "s", "m": "min", "h": "h"}
_REPEAT = (
    rf"(?:repeat(?: this| it)?(?: for)?|do) {_N}(?: times| repetitions| reps)?"
    r"(?! ?(?:sec|min|hour|times (?:a|per|each) (?:day|week)|sets?|rounds?|days?))\b"
)
_PATTERNS: tuple[tuple[str, str], ...] = (
    ("sets", rf"{_N} (?:sets?|rounds?)\b"),
    ("repetitions", rf"(?:sets?|rounds?) of {_N}\b"),
    ("repetitions", _REPEAT),
    ("repetitions", rf"{_N} (?:repetitions|reps|repeats)\b"),
    ("hold", rf"hold(?: it| this| here| there| the \w+| for| still)* {_N} ?(?P<unit>sec|s|min)"),
    ("rest", rf"rest(?: for)? {_N} ?(?P<unit>sec|s|min)"),
    (
        "duration",
        rf"(?:walk|cycle|do this|continue|carry on|keep going)(?: \w+)? for {_N} ?(?P<unit>min|hour)",
    ),
    ("times_a_day", rf"{_N} times? (?:(?:a|per|each|every) day|daily)\b"),
    ("times_a_day", r"(?P<word>once|twice) (?:a day|daily|per day|each day|every day)"),
    ("days_a_week", rf"{_N} (?:days|times) (?:a|per|each) week"),
    ("days_a_week", r"(?P<word>once|twice) (?:a|per|each) week"),
    ("days_a_week", r"(?P<every>every day|each day|daily)"),
    ("every", rf"every {_N} ?(?P<unit>hour)"),
    ("every", r"(?P<hourly>every hour|hourly)"),
)


def read_dose(text: str) -> dict[str, Any]:
    """Give the parts of a dose that `text` states; a part said in two ways that differ is left out."""
    found: dict[str, set[Any]] = {}
    plain = " ".join(text.lower().split())
    for key, pattern in _PATTERNS:
        for match in re.finditer(pattern, plain):
            found.setdefault(key, set()).add(_value(match.groupdict()))
    if "repetitions" in found and len(found["repetitions"]) > 1:
        found["repetitions"] -= found.get("sets", set())
    return {key: next(iter(values)) for key, values in found.items() if len(values) == 1}


def _value(parts: dict[str, str | None]) -> Any:
    if parts.get("word"):
        return {"once": 1, "twice": 2}[str(parts["word"])]
    if parts.get("every"):
        return 7
    if parts.get("hourly"):
        return "1 h"
    number = re.sub(r"\s*(?:-|–|to)\s*", "-", str(parts["n"]))
    number = str(_NUMBERS.get(number, number))
    unit = parts.get("unit")
    if unit:
        return f"{number} {_UNITS[unit[0]]}"
    return int(number) if number.isdigit() else number
