"""How hard each page is: whole readings kept in memory, and their sums kept in the store between runs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Any

from limberleaf.checks.wording import Passage, Wording, word_choices
from limberleaf.desk.read.marked import without_overlaps
from limberleaf.desk.read.tables import hard_words_of, level_of
from limberleaf.library import Library
from limberleaf.reading import Block, Headline, Reading, WordChoices, read
from limberleaf.reading.blocks import SwitchedOff
from limberleaf.reading.scores.headline import FEWEST, SHORTEST
from limberleaf.store import Store, code_key, content_key

MAX_READINGS = 400
"""Whole readings in memory: the pages of a large library, or the versions of many entries."""


@dataclass(frozen=True)
class ReadingSummary:
    """What the overview and the history show of one reading; all counts are of words read, `prose` apart.

    `grade` and `age` are (low, high) or None. `against`: within, around or above the clinic's target, or unknown.
    """

    text: str
    grade: tuple[int, int] | None
    age: tuple[int, int] | None
    level: str | None
    against: str
    prose_words: int
    prose_sentences: int
    words: int
    sentences: int
    hard_words: int | None
    marks: int
    switched_off: int
    short: str
    """How hard it is in a word, by sentence length and less common words, where there is no grade."""

    @property
    def band(self) -> str:
        """Say the band in a few words."""
        none = band_words(self.age, self.level, self.prose_words, self.prose_sentences)
        return (
            none if self.age or self.level or not self.short else f"{self.short}, {none[0].lower()}{none[1:]}"
        )

    @property
    def grades(self) -> str:
        """Say the band as US grades."""
        return grade_words(self.grade)


def band_words(age: tuple[int, int] | None, level: str | None, words: int, sentences: int) -> str:
    """Say a reading-age band in a few words, such as `Age 9 to 10`, or why there is none."""
    if age is None:
        none = (
            "Too short to grade" if words < SHORTEST or sentences < FEWEST else "No formula for this language"
        )
        return level.capitalize() if level else none
    return f"Age {age[1]} or younger" if age[0] <= YOUNGEST else f"Age {age[0]} to {age[1]}"


def grade_words(grade: tuple[int, int] | None) -> str:
    """Say a grade band in a few words, such as `US grade 4 to 5`; nothing when there is none."""
    if grade is None:
        return ""
    return f"US grade {grade[1]} or lower" if grade[0] <= 1 else f"US grade {grade[0]} to {grade[1]}"


YOUNGEST = 6
"""The engine's lowest band runs from grade 1, age 6: easier texts all count as this."""


def headline_words(headline: Headline) -> str:
    """Say the band of a headline in a few words."""
    return band_words(headline.age, headline.level, headline.words, headline.sentences)


class Readings:
    """Readings under one library's choices about words; `follow` takes the next state of the library."""

    def __init__(self, store: Store | None = None) -> None:
        """Begin with what the store keeps."""
        self.store = store or Store()
        self._whole: dict[str, Reading] = {}
        self._choices: dict[tuple[SwitchedOff, ...], WordChoices] = {}
        self._choices_key = ""
        self._library: Library | None = None

    def follow(self, library: Library) -> None:
        """Take the words of a library; readings stay when its choices about words have not changed."""
        plain = word_choices(library)
        key = content_key([(name, _plain(getattr(plain, name))) for name in plain.__dataclass_fields__])
        if key != self._choices_key:
            self._choices = {(): plain}
            self._choices_key = key
        self._library = library

    def choices(self, switched_off: tuple[SwitchedOff, ...] = ()) -> WordChoices:
        """Give the clinic's choices with some rules switched off: one object each, since lexicons hang on them."""
        if switched_off not in self._choices:
            assert self._library is not None  # noqa: S101 - `follow` came first
            self._choices[switched_off] = word_choices(self._library, switched_off)
        return self._choices[switched_off]

    def whole(self, wording: Wording) -> Reading:
        """Read a page."""
        key = self._key(wording)
        reading = self._whole.get(key)
        if reading is None:
            reading = self.blocks(wording.passages, wording.language, wording.switched_off)
            while len(self._whole) >= MAX_READINGS:
                del self._whole[next(iter(self._whole))]
            self._whole[key] = reading
        return reading

    def blocks(
        self, passages: Sequence[Passage], language: str, switched_off: tuple[SwitchedOff, ...] = ()
    ) -> Reading:
        """Read some passages."""
        return read([passage.block for passage in passages], language, self.choices(switched_off))

    def try_out(self, blocks: Sequence[Block], language: str) -> Reading:
        """Read what somebody is typing; nothing is kept."""
        return read(blocks, language, self.choices())

    def sums(self, pages: Sequence[Wording]) -> list[ReadingSummary]:
        """Give the sums of pages; only those the store does not know are read."""
        keys = [self._key(page) for page in pages]
        stored = self.store.read(keys)
        fresh: dict[str, Any] = {}
        for page, key in zip(pages, keys, strict=True):
            if key not in stored and key not in fresh:
                fresh[key] = asdict(self._sum(self.whole(page)))
        self.store.keep(fresh)
        return [_summary_of({**stored, **fresh}[key]) for key in keys]

    def _sum(self, reading: Reading) -> ReadingSummary:
        line, everything = reading.headline, reading.counts.all
        return ReadingSummary(
            text=line.text,
            grade=line.grade,
            age=line.age,
            level=line.level,
            against=line.against(self.choices().target_grade),
            prose_words=line.words,
            prose_sentences=line.sentences,
            words=everything.words,
            sentences=everything.sentences,
            hard_words=hard_words_of(reading),
            marks=len(without_overlaps(reading.marks)),
            switched_off=len(reading.switched_off),
            short="" if line.grade else level_of(reading),
        )

    def _key(self, page: Wording) -> str:
        blocks = [(passage.kind, passage.text.plain) for passage in page.passages]
        switches = [(one.rule, one.text, one.reason) for one in page.switched_off]
        return content_key(
            "desk 2", code_key("limberleaf.reading"), self._choices_key, page.language, blocks, switches
        )


def _plain(value: object) -> object:
    if isinstance(value, frozenset):
        return sorted(value)
    return dict(value) if isinstance(value, Mapping) else value


def _summary_of(stored: Mapping[str, Any]) -> ReadingSummary:
    bands = {name: tuple(stored[name]) if stored[name] else None for name in ("grade", "age")}
    return ReadingSummary(**{**stored, **bands})
