"""Entries as typed objects, with the file and line of every value.

`load_library(root)` reads a content folder; `Library` holds what was read and the findings of reading it.
"""

from generator.library.clinic import Clinic, Equipment, Item, Words
from generator.library.exercise import Dose, Exercise, PainBands, Translation
from generator.library.groups import TIERS, Caution, Collection, Ladder, Rule, Tier
from generator.library.load import Library, Loaded, load_library
from generator.library.prose import ProsePage
from generator.library.record import Citation, Review, Side, Status
from generator.library.source import Source

__all__ = [
    "TIERS",
    "Caution",
    "Citation",
    "Clinic",
    "Collection",
    "Dose",
    "Equipment",
    "Exercise",
    "Item",
    "Ladder",
    "Library",
    "Loaded",
    "PainBands",
    "ProsePage",
    "Review",
    "Rule",
    "Side",
    "Source",
    "Status",
    "Tier",
    "Translation",
    "Words",
    "load_library",
]
