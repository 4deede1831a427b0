"""Checks on whole sentences and paragraphs: hard, long, two negatives in one clause."""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Iterator
from itertools import pairwise
from operator import attrgetter
from typing import Any

from limberleaf.reading.marks import Level
from limberleaf.reading.rules.advice import how_to_split
from limberleaf.reading.rules.inflect import grammar
from limberleaf.reading.rules.model import Hit, Rule, check
from limberleaf.reading.words.lexicon import common_words, inflected_stems
from limberleaf.reading.words.terms import explained_words, folded
from limberleaf.reading.words.text import Line, Piece, Text

WEIGHT_OF_HARD_WORD = 3
_start = attrgetter("start")
_ITEM_ENDS = re.compile(r"[,;:]")


def hard_words(line: Line, text: Text) -> list[str]:
    """The hard words of a sentence as written.

    Names, abbreviations, what the text is about and what it explains are left out.
    """
    found: list[str] = []
    for place in line.hard_places:
        token = line.sentence.words[place]
        known = (
            (line.block, token.start) in text.known_words
            or line.is_name(place)
            or token.text.isupper()
            or token.text in found
            or folded(line.facts[place].lower) in explained_words(text)
        )
        if not known:
            found.append(token.text)
    return found


def length_without_list(line: Line) -> int:
    """Words of a sentence, a run of three or more short listed items counted as one item."""
    words = line.sentence.words
    ends = [match.start() for match in _ITEM_ENDS.finditer(line.text, line.sentence.start, line.sentence.end)]
    if len(ends) < 2:
        return len(words)
    before = [bisect_left(words, end, key=_start) for end in ends]
    inner = [size for first, after in pairwise(before) if (size := after - first) <= 3]
    return len(words) - sum(inner) if len(inner) >= 2 else len(words)


def sentence_weight(line: Line, text: Text) -> int:
    """How hard a sentence is: its words plus three for each different hard word (own measure, no source)."""
    return length_without_list(line) + WEIGHT_OF_HARD_WORD * len(hard_words(line, text))


@check("hard_sentence")
def hard_sentence(text: Text, rule: Rule) -> Iterator[Hit]:
    """Long and full of rare words, both together; only words that an adult may stumble over are named."""
    settings: Any = rule.settings
    for line in text.lines:
        length = len(line.sentence.words)
        if line.kind not in rule.scope or length <= settings["never_up_to"]:
            continue
        short = length <= settings["short"]["up_to"]
        words = hard_words(line, text)
        weight = length_without_list(line) + WEIGHT_OF_HARD_WORD * len(words)
        fewest = settings["short"]["fewest_hard_words"] if short else settings["fewest_hard_words"]
        rare = [word for word in words if text.lexicon.folded_zipf(word.lower()) < settings["named_below"]]
        if weight < settings["hard"] or len(words) < fewest or len(rare) < settings["fewest_hard_words"]:
            continue
        values = {"words": length, "hard": ", ".join(rare)}
        level: Level | None = "error" if weight >= settings["very_hard"] else None
        advice = None if short else f"{how_to_split(line)} Use easier words, or explain them."
        yield Hit(
            line.block,
            line.sentence.start,
            line.sentence.end,
            values,
            level,
            suggestion=advice,
            reasons=tuple(rare),
        )


@check("long_sentence")
def long_sentence(text: Text, rule: Rule) -> Iterator[Hit]:
    """More words than a reader can hold."""
    for line in text.lines:
        if line.kind not in rule.scope:
            continue
        length = length_without_list(line)
        limits = rule.settings["step" if line.kind == "step" else "prose"]
        if length > limits["warning"]:
            level: Level | None = "error" if length > limits["error"] else None
            values = {"words": len(line.sentence.words), "limit": limits["plenty"]}
            advice = how_to_split(line) if text.lang.startswith("en") else None
            yield Hit(line.block, line.sentence.start, line.sentence.end, values, level, suggestion=advice)


@check("long_paragraph")
def long_paragraph(text: Text, rule: Rule) -> Iterator[Hit]:
    """Too many sentences or words in one block."""
    for index, lines in text.by_block.items():
        if lines[0].kind not in rule.scope:
            continue
        words = sum(len(line.sentence.words) for line in lines)
        if len(lines) > rule.settings["sentences"] or words > rule.settings["words"]:
            values = {"sentences": len(lines), "words": words}
            yield Hit(index, lines[0].sentence.start, lines[-1].sentence.end, values)


@check("double_negative")
def double_negative(text: Text, rule: Rule) -> Iterator[Hit]:
    """Two negatives in one clause, among them words that take away (`fail`) and words with un- (`not uncommon`)."""
    pairs = re.compile(rule.settings["pairs"])
    negatives = frozenset(rule.settings["negatives"])
    for line in text.lines:
        if line.kind not in rule.scope or (negatives.isdisjoint(line.word_set) and "n't" not in line.spoken):
            continue
        found = _two_negatives(line, rule.settings)
        if found is None and (match := pairs.search(line.spoken)):
            found = (match.start() + line.sentence.start, match.end() + line.sentence.start)
        if found:
            words = line.source(*found)
            advice = rule.settings["when_not_meant"] if "not mean" in words.lower() else None
            yield Hit(line.block, *found, {"found": words}, suggestion=advice)


