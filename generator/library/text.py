"""Texts with their blanks filled: sides in the grammar of the language, the clinic's numbers, links to exercises.

A text is filled into pieces that remember where they came from, so that a mark on the patient's words can be
shown at the right character of the entry. Pages, handouts and the reading checks all read the same pieces.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any, Literal

from limberleaf.library.models.record import Side

PLACEHOLDERS = (
    "affected",
    "other",
    "phone",
    "emergency_number",
    "emergency_place",
    "urgent_number",
    "urgent_name",
    "acceptable_pain",
    "carry_on_pain",
    "ease_off_pain",
    "stop_pain",
    "settle_time",
    "practitioner",
)
"""The blanks that any text may hold."""

DOSE_BLANKS = {
    "sets": "sets",
    "sets_count": "sets",
    "repetitions": "repetitions",
    "repetitions_count": "repetitions",
    "duration": "duration",
    "hold": "hold",
    "hold_count": "hold",
    "rest": "rest",
    "times_a_day": "times_a_day",
    "days_a_week": "days_a_week",
    "out": "tempo",
    "out_count": "tempo",
    "pause": "tempo",
    "pause_count": "tempo",
    "back": "tempo",
    "back_count": "tempo",
}
"""The blanks for numbers of an exercise's dose, and the part of the dose each needs.

`{hold}` says the number with its unit (`3 seconds`), `{hold_count}` the number alone, as in "count to {hold_count}".
A plan that changes the dose changes what they say, everywhere."""

_MARKS = r"[.,;:!?'\"“”‘’()\[\]–—-]"
_PUNCTUATION = re.compile(rf"(?<!\d){_MARKS}|{_MARKS}(?!\d)")
_PHONES = {"phone", "emergency_number", "urgent_number"}
_TOKEN = re.compile(
    r"\{(?P<name>[a-z_]+)\}(?P<space> ?)"
    r"|\[\[(?P<target>[a-z0-9-]+)(?:\|(?P<words>[^\]]+))?\]\]"
)
BLANK = re.compile(r"\{([^{}]*)\}?|\}")
"""Anything that looks like a blank, to find the ones that are none."""

LINK = re.compile(r"\[\[([^\]|]*)(?:\|[^\]]*)?\]\]")
"""A link to an exercise, ladder or collection: [[kn-02]] or [[kn-02|these words]]."""


@dataclass(frozen=True)
class Piece:
    """A run of filled text and the stretch of the written text it comes from."""

    kind: Literal["text", "link", "phone", "dose"]
    text: str
    start: int
    end: int
    target: str = ""
    """Where a link or a number leads; for a number of the dose, the name of its blank."""
    begins: bool = False
    """It begins a sentence, so its first letter is a capital."""


@dataclass(frozen=True)
class RichText:
    """A filled text as pieces."""

    pieces: tuple[Piece, ...]

    @cached_property
    def plain(self) -> str:
        """Give the words alone."""
        return "".join(piece.text for piece in self.pieces)

    def source_offset(self, offset: int) -> int:
        """Give the place in the written text of a character of the plain one."""
        for piece in self.pieces:
            if offset < len(piece.text):
                whole = piece.end - piece.start == len(piece.text)
                return piece.start + (offset if whole else 0)
            offset -= len(piece.text)
        return self.pieces[-1].end if self.pieces else 0

    def __str__(self) -> str:
        return self.plain


@dataclass(frozen=True)
class SideWords:
    """How a language says the sides: the words, and whether they join the next word (linkerbeen)."""

    left: str
    right: str
    other: str
    joined: bool = False


@dataclass(frozen=True)
class PlaceholderValues:
    """All that filling a text needs: the side, the side words, the clinic's values and the titles links show.

    `dose` holds the words for the numbers of the exercise's dose; it is empty where there is no exercise.
    """

    side: Side | None
    affected_word: str
    sides: SideWords
    values: Mapping[str, str]
    titles: Mapping[str, str]
    dose: Mapping[str, str] = field(default_factory=dict)

    def word(self, name: str) -> tuple[str, bool]:
        """Give the filled word for a blank and whether it joins the next word; KeyError for an unknown blank."""
        if name not in ("affected", "other"):
            number = self.dose.get(name) if name in DOSE_BLANKS else None
            return number or self.values[name], False
        if self.side is None:
            return (self.affected_word if name == "affected" else self.sides.other), False
        is_left = (self.side == "left") == (name == "affected")
        return (self.sides.left if is_left else self.sides.right), self.sides.joined


def fill(text: str, placeholders: PlaceholderValues) -> RichText:
    """Fill the blanks and links of `text`; what is no blank of ours is left as written."""
    pieces: list[Piece] = []
    at = 0
    for token in _TOKEN.finditer(text):
        filled = (
            _fill_link(token, placeholders) if token["target"] else _fill_blank(token, placeholders, text)
        )
        if filled is None:
            continue
        if token.start() > at:
            pieces.append(Piece("text", text[at : token.start()], at, token.start()))
        pieces.append(filled)
        at = filled.end
    if at < len(text):
        pieces.append(Piece("text", text[at:], at, len(text)))
    return RichText(tuple(pieces))


def _fill_blank(token: re.Match[str], placeholders: PlaceholderValues, text: str) -> Piece | None:
    try:
        word, joins = placeholders.word(token["name"])
    except KeyError:
        return None
    name = token["name"]
    before = text[: token.start()].rstrip(" ")
    begins = not before or before[-1] in ".!?:"
    if begins and (name in ("affected", "other") or name in DOSE_BLANKS):
        word = word[:1].upper() + word[1:]
    end = token.end() if joins else token.end() - len(token["space"])
    if name in _PHONES:
        return Piece("phone", word, token.start(), end, word)
    if name in DOSE_BLANKS:
        return Piece("dose", word, token.start(), end, name, begins)
    return Piece("text", word, token.start(), end)


def _fill_link(token: re.Match[str], placeholders: PlaceholderValues) -> Piece | None:
    target = token["target"]
    words = token["words"] or placeholders.titles.get(target)
    if words is None:
        return None
    return Piece("link", words, token.start(), token.end(), target)


_STOP = re.compile(r"[.!?؟]+[\"'”’)\]]*(?=\s+\S)|(?:(?<=^no)|(?<=^yes)|(?<=^nee)|(?<=^ja))[,;:](?=\s)")
"""Where one sentence ends and the next begins in a text, and what parts an answer (`No, ...`) from the rest."""


def stops_of(text: str) -> tuple[int, ...]:
    """Give how many words stand before each stop inside a text: moved, it joins other words."""
    folded = text.casefold()
    return tuple(len(_words_of(folded[: found.start()])) for found in _STOP.finditer(folded))


def heard(value: Any) -> Any:
    """Read aloud with the stops heard: what differs in nothing else still says something else."""
    return _each_text(value, lambda text: (" ".join(_words_of(text.casefold())), stops_of(text)))


def read_aloud(value: Any) -> Any:
    """Leave out what no reader would call a change: case, spacing, and punctuation that is not inside a number."""
    return _each_text(value, lambda text: " ".join(_words_of(text.casefold())))


def _words_of(folded: str) -> list[str]:
    return _PUNCTUATION.sub(" ", folded).split()


def _each_text(value: Any, change: Callable[[str], Any]) -> Any:
    """Give a value with each text in it changed, in whatever lists and tables it stands."""
    if isinstance(value, str):
        return change(value)
    if isinstance(value, dict):
        return {key: _each_text(item, change) for key, item in value.items()}
    if isinstance(value, list):
        return [_each_text(item, change) for item in value]
    return value
