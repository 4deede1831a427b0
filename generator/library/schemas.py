"""The JSON Schema of every kind of entry (draft 2020-12), made from the typed entries."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from pydantic import BaseModel

from limberleaf.library.models.clinic import Clinic, Equipment, Words
from limberleaf.library.models.exercise import Exercise, Translation
from limberleaf.library.models.group_words import CautionWords, CollectionWords, LadderWords
from limberleaf.library.models.groups import Caution, Collection, Ladder
from limberleaf.library.models.media import Media
from limberleaf.library.models.plans import Plans

SCHEMAS: Mapping[str, type[BaseModel]] = {
    "exercise": Exercise,
    "translation": Translation,
    "ladder": Ladder,
    "collection": Collection,
    "caution": Caution,
    "ladder-translation": LadderWords,
    "collection-translation": CollectionWords,
    "caution-translation": CautionWords,
    "clinic": Clinic,
    "equipment": Equipment,
    "words": Words,
    "plans": Plans,
    "media": Media,
}
"""The kinds of entry, by name."""


VERSION = 2
"""Rises with each key that is added, renamed or taken away; CHANGES.md then says what to change in a library."""


def schema(kind: str) -> dict[str, Any]:
    """Give the JSON Schema of a kind; KeyError when there is no such kind."""
    head = {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": f"urn:limberleaf:schema:{kind}:{VERSION}",
        "title": kind,
    }
    return {**SCHEMAS[kind].model_json_schema(), **head}
