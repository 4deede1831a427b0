"""Raw counts of a sample, and the counting rules printed beside them.

Prose (full sentences in prose, bullets and cautions) and steps are counted apart; headings, dose lines and
bullet fragments are left out of both, as hospital guidance on scoring asks, and reported as left out.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, fields
from operator import attrgetter
from typing import Literal, TypeAlias

from limberleaf.reading.blocks import Block
from limberleaf.reading.words.lexicon import WordFacts
from limberleaf.reading.words.text import Line

Part: TypeAlias = Literal["prose", "steps", "left_out"]


@dataclass(frozen=True, slots=True)
class Counts:
    """Raw counts of one sample; all whole numbers.

    `syllables`: numerals as one (Flesch 1948). `syllables_digits`: numerals digit by digit (Kincaid 1975).
    `letters`: letters and digits (Coleman & Liau 1975). `strokes`: with marks inside words (Smith & Senter
    1967). `polysyllables`: words of 3+ syllables as read aloud. `fog_hard`: Gunning's. `long_words`: 7+
    letters. `hard_words`: not on the easy-word list, a name counted once. `rare_words`: zipf under 4 and
    not on the list.
    """

    sentences: int = 0
    words: int = 0
    syllables: int = 0
    syllables_digits: int = 0
    letters: int = 0
    strokes: int = 0
    monosyllables: int = 0
    polysyllables: int = 0
    unique_polysyllables: int = 0
    four_syllables: int = 0
    fog_hard: int = 0
    long_words: int = 0
    hard_words: int = 0
    rare_words: int = 0
    numbers: int = 0

    def as_dict(self) -> dict[str, int]:
        """Name -> count, in the order above."""
        return {field.name: getattr(self, field.name) for field in fields(self)}


@dataclass(frozen=True, slots=True)
class PartCounts:
    """The counts by part; `all` is every block, `left_out` what no score uses."""

    prose: Counts
    steps: Counts
    all: Counts
    left_out: Counts


def part_of(block: Block) -> Part:
    """Which sample a block belongs to."""
    if block.kind == "step":
        return "steps"
    if block.kind in ("heading", "dose"):
        return "left_out"
    if block.kind == "bullet" and not block.text.rstrip().rstrip("\"'”’)").endswith(
        (".", "!", "?", "…", "؟")
    ):
        return "left_out"
    return "prose"


_SUMS: Mapping[str, Callable[[WordFacts], int]] = {
    "syllables": attrgetter("flesch"),
    "syllables_digits": attrgetter("digits"),
    "letters": attrgetter("letters"),
    "strokes": attrgetter("strokes"),
    "long_words": attrgetter("long"),
    "numbers": attrgetter("number"),
}


def count(lines: Sequence[Line], leave_out: frozenset[tuple[int, int]] = frozenset()) -> Counts:
    """Counts of some lines; `leave_out` holds (block, start) of words that do not count."""
    if leave_out:
        words = [
            (facts, line, place)
            for line in lines
            for place, (token, facts) in enumerate(zip(line.sentence.words, line.facts, strict=True))
            if (line.block, token.start) not in leave_out
        ]
    else:
        words = [(facts, line, place) for line in lines for place, facts in enumerate(line.facts)]
    all_facts = [facts for facts, _, _ in words]
    syllables = [facts.syllables for facts in all_facts]
    hard = _count_hard([word for word in words if word[0].fog_hard or not word[0].easy])
    return Counts(
        sentences=len(lines),
        words=len(words),
        monosyllables=syllables.count(1),
        polysyllables=sum(number >= 3 for number in syllables),
        unique_polysyllables=len({facts.lower for facts in all_facts if facts.syllables >= 3}),
        four_syllables=sum(number >= 4 for number in syllables),
        **{name: sum(map(get, all_facts)) for name, get in _SUMS.items()},
        **hard,
    )


def _count_hard(words: list[tuple[WordFacts, Line, int]]) -> dict[str, int]:
    """Hard and rare words: a name is hard once by Chall & Dale, never rare, and never hard by Gunning's rule."""
    names: set[str] = set()
    fog = hard = rare = 0
    for facts, line, place in words:
        named = line.is_name(place)
        fog += facts.fog_hard and not named
        hard += not facts.easy and not (named and facts.lower in names)
        rare += facts.rare and not named
        if named:
            names.add(facts.lower)
    return {"fog_hard": fog, "hard_words": hard, "rare_words": rare}


def join(parts: Sequence[Counts], unique_polysyllables: int) -> Counts:
    """The sum of several samples; unique words do not add up, so their number is given."""
    total = {field.name: sum(getattr(part, field.name) for part in parts) for field in fields(Counts)}
    total["unique_polysyllables"] = unique_polysyllables
    return Counts(**total)
