"""The one line an editor reads first: a reading-age band and a US grade band with the size of the sample.

Four parts, each on the scale of US grades, are averaged: SMOG less 2 (it asks for full understanding and
runs one to two grades above the others), New Dale-Chall by its own table, the share of rare words, and the
length of sentences. The band is centred on their mean and as wide as samples of that size were off in four cases of
five, measured on our own leaflets (`tests/reading/test_band.py`); it starts at “grade 4 or lower”. Under 100 words or
five sentences of prose nothing is graded.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from math import ceil, floor
from typing import Any

from limberleaf.reading.scores import formulas
from limberleaf.reading.scores.counts import Counts
from limberleaf.reading.tables import load_yaml
from limberleaf.reading.words.languages import Language

SHORTEST = 100  # words of prose; the formulas of Flesch, Kincaid and Gunning ask for samples of 100 words
FEWEST = 5  # sentences; one endless sentence says nothing about a text
AGE_OF_GRADE = 5  # UK reading age is usually given as US grade + 5; common practice, no source
HIGHEST = 16
LOWEST = 4
"""The scales of Dale & Chall 1948 and the SMOG table end here: easier texts all count as the lowest."""


@dataclass(frozen=True, slots=True)
class Headline:
    """The band, or the reason why there is none.

    `grade` and `age` are (low, high) or None; `parts` holds the grade each part alone would give; `text`
    says it all.
    """

    text: str
    words: int
    sentences: int
    grade: tuple[int, int] | None = None
    age: tuple[int, int] | None = None
    level: str | None = None
    parts: Mapping[str, float] | None = None

    @property
    def graded(self) -> bool:
        """Whether there was enough prose to grade."""
        return self.grade is not None or self.level is not None

    def against(self, target_grade: int) -> str:
        """`within`, `around` or `above` the target grade, or `unknown` when not graded."""
        if self.grade is None:
            return "unknown"
        low, high = self.grade
        if high <= target_grade:
            return "within"
        return "around" if low <= target_grade else "above"


def _read_off(points: list[list[float]], value: float) -> float:
    points = sorted(points)
    if value <= points[0][0]:
        return points[0][1]
    for (x0, y0), (x1, y1) in pairwise(points):
        if value <= x1:
            return y0 + (y1 - y0) * (value - x0) / (x1 - x0)
    return points[-1][1]


@cache
def _table() -> Any:
    return load_yaml("headline.yml")


def grade_parts(counts: Counts) -> dict[str, float]:
    """The US grade that each part of the English headline gives alone."""
    table = _table()
    cloze = formulas.new_dale_chall(counts.words, counts.sentences, counts.hard_words)
    return {
        "smog": formulas.smog(counts.polysyllables, counts.sentences) - table["smog_less"],
        "new_dale_chall": _read_off(table["new_dale_chall"], cloze),
        "rare_words": _read_off(table["rare_words"], 100 * counts.rare_words / counts.words),
        "sentence_length": _read_off(table["sentence_length"], counts.words / counts.sentences),
    }


def headline(counts: Counts, lang: Language, measures: Mapping[str, float]) -> Headline:
    """The headline of a sample of prose."""
    words, sentences = counts.words, counts.sentences
    sample = f"{_many(words, 'word')} in {_many(sentences, 'sentence')}"
    if not lang.measures:
        return Headline(
            f"No reading formula for {lang.name} is trusted; {sample}, counts only.", words, sentences
        )
    if words < SHORTEST or sentences < FEWEST:
        text = (
            f"Too short to grade: {sample}, and a grade needs at least {SHORTEST} words of prose"
            f" in {FEWEST} sentences."
        )
        return Headline(text, words, sentences)
    if lang.code != "en":
        return _by_scale(counts, lang, measures, sample)
    parts = grade_parts(counts)
    middle = sum(parts.values()) / len(parts)
    low, high = _band(middle, words)
    levels = _table()["levels"]
    level = next((row for row in levels if middle <= row["to"]), levels[-1])["words"]
    return Headline(_tell(low, high, sample), words, sentences, (low, high), _ages(low, high), level, parts)


def _band(middle: float, words: int) -> tuple[int, int]:
    """The whole grades around the middle that held the grade of the whole text in four samples of five."""
    half = _read_off(_table()["band_half_width"], words)
    width = ceil(2 * half)
    low = floor(middle - width / 2 + 0.5)
    if low + width <= LOWEST:
        return 1, LOWEST
    low = min(max(1, low), HIGHEST)
    return low, low + width


def _many(number: int, thing: str) -> str:
    return f"{number} {thing}" if number == 1 else f"{number} {thing}s"


def steps_headline(counts: Counts) -> Headline:
    """How easy the steps are, by words a sentence and the share of hard words; grade formulas say little on steps."""
    if not counts.words:
        return Headline("No steps.", 0, 0)
    length = counts.words / counts.sentences
    hard = 100 * counts.hard_words / counts.words
    rows = _table()["steps"]
    row = next((row for row in rows if length <= row["words"] and hard <= row["hard_percent"]), rows[-1])
    text = (
        f"Steps: {row['level']}, about {_many(round(length), 'word')} a sentence"
        f" and {_many(counts.hard_words, 'hard word')} in {counts.words}."
    )
    return Headline(text, counts.words, counts.sentences, level=row["level"])


def _ages(low: int, high: int) -> tuple[int, int]:
    return low + AGE_OF_GRADE, high + AGE_OF_GRADE


def _tell(low: int, high: int, sample: str) -> str:
    low_age, high_age = _ages(low, high)
    if (low, high) == (1, LOWEST):
        return f"Age {high_age} or younger (US grade {LOWEST} or lower), from {sample}."
    if low >= HIGHEST:
        return f"Adults with a degree (US grade {HIGHEST} or higher), from {sample}."
    return f"About {low_age} to {high_age} years (US grade {low} to {high}), from {sample}."


def _in_band(row: Mapping[str, Any], value: float) -> bool:
    return bool(value < row["below"] if "below" in row else value >= row["from"])


def _by_scale(counts: Counts, lang: Language, measures: Mapping[str, float], sample: str) -> Headline:
    """The band of the language's first measure on its own published scale."""
    assert lang.scale is not None  # noqa: S101 - languages with measures have a scale, checked by their tests
    name = lang.measures[0]
    value = measures[name]
    bands = lang.scale["bands"]
    band = next((row for row in bands if _in_band(row, value)), bands[-1])
    level, grade = band["words"], band.get("grade")
    if not grade:
        text = f"{level.capitalize()} on the scale of {lang.scale['source']}, from {sample}."
        return Headline(text, counts.words, counts.sentences, level=level)
    low, high = grade
    text = f"{level.capitalize()}: {_tell(low, high, sample)[0].lower()}{_tell(low, high, sample)[1:]}"
    return Headline(text, counts.words, counts.sentences, (low, high), _ages(low, high), level)
