"""Reads a text: blocks in, counts, measures, a headline and marks out.

The story in order: each block is cut into sentences (`tokens`), each word looked up once (`lexicon`), prose
and steps are counted apart (`counts`), the language's measures are computed (`measures`), one headline is
made of them (`headline`), and the rules mark the places worth changing (`rules`).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property

from limberleaf.reading.blocks import NO_CHOICES, Block, SwitchedOff, WordChoices, with_headings
from limberleaf.reading.first import first_marks
from limberleaf.reading.marks import Mark
from limberleaf.reading.rules.run import run, switch_off
from limberleaf.reading.scores.counts import Part, PartCounts, count, join, part_of
from limberleaf.reading.scores.headline import Headline, headline, steps_headline
from limberleaf.reading.scores.measures import measure
from limberleaf.reading.words.languages import Language, language
from limberleaf.reading.words.lexicon import lexicon
from limberleaf.reading.words.terms import with_terms
from limberleaf.reading.words.text import Line, Text, prepare
from limberleaf.reading.words.tokens import Sentence

OWN_EASY_LIST = "Limberleaf's own easy words (not the Dale-Chall list)"


@dataclass(frozen=True)
class Reading:
    """What the engine found in a text.

    - `counts`: raw counts by part; `left_out`: indices of the blocks that no score uses
    - `measures` of the prose, `step_measures` of the steps: name -> figure on the paper's own scale
    - `headline` grades the prose; `steps_headline` rates the steps, for which grades mean little
    - `easy_list`: name of the list of easy words that was used
    - `marks`: findings in reading order, of which `first` are the three that matter most; `switched_off`: those
      switched off, each with its reason;
      `unused_switches`: switches that switched nothing off
    - `text`: the text as the rules saw it
    """

    lang: Language
    blocks: tuple[Block, ...]
    sentences: tuple[Sentence, ...]
    counts: PartCounts
    left_out: tuple[int, ...]
    measures: Mapping[str, float]
    step_measures: Mapping[str, float]
    headline: Headline
    steps_headline: Headline
    easy_list: str
    marks: tuple[Mark, ...]
    switched_off: tuple[Mark, ...]
    unused_switches: tuple[SwitchedOff, ...]
    text: Text = field(repr=False, compare=False)

    @cached_property
    def first(self) -> tuple[Mark, ...]:
        """At most three marks to begin with, gravest first, of different rules and sentences where there are such."""
        return first_marks(self.marks, self.sentences)

    @cached_property
    def without_terms(self) -> WithoutTerms | None:
        """Counts, measures and headline without names and explained terms; None where there are none."""
        return _without_terms(self.text, self.lang) if self.text.known_words else None


@dataclass(frozen=True, slots=True)
class WithoutTerms:
    """Counts, measures and headline with names and explained terms left out, and what they were."""

    terms: tuple[str, ...]
    counts: PartCounts
    measures: Mapping[str, float]
    step_measures: Mapping[str, float]
    headline: Headline


def read(blocks: Iterable[Block], lang: str = "en", words: WordChoices = NO_CHOICES) -> Reading:
    """Read a text given as blocks, under a clinic's word choices.

    `lang` is a language code (`en`, `nl`, `pt-BR`); a language without formulas gives counts and marks only.
    """
    text = with_terms(prepare(with_headings(tuple(blocks)), lang, lexicon(lang, words), words))
    about = language(lang)
    marks, switched_off, unused = switch_off(run(text), text, words.switched_off)
    counts = _count_parts(text)
    measures = measure(counts.prose, about.measures)
    return Reading(
        lang=about,
        blocks=text.blocks,
        sentences=tuple(line.sentence for line in text.lines),
        counts=counts,
        left_out=tuple(index for index, block in enumerate(text.blocks) if part_of(block) == "left_out"),
        measures=measures,
        step_measures=measure(counts.steps, about.measures),
        headline=headline(counts.prose, about, measures),
        steps_headline=steps_headline(counts.steps),
        easy_list=words.easy_list_name
        or (OWN_EASY_LIST if words.easy_list is None else "the clinic's own list"),
        marks=marks,
        switched_off=switched_off,
        unused_switches=unused,
        text=text,
    )


def _without_terms(text: Text, about: Language) -> WithoutTerms:
    counts = _count_parts(text, text.known_words)
    measures = measure(counts.prose, about.measures)
    explained = dict.fromkeys(use.term for use in text.uses if use.explained)
    return WithoutTerms(
        terms=tuple(explained),
        counts=counts,
        measures=measures,
        step_measures=measure(counts.steps, about.measures),
        headline=headline(counts.prose, about, measures),
    )


def _count_parts(text: Text, leave_out: frozenset[tuple[int, int]] = frozenset()) -> PartCounts:
    parts = [part_of(block) for block in text.blocks]
    by_part: dict[Part, list[Line]] = {"prose": [], "steps": [], "left_out": []}
    for line in text.lines:
        by_part[parts[line.block]].append(line)
    prose, steps, left_out = (count(by_part[part], leave_out) for part in ("prose", "steps", "left_out"))
    polysyllables = {facts.lower for line in text.lines for facts in line.facts if facts.syllables >= 3}
    return PartCounts(prose, steps, join([prose, steps, left_out], len(polysyllables)), left_out)
