"""Entries as typed objects, with the file and line of every value.

`load_library(root)` reads a content folder; `Library` holds what was read and the findings of reading it.

In order: yaml/ (files with the place of every value), files.py (bytes that may be read), models/ (the keys of each
kind of file), shape.py (values into models, mistakes into findings), text.py (blanks filled), prose.py,
own_files.py, colour.py and face_colours.py (what a clinic brings of its own), loaded.py (an entry with its file),
walk.py and load.py (a folder into a library), traced.py (the same, noting what is read), translate.py (an exercise in
another language), schemas.py and guide.py (the keys for editors).
"""

from limberleaf.library.load import Library, load_library
from limberleaf.library.loaded import Loaded
from limberleaf.library.models.clinic import Clinic, Equipment, Item, Words
from limberleaf.library.models.exercise import Dose, Exercise, PainBands, Translation
from limberleaf.library.models.groups import TIERS, Caution, Collection, Ladder, Rule, Tier
from limberleaf.library.models.record import Citation, Review, Side, Status
from limberleaf.library.prose import ProsePage
from limberleaf.library.yaml.source import Source

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
