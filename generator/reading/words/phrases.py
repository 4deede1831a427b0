"""Finds listed phrases among the words of a sentence, in any regular form, longest first.

All phrase rules share one index, so a text is walked once however many phrases there are.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Generic, TypeAlias, TypeVar

from limberleaf.reading.words.lexicon import common_words, inflected_stems
from limberleaf.reading.words.text import Piece

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


_Anchored: TypeAlias = tuple[int, Phrase[T]]


class PhraseIndex(Generic[T]):
    """Phrases by their rarest word, so that “in” and “the” start no search."""

    def __init__(self, phrases: Iterable[Phrase[T]]) -> None:
        index: dict[str, list[_Anchored[T]]] = {}
        for phrase in phrases:
            place = min(range(len(phrase.words)), key=lambda n: common_words().get(phrase.words[n], 0))
            index.setdefault(phrase.words[place], []).append((place, phrase))
        self._index: Mapping[str, list[_Anchored[T]]] = index
        self._known: dict[str, tuple[_Anchored[T], ...]] = {}

    def find(self, pieces: tuple[Piece, ...]) -> Iterator[Found[T]]:
        """Every phrase in the pieces of one sentence; of those with one rarest word the longest comes first."""
        known = self._known
        for place, piece in enumerate(pieces):
            anchored = known.get(piece.word)
            if anchored is None:
                anchored = self._anchored(piece.word)
            for before, phrase in anchored:
                first = place - before
                after = first + len(phrase.words)
                if first < 0 or after > len(pieces):
                    continue
                span = zip(phrase.words, pieces[first:after], strict=True)
                if all(_same(word, other.word, phrase.forms) for word, other in span):
                    yield Found(phrase, first, after, pieces[first].start, pieces[after - 1].end)

    def _anchored(self, word: str) -> tuple[_Anchored[T], ...]:
        """The phrases whose rarest word may be a written word, longest first; remembered."""
        found = list(self._index.get(word, ()))
        for stem in dict.fromkeys(inflected_stems(word)):
            found.extend(entry for entry in self._index.get(stem, ()) if entry[1].forms)
        found.sort(key=lambda entry: -len(entry[1].words))
        self._known[word] = tuple(found)
        return self._known[word]


def _same(listed: str, written: str, forms: bool) -> bool:
    return listed == written or (forms and listed in inflected_stems(written))
