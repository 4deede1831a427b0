"""Entries as typed objects, with the file and line of every value.

`load_library(root)` reads a content folder; `Library` holds what was read and the findings of reading it.
"""

from limberleaf.library.clinic import Clinic, Equipment, Item, Words
from limberleaf.library.exercise import Dose, Exercise, PainBands, Translation
from limberleaf.library.groups import TIERS, Caution, Collection, Ladder, Rule, Tier
from limberleaf.library.load import Library, Loaded, load_library
from limberleaf.library.prose import ProsePage
from limberleaf.library.record import Citation, Review, Side, Status
from limberleaf.library.source import Source

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
