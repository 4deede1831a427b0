"""Reads a text: blocks in, counts, measures, a headline and marks out.

The story in order: each block is cut into sentences (`tokens`), each word looked up once (`lexicon`), prose
and steps are counted apart (`counts`), the language's measures are computed (`measures`), one headline is
made of them (`headline`), and the rules mark the places worth changing (`rules`).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from generator.reading.blocks import NO_CHOICES, Block, WordChoices
from generator.reading.counts import Part, PartCounts, count, join, part_of
from generator.reading.headline import Headline, headline
from generator.reading.languages import Language, language
from generator.reading.lexicon import Lexicon, lexicon
from generator.reading.marks import Mark
from generator.reading.measures import measure
from generator.reading.tokens import Sentence, sentences_of


@dataclass(frozen=True, slots=True)
class Reading:
    """What the engine found in a text.

    `measures` are those of the prose; `step_measures` those of the steps; `all_measures` of prose and steps
    together. `headline` grades the prose. `without_names` is the headline with explained terms and names
    left out, when there are any.
    """

    lang: Language
    blocks: tuple[Block, ...]
    sentences: tuple[Sentence, ...]
    counts: PartCounts
    measures: Mapping[str, float]
    step_measures: Mapping[str, float]
    headline: Headline
    marks: tuple[Mark, ...] = ()
    switched_off: tuple[Mark, ...] = field(default=())


def read(blocks: Iterable[Block], lang: str = "en", words: WordChoices = NO_CHOICES) -> Reading:
    """Read a text given as blocks, under a clinic's word choices.

    `lang` is a language code (`en`, `nl`, `pt-BR`); a language without formulas gives counts and marks only.
    """
    given = tuple(blocks)
    known = lexicon(lang, words)
    about = language(lang)
    sentences = [
        sentence for index, block in enumerate(given) for sentence in sentences_of(block.text, lang, index)
    ]
    counts = _count_parts(given, sentences, known)
    measures = measure(counts.prose, about.measures)
    return Reading(
        lang=about,
        blocks=given,
        sentences=tuple(sentences),
        counts=counts,
        measures=measures,
        step_measures=measure(counts.steps, about.measures),
        headline=headline(counts.prose, about, measures),
    )


def _count_parts(blocks: tuple[Block, ...], sentences: list[Sentence], known: Lexicon) -> PartCounts:
    parts = [part_of(block) for block in blocks]
    by_part: dict[Part, list[Sentence]] = {"prose": [], "steps": [], "left_out": []}
    for sentence in sentences:
        by_part[parts[sentence.block]].append(sentence)
    prose, steps, left_out = (count(by_part[part], known) for part in ("prose", "steps", "left_out"))
    unique = {
        facts.lower
        for sentence in sentences
        for token in sentence.words
        if (facts := known.facts(token.text)).syllables >= 3
    }
    return PartCounts(prose, steps, join([prose, steps, left_out], len(unique)), left_out)
