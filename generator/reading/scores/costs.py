"""What the grade of a text is made of, in words: what its hardest words and its longest sentences cost.

Each cost is the grade of the text less the grade it would have with the same counts but for that one thing: the words
easy and short ones, or each long sentence in two.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

from limberleaf.reading.scores.counts import Counts, part_of
from limberleaf.reading.scores.headline import grade_parts
from limberleaf.reading.words.text import Line, Text

MOST_WORDS = 3
LONG = 25  # words a sentence; UK plain-language guidance asks for at most 25
LEAST = 0.05
"""Grades; a smaller cost rounds to nothing."""
_LEADS = ("This word costs", "These two words cost", "These three words cost")
"""How the sentence on one, two or MOST_WORDS words begins."""


@dataclass(frozen=True, slots=True)
class Cost:
    """What one thing adds to the grade, in US grades, and a sentence that says so; `words` where it is words."""

    grades: float
    text: str
    words: tuple[str, ...] = ()


def costs(text: Text, counts: Counts) -> tuple[Cost, ...]:
    """The costs of the prose of an English text with its counts, dearest first; none where none is worth a line."""
    prose = [line for line in text.lines if part_of(text.blocks[line.block]) == "prose"]
    found = [cost for cost in (_of_words(prose, counts), _of_length(prose, counts)) if cost is not None]
    return tuple(sorted(found, key=lambda cost: -cost.grades))


def _grade(counts: Counts) -> float:
    parts = grade_parts(counts)
    return sum(parts.values()) / len(parts)


def _of_words(lines: Sequence[Line], counts: Counts) -> Cost | None:
    hard: Counter[str] = Counter()
    rare: Counter[str] = Counter()
    long: Counter[str] = Counter()
    for line in lines:
        for place, facts in enumerate(line.facts):
            if not facts.easy and len(facts.lower) > 1 and not line.is_name(place):
                hard[facts.lower] += 1
                rare[facts.lower] += facts.rare
                long[facts.lower] += facts.syllables >= 3
    now = _grade(counts)

    def without(words: Sequence[str]) -> float:
        return now - _grade(
            replace(
                counts,
                hard_words=counts.hard_words - sum(hard[word] for word in words),
                rare_words=counts.rare_words - sum(rare[word] for word in words),
                polysyllables=counts.polysyllables - sum(long[word] for word in words),
            )
        )

    dearest = sorted(hard, key=lambda word: (-without([word]), word))[:MOST_WORDS]
    grades = without(dearest)
    if not dearest or grades < LEAST:
        return None
    listed = ", ".join(f"{word} ({hard[word]} times)" if hard[word] > 1 else word for word in dearest)
    return Cost(grades, f"{_LEADS[len(dearest) - 1]} {_grades(grades)}: {listed}.", tuple(dearest))


def _of_length(lines: Sequence[Line], counts: Counts) -> Cost | None:
    long = sum(len(line.sentence.words) > LONG for line in lines)
    grades = _grade(counts) - _grade(replace(counts, sentences=counts.sentences + long))
    if not long or grades < LEAST:
        return None
    lead = "1 sentence" if long == 1 else f"{long} sentences"
    verb = "costs" if long == 1 else "cost"
    them = "it" if long == 1 else "each"
    return Cost(grades, f"{lead} of more than {LONG} words {verb} {_grades(grades)}: make two of {them}.")


def _grades(grades: float) -> str:
    return f"{grades:.1f} of a grade" if grades < 1 else f"{grades:.1f} grades"
