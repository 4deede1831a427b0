"""Finds listed phrases among the words of a sentence, in any regular form, longest first.

All phrase rules share one index, so a text is walked once however many phrases there are.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Generic, TypeVar

from generator.reading.lexicon import inflected_stems
from generator.reading.text import Piece

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Phrase(Generic[T]):
    """A phrase to look for: its words, whether regular forms count, and what belongs to it."""

    words: tuple[str, ...]
    forms: bool
    value: T


@dataclass(frozen=True, slots=True)
class Found(Generic[T]):
    """A phrase found: places in the pieces (`first` to before `after`) and in the text."""

    phrase: Phrase[T]
    first: int
    after: int
    start: int
    end: int

    def exact(self, pieces: tuple[Piece, ...]) -> bool:
        """Whether the text has the very words of the phrase, not another form of them."""
        return tuple(piece.word for piece in pieces[self.first : self.after]) == self.phrase.words


class PhraseIndex(Generic[T]):
    """Phrases by their first word."""

    def __init__(self, phrases: Iterable[Phrase[T]]) -> None:
        index: dict[str, list[Phrase[T]]] = {}
        for phrase in phrases:
            index.setdefault(phrase.words[0], []).append(phrase)
        for group in index.values():
            group.sort(key=lambda phrase: -len(phrase.words))
        self._index: Mapping[str, list[Phrase[T]]] = index
        self._known: dict[str, tuple[Phrase[T], ...]] = {}

    def find(self, pieces: tuple[Piece, ...]) -> Iterator[Found[T]]:
        """Every phrase in the pieces of one sentence; at one place all that match are given, longest first."""
        known = self._known
        for place, piece in enumerate(pieces):
            starting = known.get(piece.word)
            if starting is None:
                starting = self._starting(piece.word)
            for phrase in starting:
                after = place + len(phrase.words)
                if after > len(pieces):
                    continue
                rest = zip(phrase.words[1:], pieces[place + 1 : after], strict=True)
                if all(_same(word, other.word, phrase.forms) for word, other in rest):
                    yield Found(phrase, place, after, piece.start, pieces[after - 1].end)

    def _starting(self, word: str) -> tuple[Phrase[T], ...]:
        """The phrases that may start with a written word, longest first; remembered."""
        found = list(self._index.get(word, ()))
        for stem in dict.fromkeys(inflected_stems(word)):
            found.extend(phrase for phrase in self._index.get(stem, ()) if phrase.forms)
        found.sort(key=lambda phrase: -len(phrase.words))
        self._known[word] = tuple(found)
        return self._known[word]


def _same(listed: str, written: str, forms: bool) -> bool:
    return listed == written or (forms and listed in inflected_stems(written))
