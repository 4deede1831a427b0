"""One text ready for the rules: sentences, words with their facts, and words cut at hyphens for finding phrases."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from operator import attrgetter
from typing import NamedTuple

from limberleaf.reading.blocks import Block, Kind, WordChoices
from limberleaf.reading.words.lexicon import UNLISTED_ZIPF, Lexicon, WordFacts
from limberleaf.reading.words.tokens import Sentence, Token, sentences_of


class Piece(NamedTuple):
    """A word, or one part of a hyphenated word, in lower case with its place in the block."""

    word: str
    start: int
    end: int


_cut = attrgetter("cut")


@dataclass(frozen=True)
class Line:
    """A sentence with its block, the facts of its words and its pieces."""

    block: int
    kind: Kind
    text: str
    sentence: Sentence
    facts: tuple[WordFacts, ...]
    pieces: tuple[Piece, ...]

    def source(self, start: int, end: int) -> str:
        """The text of the block between two offsets."""
        return self.text[start:end]

    @cached_property
    def hard_places(self) -> tuple[int, ...]:
        """Which words of the sentence are hard, by their place in it."""
        return tuple([place for place, facts in enumerate(self.facts) if facts.hard])

    @cached_property
    def word_set(self) -> frozenset[str]:
        """The lower-case pieces of the sentence, to see quickly what is not there."""
        return frozenset([piece.word for piece in self.pieces])

    @cached_property
    def spoken(self) -> str:
        """The sentence in lower case with straight apostrophes, of the same length."""
        text = self.text[self.sentence.start : self.sentence.end].replace("’", "'")
        lower = text.lower()
        return lower if len(lower) == len(text) else text

    def is_name(self, place: int) -> bool:
        """Whether a word looks like a proper name: a capital inside the sentence, not all capitals, not `I`."""
        text = self.sentence.words[place].text
        return place > 0 and text[0].isupper() and not text.isupper() and not text.startswith(("I'", "I’"))


@dataclass(frozen=True, slots=True)
class Use:
    """A term or name in the text; `line` is the index of its line, offsets are in its block."""

    term: str
    line: int
    start: int
    end: int
    explained: bool


@dataclass(frozen=True, eq=False)
class Text:
    """All lines of a text in order, and what the clinic says about words.

    `uses` are the terms found; `known_words` holds (block, start) of the words of names and explained terms.
    """

    lang: str
    blocks: tuple[Block, ...]
    lines: tuple[Line, ...]
    lexicon: Lexicon
    words: WordChoices
    uses: tuple[Use, ...] = ()
    known_words: frozenset[tuple[int, int]] = frozenset()

    @cached_property
    def spoken(self) -> str:
        """All lines in lower case, to see quickly what is not there."""
        return "\n".join(line.spoken for line in self.lines)

    @cached_property
    def _numbers(self) -> Mapping[int, int]:
        return {id(line): number for number, line in enumerate(self.lines)}

    def after(self, line: Line) -> Line | None:
        """The next line of the text, None after the last."""
        number = self._numbers[id(line)] + 1
        return self.lines[number] if number < len(self.lines) else None

    @cached_property
    def by_block(self) -> Mapping[int, list[Line]]:
        """The lines of each block that has words."""
        found: dict[int, list[Line]] = {}
        for line in self.lines:
            found.setdefault(line.block, []).append(line)
        return found


def prepare(blocks: tuple[Block, ...], lang: str, lexicon: Lexicon, words: WordChoices) -> Text:
    """Cut blocks into lines and look every word up."""
    lines = []
    for index, block in enumerate(blocks):
        split = lang.startswith("en") and _SPLIT.search(block.text)
        for found in sentences_of(block.text, lang, index):
            sentence = _joined(found, block.text, lexicon) if split else found
            facts = lexicon.facts_of([token.text for token in sentence.words])
            lines.append(Line(index, block.kind, block.text, sentence, facts, _pieces(sentence, facts)))
    return Text(lang, blocks, tuple(lines), lexicon, words)


_SPLIT = re.compile(r"f[filt] [a-z]")
_LIGATURES = ("ff", "fi", "fl", "ffi", "ffl", "ft")


def _joined(sentence: Sentence, text: str, lexicon: Lexicon) -> Sentence:
    """The sentence with words put together that a copied PDF parts at joined letters (`fi rst`, `speci fi c`)."""
    words = list(sentence.words)
    place = 0
    while place < len(words):
        for more in (3, 2):
            run = words[place : place + more]
            if len(run) == more and _was_one_word(run, text, lexicon):
                words[place : place + more] = [
                    Token(text[run[0].start : run[-1].end], run[0].start, run[-1].end)
                ]
                break
        place += 1
    return replace(sentence, words=tuple(words))


def _was_one_word(run: list[Token], text: str, lexicon: Lexicon) -> bool:
    parts = [token.text.lower() for token in run]
    if not any(part.endswith(_LIGATURES) for part in parts[:-1]) or not run[-1].text.islower():
        return False
    if text[run[0].start : run[-1].end] != " ".join(token.text for token in run):
        return False
    rare = [part for part in parts if lexicon.folded_zipf(part) <= UNLISTED_ZIPF]
    return bool(rare) and lexicon.folded_zipf("".join(parts)) > UNLISTED_ZIPF


def _pieces(sentence: Sentence, facts: tuple[WordFacts, ...]) -> tuple[Piece, ...]:
    if not any(map(_cut, facts)):
        new = tuple.__new__  # as in `words_of`: quicker than the class, for every word of every text
        return tuple(
            [
                new(Piece, (about.lower, token[1], token[2]))
                for token, about in zip(sentence.words, facts, strict=True)
            ]
        )
    return tuple(
        [
            Piece(word, token.start + start, token.start + end)
            for token, about in zip(sentence.words, facts, strict=True)
            for word, start, end in about.parts
        ]
    )
