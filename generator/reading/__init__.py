"""How hard a text is to read, sentence by sentence: text in, measures and marked sentences out.

`read([Block("prose", "Bend your knee.")], lang="en")` gives a `Reading`: counts, measures, headline and marks.
`explain(reading)` says why in plain sentences; `why("physiotherapist")` says how a word's syllables were counted. In
order: tables.py (data files), blocks.py (what is read), words/ (its words and sentences), scores/ (counts and
measures), marks.py, first.py and rules/ (what is marked), reading.py (all together), explain.py and baseline.py
(marks that are new). build/ makes the tables from their sources.
"""

from limberleaf.reading.baseline import fingerprints, new_marks
from limberleaf.reading.blocks import Block, Kind, SwitchedOff, WordChoices
from limberleaf.reading.explain import Explanation, HardSentence, explain
from limberleaf.reading.marks import Level, Mark
from limberleaf.reading.reading import Reading, WithoutTerms, read
from limberleaf.reading.rules.model import Rule, rules
from limberleaf.reading.scores.counting import CountingRule, counting_rules
from limberleaf.reading.scores.counts import Counts, PartCounts
from limberleaf.reading.scores.headline import Headline
from limberleaf.reading.words.languages import Language, language, languages
from limberleaf.reading.words.lexicon import why
from limberleaf.reading.words.syllables import SyllableRoute

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
    "PartCounts",
    "Reading",
    "Rule",
    "SwitchedOff",
    "SyllableRoute",
    "WithoutTerms",
    "WordChoices",
    "counting_rules",
    "explain",
    "fingerprints",
    "language",
    "languages",
    "new_marks",
    "read",
    "rules",
    "why",
]
