"""Cuts a block into sentences and words, each with its place in the block's text.

The rules, also printed for readers by `counting_rules`: a word is what is between spaces, so hip-width,
30-60, 3/10 and 10:30 are one word each; dashes with a space or between words part them. A block ends a
sentence. Full stops inside decimals, times, initials, `e.g.` and `U.S.` do not. A list number or bullet
sign at the start of a line is no word.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import NamedTuple

from limberleaf.reading.tables import load_yaml


class Token(NamedTuple):
    """One written word and its place: `text == block.text[start:end]`."""

    text: str
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Sentence:
    """One sentence of a block; `start` and `end` are character offsets in the block's text."""

    block: int
    start: int
    end: int
    words: tuple[Token, ...]


# An inner stop joins only digits (2.5), single letters (U.S, p.m) and the parts of an address.
_WORD = re.compile(
    r"""
    [^\W\d_]+(?=[\s,;!?،؛؟]|[.:)](?:\s|$)|$)                    # a plain word, the usual case
    | (?:https?://|www\.)[^\s,;)>\]]*[^\s.,;:!?)>\]]          # web address
    | \w[\w.+-]{,63}@[\w-]{1,63}(?:\.[\w-]{1,63})+           # mail address
    | (?:[^\W\d_]\.){2,}(?:[^\W\d_](?![^\W_]))?              # U.S. e.g. p.m.
    | [£$€]?\d+(?:[.,:/–-]\d+)*(?:[-–/]?[^\W\d_]+|[%°])*     # 30-60, 2.5, 3/10, 10:30, 90°, 20kg, 3-inch
      (?:-[^\W_]+)*
    | [^\W_](?:[^\W_]|[\u0300-\u036f\u064b-\u065f\u0670\u00ad\u200b-\u200d\u2060\ufeff]|['’&][^\W_]|[-‐‑/][^\W_])*
                                                              # hip-width, don't; signs without width part no word
    | (?<!\S)[×+=&<>≥≤÷](?!\S)                               # a sign read as a word
    """,
    re.VERBOSE,
)
_LINE_MARK = re.compile(r"(?m)^[ \t]*(?:[•‣◦▪*–-][ \t]+|\(?\d{1,2}[.)][ \t]+(?=\D)|\(?[a-h]\)[ \t]+)")
_STOP = re.compile(r"[.!?…؟۔]+[\"'”’»)\]]*(?=\s|$)|\n[ \t]*\n|\n(?=[ \t]*(?:[•‣◦▪*–-]|\(?\d{1,2}[.)])[ \t])")
_INITIALS = re.compile(r"[B-HJ-Z]|(?:[^\W\d_]\.)+[^\W\d_]")
_FIRST_WORD = re.compile(r"[^\W_]+(?:['’][^\W_]+)?")
_FOLLOWS = re.compile(r"\s*[\"'“‘«(\[¿¡]*")
_OPENING = "\"'“‘«([¿¡"


class _Stops(NamedTuple):
    """Shortened words by what their full stop does, and words that often start a sentence."""

    inside: frozenset[str]
    may_end: frozenset[str]
    units: frozenset[str]
    before_digit: frozenset[str]
    starters: frozenset[str]


@cache
def _stops(lang: str) -> _Stops:
    table: Mapping[str, Mapping[str, str]] = load_yaml("abbreviations.yml")
    own = table.get(lang, {})
    return _Stops(*(frozenset(own.get(name, "").split()) for name in _Stops._fields))


def words_of(text: str) -> list[Token]:
    """The written words of a text with their places, list marks left out."""
    new = tuple.__new__  # a third of the time of calling the class, for every word of every text
    tokens = [new(Token, (match[0], match.start(), match.end())) for match in _WORD.finditer(text)]
    marks = [match.span() for match in _LINE_MARK.finditer(text)]
    if marks:
        starts = [start for start, _ in marks]
        tokens = [token for token in tokens if not _in_mark(token.start, starts, marks)]
    return tokens


def _in_mark(place: int, starts: list[int], marks: list[tuple[int, int]]) -> bool:
    number = bisect_right(starts, place) - 1
    return number >= 0 and place < marks[number][1]


def sentences_of(text: str, lang: str = "en", block: int = 0) -> list[Sentence]:
    """The sentences of one block's text. A sentence without a word is none."""
    tokens = words_of(text)
    found: list[Sentence] = []
    first, begin = 0, 0
    for end in [*_ends(text, lang), len(text)]:
        last = first
        while last < len(tokens) and tokens[last].end <= end:
            last += 1
        if last > first:
            stop = end
            while text[stop - 1].isspace():
                stop -= 1
            found.append(Sentence(block, _skip(text, begin), stop, tuple(tokens[first:last])))
            first = last
        begin = end
    return found


def _skip(text: str, begin: int) -> int:
    mark = _LINE_MARK.match(text, begin)
    begin = mark.end() if mark else begin
    while begin < len(text) and text[begin].isspace():
        begin += 1
    return begin


def _ends(text: str, lang: str) -> list[int]:
    """Where sentences end inside the text: offsets after the closing mark."""
    ends = []
    for match in _STOP.finditer(text):
        if match.group().isspace() or _ends_here(text, match, lang):
            ends.append(match.end())
    return ends


def _ends_here(text: str, match: re.Match[str], lang: str) -> bool:
    """Whether closing marks inside a text end a sentence there; only the words beside them are looked at."""
    after = _FOLLOWS.match(text, match.end())
    rest = after.end() if after else match.end()
    if rest == len(text):
        return True
    if text[rest].islower():
        return False
    marks = match.group()
    if not marks.startswith(".") or marks.startswith(".."):
        return True
    begin = match.start()
    while begin and not text[begin - 1].isspace():
        begin -= 1
    word = text[begin : match.start()].lstrip(_OPENING)
    list_number = len(word) <= 2 and word.isdigit() and _starts_line(text, begin)
    return not list_number and _full_stop_ends(word, text, rest, lang)


def _starts_line(text: str, place: int) -> bool:
    """Whether only spaces come before a place in its line."""
    while place and text[place - 1] in " \t":
        place -= 1
    return place == 0 or text[place - 1] == "\n"


def _full_stop_ends(word: str, text: str, rest: int, lang: str) -> bool:
    """Whether the full stop after `word` ends a sentence, given the text that follows from `rest`."""
    stops, lower = _stops(lang), word.lower()
    if lower in stops.inside or (text[rest].isdigit() and lower in stops.before_digit):
        return False
    if lower in stops.units and not text[rest].isdigit():
        return True
    if lower in stops.may_end or _INITIALS.fullmatch(word):
        following = _FIRST_WORD.match(text, rest)
        return following is not None and following.group().lower() in stops.starters
    return True
