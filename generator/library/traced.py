"""A library as pages read it: every file and field that a page asks for is noted as an input of that page."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields
from typing import Any

from limberleaf.library.load import Library
from limberleaf.library.loaded import Loaded
from limberleaf.store.trace import TracedMapping, TracedMappings

FILES = "settings"
"""The mapping of the files that are one of a kind: clinic.yml, equipment.yml, words.yml, plans.yml."""
_ALONE = {"clinic", "equipment", "words", "plans", "media"}
_MAPPINGS = (
    "exercises", "translations", "group_translations", "ladders", "collections", "cautions", "pages",
)  # fmt: skip


class TracedLibrary(Library):
    """The same library, on mappings that note what is read."""

    def __init__(self, library: Library, traced: TracedMappings) -> None:
        """Put what was loaded into traced mappings; `library` itself stays as it is."""
        for field in fields(library):
            setattr(self, field.name, getattr(library, field.name))
        for name in _MAPPINGS:
            setattr(self, name, traced.add(TracedMapping(name, getattr(library, name), _text_of)))
        alone = {name: loaded for name in _ALONE if (loaded := getattr(library, name))}
        self._alone: Mapping[str, Any] = traced.add(TracedMapping(FILES, alone, _text_of))

    def __getattribute__(self, name: str) -> Any:
        """Give what is one of a kind by way of its mapping too."""
        if name in _ALONE and "_alone" in vars(self):
            return self._alone.get(name)
        return super().__getattribute__(name)


def _text_of(_: object, loaded: Loaded[Any]) -> str:
    return loaded.content_key
