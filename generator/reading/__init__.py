"""How hard a text is to read, sentence by sentence: text in, measures and marked sentences out.

`read([Block("prose", "Bend your knee.")], lang="en")` gives a `Reading`: counts, measures, headline and
marks. `explain(reading)` says why in plain sentences; `why("physiotherapist")` says how a word's syllables
were counted.
"""

from generator.reading.baseline import fingerprints, new_marks
from generator.reading.blocks import Block, Kind, SwitchedOff, WordChoices
from generator.reading.counting import CountingRule, counting_rules
from generator.reading.counts import Counts, PartCounts
from generator.reading.explain import Explanation, HardSentence, explain
from generator.reading.headline import Headline
from generator.reading.languages import Language, language, languages
from generator.reading.lexicon import WordFacts, why, word_facts
from generator.reading.marks import Level, Mark
from generator.reading.measures import MeasureInfo, measure_info
from generator.reading.reading import Reading, WithoutTerms, read
from generator.reading.rules.model import Rule, rules
from generator.reading.syllables import SyllableRoute

__all__ = [
    "Block",
    "CountingRule",
    "Counts",
    "Explanation",
    "HardSentence",
    "Headline",
    "Kind",
    "Language",
    "Level",
    "Mark",
    "MeasureInfo",
    "PartCounts",
    "Reading",
    "Rule",
    "SwitchedOff",
    "SyllableRoute",
    "WithoutTerms",
    "WordChoices",
    "WordFacts",
    "counting_rules",
    "explain",
    "fingerprints",
    "language",
    "languages",
    "measure_info",
    "new_marks",
    "read",
    "rules",
    "why",
    "word_facts",
]
