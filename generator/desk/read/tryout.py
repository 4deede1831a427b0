"""The try-out box: what the engine says about words somebody is typing. Each line is a block of its own."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import cast

from limberleaf.desk.read.marked import MarkedBlock, marked_blocks, nowhere
from limberleaf.desk.read.readings import Readings, grade_words, headline_words
from limberleaf.desk.read.tables import hard_words_of, level_of
from limberleaf.reading import Block, Kind, languages

MOST_LETTERS = 5_000
KIND_WORDS: Mapping[str, str] = {
    "step": "A step",
    "prose": "A sentence or paragraph",
    "bullet": "A line of a list",
    "caution": "A caution",
}


class NotTriedError(ValueError):
    """What was sent cannot be tried; the text says why in plain words."""


@dataclass(frozen=True)
class Tried:
    """The answer: the band (or how hard it is for so few words), the counts, the words with their marks."""

    band: str
    grades: str
    headline: str
    level: str
    words: int
    sentences: int
    hard_words: int | None
    blocks: tuple[MarkedBlock, ...]

    @property
    def marks(self) -> int:
        """Count the marks."""
        return sum(len(block.notes) for block in self.blocks)


def tried(readings: Readings, asked: object, first_language: str) -> Tried:
    """Read what was sent: `{"text": ..., "kind": ..., "language": ...}`; raises NotTriedError for anything else."""
    if not isinstance(asked, dict):
        raise NotTriedError("Send an object with `text`.")
    text, kind = asked.get("text"), asked.get("kind", "step")
    language = asked.get("language", first_language)
    if not isinstance(text, str):
        raise NotTriedError("`text` must be a text.")
    if len(text) > MOST_LETTERS:
        raise NotTriedError(f"At most {MOST_LETTERS} characters can be tried at once.")
    if not isinstance(kind, str) or kind not in KIND_WORDS:
        raise NotTriedError(f"`kind` is one of: {', '.join(KIND_WORDS)}.")
    if not isinstance(language, str) or language.partition("-")[0] not in languages():
        raise NotTriedError("`language` is not one the reading engine knows.")
    blocks = [Block(cast("Kind", kind), line.strip()) for line in text.splitlines() if line.strip()]
    reading = readings.try_out(blocks, language)
    counts, line = reading.counts.all, reading.headline
    return Tried(
        band=headline_words(line),
        grades=grade_words(line.grade),
        headline=line.text,
        level=line.level.capitalize() if line.level else level_of(reading),
        words=counts.words,
        sentences=counts.sentences,
        hard_words=hard_words_of(reading),
        blocks=marked_blocks(reading, nowhere),
    )
