"""The words of a page with its marks in place: runs of text, and a numbered note for each mark.

A mark shows in three ways that need no colour: an underline of its own, the number of its note behind it, and the
note itself.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from itertools import pairwise

from limberleaf.findings import Place
from limberleaf.reading import Level, Mark, Reading, rules

LEVEL_WORDS: Mapping[Level, str] = {"error": "Mend", "warning": "Look at", "note": "Consider"}
WIDE_RULES = {"hard-sentence", "long-sentence", "long-paragraph"}
"""Rules about a whole sentence or paragraph; the words they enclose may carry marks of their own."""


@dataclass(frozen=True)
class Note:
    """What one mark has to say, and its sentence; `opens` for the first note of that sentence.

    `off` is the reason for which the mark is switched off.
    """

    number: int
    rule: str
    title: str
    level: Level
    level_words: str
    words: str
    message: str
    suggestion: str
    place: str
    sentence: str
    opens: bool = True
    off: str | None = None


@dataclass(frozen=True)
class Run:
    """A run of text under the same marks, and the numbers of the notes whose marks end with it."""

    text: str
    classes: str
    ends: tuple[int, ...]
    covers: tuple[int, ...]


@dataclass(frozen=True)
class MarkedBlock:
    """A block of the page: its kind, its runs and its notes."""

    kind: str
    runs: tuple[Run, ...]
    notes: tuple[Note, ...]


PlaceOf = Callable[[int, int], Place]
"""Gives the place in a file of a character of a block."""


def nowhere(block: int, offset: int) -> Place:  # noqa: ARG001 - used where a PlaceOf is wanted
    """Give no place: what is typed is in no file."""
    return Place("")


@cache
def rule_titles() -> Mapping[str, str]:
    """Give the titles of the reading rules."""
    return {rule.id: rule.title for rule in rules()}


def without_overlaps(marks: Sequence[Mark]) -> list[Mark]:
    """Leave out marks on words that a graver, or more helpful, mark is on already: one wording, one note.

    Marks on a whole sentence do not count as overlapping those on words in it.
    """
    levels = list(LEVEL_WORDS)

    def weight(mark: Mark) -> tuple[int, int, bool, bool]:
        length = mark.start - mark.end
        return levels.index(mark.level), length, mark.rule == "long-sentence", mark.replacement is None

    kept: list[Mark] = []
    for mark in sorted(marks, key=weight):
        wide = mark.rule in WIDE_RULES
        rivals = (one for one in kept if one.block == mark.block and (one.rule in WIDE_RULES) == wide)
        if not any(one.start < mark.end and mark.start < one.end for one in rivals):
            kept.append(mark)
    order = {id(mark): number for number, mark in enumerate(marks)}
    return sorted(kept, key=lambda mark: order[id(mark)])


def marked_blocks(reading: Reading, place: PlaceOf) -> tuple[MarkedBlock, ...]:
    """Put the marks of a reading on its blocks; notes are numbered through the page in reading order."""
    by_block: dict[int, list[tuple[int, Mark]]] = {}
    for number, mark in enumerate(without_overlaps(reading.marks), 1):
        by_block.setdefault(mark.block, []).append((number, mark))
    return tuple(
        MarkedBlock(
            block.kind,
            tuple(_runs(block.text, by_block.get(index, []))),
            tuple(_notes(by_block.get(index, []), reading, place)),
        )
        for index, block in enumerate(reading.blocks)
    )


def _notes(marks: Sequence[tuple[int, Mark]], reading: Reading, place: PlaceOf) -> Iterator[Note]:
    opened: set[str] = set()
    for number, mark in marks:
        one = note(number, mark, reading, place)
        yield replace(one, opens=one.sentence not in opened)
        opened.add(one.sentence)


def note(number: int, mark: Mark, reading: Reading, place: PlaceOf) -> Note:
    """Make the note of a mark."""
    text = reading.blocks[mark.block].text
    return Note(
        number=number,
        rule=mark.rule,
        title=rule_titles()[mark.rule],
        level=mark.level,
        level_words=LEVEL_WORDS[mark.level],
        words=_short(text[mark.start : mark.end]),
        message=mark.message,
        suggestion=mark.suggestion,
        place=str(place(mark.block, mark.start)),
        sentence=sentence_at(reading, mark.block, mark.start),
        off=mark.off,
    )


def sentence_at(reading: Reading, block: int, offset: int) -> str:
    """Give the sentence that holds a character of a block; the whole block when none does."""
    text = reading.blocks[block].text
    for sentence in reading.sentences:
        if sentence.block == block and sentence.start <= offset < sentence.end:
            return " ".join(text[sentence.start : sentence.end].split())
    return " ".join(text.split())


def _short(text: str, most: int = 60) -> str:
    words = " ".join(text.split())
    return words if len(words) <= most else words[: most - 1].rsplit(" ", 1)[0] + " …"


def _runs(text: str, marks: Sequence[tuple[int, Mark]]) -> Iterable[Run]:
    edges = sorted({0, len(text), *(edge for _, mark in marks for edge in (mark.start, mark.end))})
    for start, end in pairwise(edges):
        over = [(number, mark) for number, mark in marks if mark.start < end and start < mark.end]
        yield Run(
            text[start:end],
            _classes([mark for _, mark in over]),
            tuple(number for number, mark in over if mark.end == end),
            tuple(number for number, _ in over),
        )


def _classes(marks: Sequence[Mark]) -> str:
    """Name how a run is drawn: `wide` for its sentence, `narrow` for its words, each with its gravest level."""
    levels = list(LEVEL_WORDS)
    found = []
    for name, group in (
        ("wide", [mark for mark in marks if mark.rule in WIDE_RULES]),
        ("narrow", [mark for mark in marks if mark.rule not in WIDE_RULES]),
    ):
        if group:
            found.append(f"{name} {name}-{min((mark.level for mark in group), key=levels.index)}")
    return " ".join(found)
