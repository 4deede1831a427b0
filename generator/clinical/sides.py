"""Which side a text means: literal lefts and rights, which side lies down, which side works."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any, Literal

from limberleaf.data_files import safe_load
from limberleaf.library.models.exercise import Exercise
from limberleaf.library.models.record import Side

Role = Literal["affected", "other"]
OPPOSITE: Mapping[str, Role] = {"affected": "other", "other": "affected"}


@dataclass(frozen=True)
class SideNamed:
    """A literal left or right in a text and its place."""

    side: Side
    word: str
    start: int


@cache
def _data(name: str) -> Mapping[str, Any]:
    text = files(__package__).joinpath(f"data/{name}.yml").read_text("utf-8")
    return dict(safe_load(text))


def _words(language: str) -> Mapping[str, Any] | None:
    words: Mapping[str, Any] | None = _data("side_words").get(language)
    return words


@cache
def _literals(language: str) -> re.Pattern[str] | None:
    """Compile the side words of a language; phrases that mean something else come first, so that they win."""
    words = _words(language)
    if words is None:
        return None
    kinds = {"spared": words["allowed"], **words["literal"]}
    parts = [
        rf"(?P<{kind}>{'|'.join(re.escape(phrase) for phrase in sorted(phrases, key=len, reverse=True))})"
        for kind, phrases in kinds.items()
        if phrases
    ]
    return re.compile(rf"\b(?:{'|'.join(parts)})\b", re.IGNORECASE)


def sides_named(text: str, language: str) -> Iterator[SideNamed]:
    """Give every literal left and right of a text, in order; `right angle` and its like are none.

    A language without side words (data/side_words.yml) gives none.
    """
    pattern = _literals(language)
    for match in pattern.finditer(text) if pattern else ():
        if match.lastgroup == "left":
            yield SideNamed("left", match[0], match.start())
        elif match.lastgroup == "right":
            yield SideNamed("right", match[0], match.start())


def blanks_precede(language: str) -> bool:
    """Return whether the side word comes right before the word it goes with."""
    words = _words(language)
    return bool(words and words["joined"])


def needs_sides(exercise: Exercise) -> bool:
    """Return whether the page must say which side works and which is down, stands or leads."""
    return exercise.sides != "both" and (
        exercise.position in _data("side_positions") or "single_leg" in exercise.tags
    )


def lies_down(exercise: Exercise) -> bool:
    """Tell whether the exercise starts lying or sitting on one side."""
    return _data("side_positions").get(exercise.position) == "down"


def side_down(exercise: Exercise, language: str) -> Role | None:
    """Give the side the setup asks to lie on, None when it does not say."""
    words = _words(language)
    if words is None:
        return None
    for text in exercise.setup:
        for pattern in words["lie_on"]:
            for role in OPPOSITE:
                if pattern.replace("{side}", f"{{{role}}}").lower() in text.lower():
                    return OPPOSITE[OPPOSITE[role]]
    return None


def role_named(text: str | None, down: Role | None, language: str) -> Role | None:
    """Give the side a `working_side` or `base_side` names, by its blank, or by top and bottom once `down` is known."""
    if not text:
        return None
    blanks = {role for role in OPPOSITE if f"{{{role}}}" in text}
    if len(blanks) == 1:
        return OPPOSITE[OPPOSITE[blanks.pop()]]
    words = _words(language)
    if words is None or down is None or blanks:
        return None
    lower = text.lower()
    if any(re.search(rf"\b{word}\b", lower) for word in words["top"]):
        return OPPOSITE[down]
    if any(re.search(rf"\b{word}\b", lower) for word in words["bottom"]):
        return down
    return None
