"""Every measure by name, from the counts of one sample."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from limberleaf.reading.scores import formulas
from limberleaf.reading.scores.counts import Counts

MEASURES: Mapping[str, Callable[[Counts], float]] = {
    "flesch_reading_ease": lambda c: formulas.flesch_reading_ease(c.words, c.sentences, c.syllables),
    "flesch_kincaid": lambda c: formulas.flesch_kincaid(c.words, c.sentences, c.syllables_digits),
    "smog": lambda c: formulas.smog(c.polysyllables, c.sentences),
    "gunning_fog": lambda c: formulas.gunning_fog(c.words, c.sentences, c.fog_hard),
    "coleman_liau": lambda c: formulas.coleman_liau(c.words, c.sentences, c.letters),
    "ari": lambda c: formulas.ari(c.words, c.sentences, c.strokes),
    "dale_chall": lambda c: formulas.dale_chall(c.words, c.sentences, c.hard_words),
    "new_dale_chall": lambda c: formulas.new_dale_chall(c.words, c.sentences, c.hard_words),
    "forcast": lambda c: formulas.forcast(c.monosyllables, c.words),
    "lix": lambda c: formulas.lix(c.words, c.sentences, c.long_words),
    "rix": lambda c: formulas.rix(c.sentences, c.long_words),
    "flesch_douma": lambda c: formulas.flesch_douma(c.words, c.sentences, c.syllables),
    "brouwer": lambda c: formulas.brouwer(c.words, c.sentences, c.syllables),
    "amstad": lambda c: formulas.amstad(c.words, c.sentences, c.syllables),
    "wiener_sachtext": lambda c: formulas.wiener_sachtext(
        c.words,
        c.sentences,
        polysyllables=c.polysyllables,
        long_words=c.long_words,
        monosyllables=c.monosyllables,
    ),
    "szigriszt_pazos": lambda c: formulas.szigriszt_pazos(c.words, c.sentences, c.syllables),
    "fernandez_huerta": lambda c: formulas.fernandez_huerta(c.words, c.sentences, c.syllables),
    "kandel_moles": lambda c: formulas.kandel_moles(c.words, c.sentences, c.syllables),
    "gulpease": lambda c: formulas.gulpease(c.words, c.sentences, c.letters),
    "martins": lambda c: formulas.martins(c.words, c.sentences, c.syllables),
    "fog_pl": lambda c: formulas.fog_pl(c.words, c.sentences, c.four_syllables),
}


def measure(counts: Counts, names: tuple[str, ...]) -> dict[str, float]:
    """The named measures of a sample in the given order; none of an empty sample."""
    if not counts.words or not counts.sentences:
        return {}
    return {name: MEASURES[name](counts) for name in names}
