"""Checks on steps and doses: one instruction a step, a verb in front, one side, numbers as digits, a clear dose."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from typing import Any

from limberleaf.reading.rules.model import Hit, Rule, check
from limberleaf.reading.tables import load_yaml
from limberleaf.reading.words.text import Line, Piece, Text


@cache
def _verbs() -> Mapping[str, frozenset[str]]:
    table: Mapping[str, str] = load_yaml("verbs_en.yml")
    return {name: frozenset(words.split()) for name, words in table.items()}


def _is_verb(piece: Piece) -> bool:
    return piece.word in _verbs()["verbs"]


def _is_adverb(word: str) -> bool:
    return word in _verbs()["adverbs"] or (word.endswith("ly") and word not in _verbs()["not_adverbs"])


def _after_adverbs(pieces: tuple[Piece, ...], place: int) -> int:
    while place < len(pieces) and (_is_adverb(pieces[place].word) or pieces[place].word in _verbs()["joins"]):
        place += 1
    return place


def starts_with_verb(line: Line) -> bool:
    """Whether an instruction starts with its verb, after an adverb or a `With ...,` clause, or with `Do not`."""
    pieces = line.pieces
    place = _after_adverbs(pieces, 0)
    if place < len(pieces) and (_is_verb(pieces[place]) or pieces[place].word in _verbs()["openers"]):
        return True
    if pieces[0].word not in _verbs()["lead_ins"]:
        return False
    for index, piece in enumerate(pieces[1:], 1):
        between = line.text[pieces[index - 1].end : piece.start]
        if "," in between or ":" in between or "–" in between:
            place = _after_adverbs(pieces, index)
            if place < len(pieces) and (_is_verb(pieces[place]) or pieces[place].word in _verbs()["openers"]):
                return True
    return False


@check("step_verb")
def step_verb(text: Text, rule: Rule) -> Iterator[Hit]:
    """A step whose first sentence does not start with what to do."""
    for index, lines in text.by_block.items():
        line = lines[0]
        if line.kind in rule.scope and not starts_with_verb(line):
            first = line.pieces[0]
            yield Hit(index, first.start, first.end, {"found": line.source(first.start, first.end)})


def _instructions(line: Line) -> list[Piece]:
    """The verbs that ask the reader to do something: at the start and after `and`, `then` or a comma."""
    found: list[Piece] = []
    pieces = line.pieces
    for place, piece in enumerate(pieces):
        if not _is_verb(piece) or _shares_object(pieces, place):
            continue
        start = place
        while start > 0 and (
            _is_adverb(pieces[start - 1].word) or pieces[start - 1].word in _verbs()["joins"]
        ):
            start -= 1
        joined = any(other.word in _verbs()["joins"] for other in pieces[start:place])
        comma = start > 0 and "," in line.text[pieces[start - 1].end : pieces[start].start]
        if start == 0 or ((joined or comma) and _verb_follows(pieces, place)):
            found.append(piece)
    return found


def _shares_object(pieces: tuple[Piece, ...], place: int) -> bool:
    """Whether a verb only completes the one before it: “open and close your hand” is one movement."""
    return place > 1 and pieces[place - 1].word in ("and", "or") and _is_verb(pieces[place - 2])


def _verb_follows(pieces: tuple[Piece, ...], place: int) -> bool:
    """Whether a word in the middle of a step is used as a verb: an object, a direction or nothing follows it."""
    if place + 1 >= len(pieces):
        return pieces[place].word not in _verbs()["also_nouns"]
    following = pieces[place + 1].word
    if pieces[place].word in _verbs()["also_nouns"]:
        return following in _verbs()["after_verb"]
    return following not in _verbs()["after_noun"]


@check("one_instruction")
def one_instruction(text: Text, rule: Rule) -> Iterator[Hit]:
    """Several things to do in one step; a second verb that only goes with the first (hold, breathe) is fine."""
    settings: Any = rule.settings
    companions = frozenset(settings["companions"])
    for index, lines in text.by_block.items():
        if lines[0].kind not in rule.scope:
            continue
        verbs = [verb for line in lines for verb in _instructions(line)]
        counted = [verb for place, verb in enumerate(verbs) if place == 0 or verb.word not in companions]
        joined = [
            verb
            for line in lines
            for place, verb in enumerate(_instructions(line))
            if place and verb.word not in companions
        ]
        if len(counted) > settings["most"] or len(joined) > settings["most_joined"]:
            verb = joined[-1] if joined else counted[-1]
            values = {"count": len(counted), "verbs": ", ".join(verb.word for verb in counted)}
            yield Hit(index, verb.start, verb.end, values)


@check("left_and_right")
def left_and_right(text: Text, rule: Rule) -> Iterator[Hit]:
    """Both sides named in one step."""
    fine = re.compile("|".join(rule.settings["fine"]))
    for index, lines in text.by_block.items():
        if lines[0].kind not in rule.scope:
            continue
        sides: dict[str, tuple[int, int]] = {}
        for line in lines:
            blanked = fine.sub(lambda match: " " * len(match.group()), line.spoken)
            for match in re.finditer(r"\b(?:left|right)\b", blanked):
                start = line.sentence.start + match.start()
                sides.setdefault(match.group(), (start, start + len(match.group())))
        if len(sides) == 2:
            start, end = max(sides.values())
            yield Hit(index, start, end, {"found": lines[0].text[start:end]})


@check("number_word")
def number_word(text: Text, rule: Rule) -> Iterator[Hit]:
    """Number words beside sets, repetitions and times; a range is one mark, and a text with many has one mark.

    How numbers are written is one decision for a whole text, so the mark on the first names the others.
    """
    found = [
        (line, first, last, digits)
        for line in text.lines
        for first, last, digits in _number_words(line, rule)
    ]
    if not found:
        return
    line, first, last, digits = found[0]
    others = list(dict.fromkeys(f"“{other.source(a.start, b.end)}”" for other, a, b, _ in found[1:]))
    values = {
        "found": line.source(first.start, last.end),
        "digits": digits,
        "others": f" Here too: {', '.join(others)}." if others else "",
    }
    yield Hit(line.block, first.start, last.end, values, replacement=digits)


def _number_words(line: Line, rule: Rule) -> Iterator[tuple[Piece, Piece, str]]:
    """The first and last word of each number or range that counts something, and the same in digits."""
    digits: Mapping[str, int] = rule.settings["digits"]
    units = frozenset(rule.settings["units"])
    between = frozenset(rule.settings["between"])
    if line.kind not in rule.scope or units.isdisjoint(line.word_set):
        return
    pieces, place = line.pieces, 0
    while place < len(pieces):
        first, after = place, place + 1
        place += 1
        if pieces[first].word not in digits:
            continue
        last = first
        while after < len(pieces) and (pieces[after].word in between or pieces[after].word in digits):
            last = after if pieces[after].word in digits else last
            after += 1
        if after == len(pieces) or pieces[after].word not in units or _is_encouraged(pieces, first):
            continue
        if first > 1 and pieces[first - 1].word in ("to", "or") and pieces[first - 2].word == "one":
            first -= 2
        place = after
        words = (piece.word for piece in pieces[first : last + 1])
        yield (
            pieces[first],
            pieces[last],
            " ".join(str(digits.get(word, {"one": 1}.get(word, word))) for word in words),
        )


def _is_encouraged(pieces: Sequence[Piece], first: int) -> bool:
    """Whether a number is said to encourage and is nothing to look up (`even for ten minutes`)."""
    return any(piece.word == "even" for piece in pieces[max(first - 2, 0) : first])