def _two_negatives(line: Line, settings: Any) -> tuple[int, int] | None:
    """From the first to the second negative of a clause; None when no clause has two."""
    plain, taking = frozenset(settings["negatives"]), frozenset(settings["negative_words"])
    breaks, mild = frozenset(settings["clause_words"]), frozenset(settings["plain_after_not"])
    first: Piece | None = None
    before = line.sentence.start
    for place, piece in enumerate(line.pieces):
        word = piece.word
        if word in breaks or _ITEM_ENDS.search(line.text, before, piece.start):
            first = None
        before = piece.end
        negative = (word in plain and not (word == "nor" and first)) or word.endswith("n't")
        if (
            place + 1 == len(line.pieces)
            and word in settings["plain_at_end"]
            and first is not None
            and _is_sole(line)
        ):
            continue
        if word == "not" and line.spoken.startswith(" the same", piece.end - line.sentence.start):
            continue
        if not (
            negative
            or (
                first
                and word not in mild
                and (word in taking or (_undone(word, settings) and not _names_a_kind(line, place)))
            )
        ):
            continue
        if first is not None:
            if _set_warning(line, first, piece):
                return None
            return first.start, piece.end
        first = piece
    return None


def _is_sole(line: Line) -> bool:
    """Whether a sentence has one “not” alone, and orders nothing with it."""
    return [piece.word for piece in line.pieces].count("not") == 1 and "do" not in line.word_set


def _set_warning(line: Line, first: Piece, piece: Piece) -> bool:
    """Whether two negatives are the set words of a warning, which turned round would be weaker."""
    if piece.word == "unless" and _unless_told(line, piece):
        return True
    if piece.word == "without" and _without_asking(line, piece):
        return True
    return _is_short_warning(line, first, piece)


_CONDITION = re.compile(r"\b(?:if|when|unless|while)\b")
_ASKED = r"(?:(?:first )?(?:asking|talking|speaking|checking|telling)|advice)\b"
_ABLE = re.compile(rf"without {_ASKED}|unless (?:you (?:can|are able)|it is safe)\b")
_TOLD = re.compile(
    r"unless (?:you (?:are|were|have been|had been)|your|an?|the|we|told|advised|asked)\b[^.;]{0,40}"
)
_STOP_UNASKED = re.compile(
    rf"\b(?:stop|change|start|increase|reduce|go (?:above|over|below|under)|take (?:more|less|any other))\b"
    rf"[^.;,]{{0,50}} without {_ASKED}"
)
_WHO = re.compile(
    r"\b(?:told|advised|asked|shown|doctor|nurse|pharmacist|physiotherapist|therapist|team|surgeon|midwife|we)\b"
)


def _unless_told(line: Line, piece: Piece) -> bool:
    """Whether `do not ... unless a doctor told you to`: set safety words, which must stay strong."""
    match = _TOLD.match(line.spoken, piece.start - line.sentence.start)
    if sum(one.word in ("not", "never", "don't") for one in line.pieces) > 1:
        return False
    return match is not None and _WHO.search(match.group()) is not None


def _without_asking(line: Line, piece: Piece) -> bool:
    """Whether `do not stop ... without asking`: set safety words too, said of a medicine."""
    set_words = _STOP_UNASKED.search(line.spoken)
    return set_words is not None and set_words.start() < piece.start - line.sentence.start < set_words.end()


def _is_short_warning(line: Line, first: Piece, piece: Piece) -> bool:
    """Whether `do not start it without asking ...`: short, known to readers, and with no further condition after it."""
    between = line.text[first.end : piece.start].split()
    place = piece.start - line.sentence.start
    if first.word not in ("not", "don't") or len(between) > 2 or not _ABLE.match(line.spoken, place):
        return False
    return not _CONDITION.search(line.spoken, place + len(piece.word))


def _names_a_kind(line: Line, place: int) -> bool:
    """Whether a word with un- goes with a verb's object and names its kind (`do not add unprocessed bran`)."""
    if place + 1 >= len(line.pieces) or place == 0:
        return False
    following, before = line.pieces[place + 1].word, line.pieces[place - 1].word
    gap = line.text[line.pieces[place].end : line.pieces[place + 1].start]
    return gap == " " and following not in grammar().function_words and before not in grammar().linking


def _undone(word: str, settings: Any) -> bool:
    """Whether a word is the opposite of a common one by un- (unlikely, uncommon)."""
    if not word.startswith("un") or word in settings["not_negative"]:
        return False
    return word[2:] in common_words() or any(stem in common_words() for stem in inflected_stems(word[2:]))
