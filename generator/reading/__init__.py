"""How hard a text is to read, sentence by sentence: text in, measures and marked sentences out.

`read([Block("prose", "Bend your knee.")], lang="en")` gives a `Reading` with counts, measures, headline and
marks.
"""

from generator.reading.blocks import Block, Kind, SwitchedOff, WordChoices
from generator.reading.counts import Counts, PartCounts
from generator.reading.headline import Headline
from generator.reading.marks import Mark
from generator.reading.reading import Reading, read

__all__ = [
    "Block",
    "Counts",
    "Headline",
    "Kind",
    "Mark",
    "PartCounts",
    "Reading",
    "SwitchedOff",
    "WordChoices",
    "read",
]
