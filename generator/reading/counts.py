"""Raw counts of a sample, and the counting rules printed beside them.

Prose (full sentences in prose, bullets and cautions) and steps are counted apart; headings, dose lines and
bullet fragments are left out of both, as hospital guidance on scoring asks, and reported as left out.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, fields
from typing import Literal, TypeAlias

from generator.reading.blocks import Block
from generator.reading.lexicon import WordFacts
from generator.reading.text import Line

Part: TypeAlias = Literal["prose", "steps", "left_out"]


@dataclass(frozen=True, slots=True)
class Counts:
    """Raw counts of one sample; all whole numbers.

    `syllables`: numerals as one (Flesch 1948). `syllables_digits`: numerals digit by digit (Kincaid 1975).
    `polysyllables`: words of 3+ syllables as read aloud. `fog_hard`: Gunning's. `long_words`: 7+ letters.
    `hard_words`: not on the easy-word list, a name counted once. `rare_words`: zipf under 4 and not on the
    list.
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


def count(lines: Iterable[Line], leave_out: frozenset[tuple[int, int]] = frozenset()) -> Counts:
    """Counts of some lines; `leave_out` holds (block, start) of words that do not count."""
    total = dict.fromkeys((field.name for field in fields(Counts)), 0)
    unique: set[str] = set()
    names: set[str] = set()
    for line in lines:
        total["sentences"] += 1
        for place, (token, facts) in enumerate(zip(line.sentence.words, line.facts, strict=True)):
            if leave_out and (line.block, token.start) in leave_out:
                continue
            _add(total, facts)
            if facts.syllables >= 3:
                unique.add(facts.lower)
            if facts.easy:
                continue
            named = line.is_name(place)
            total["fog_hard"] += facts.fog_hard and not named
            total["hard_words"] += not (named and facts.lower in names)
            if named:
                names.add(facts.lower)
            elif facts.rare:
                total["rare_words"] += 1
    total["unique_polysyllables"] = len(unique)
    return Counts(**total)


def _add(total: dict[str, int], facts: WordFacts) -> None:
    total["words"] += 1
    total["syllables"] += facts.flesch
    total["syllables_digits"] += facts.digits
    total["letters"] += facts.letters
    total["strokes"] += facts.strokes
    total["monosyllables"] += facts.syllables == 1
    total["polysyllables"] += facts.syllables >= 3
    total["four_syllables"] += facts.syllables >= 4
    total["long_words"] += facts.letters >= 7
    total["numbers"] += facts.number


def join(parts: Sequence[Counts], unique_polysyllables: int) -> Counts:
    """The sum of several samples; unique words do not add up, so their number is given."""
    total = {field.name: sum(getattr(part, field.name) for part in parts) for field in fields(Counts)}
    total["unique_polysyllables"] = unique_polysyllables
    return Counts(**total)
