"""All the words of an entry that people read, each with the way to it in the file."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import cast

from pydantic import BaseModel

from generator.library import Library, Loaded
from generator.library.prose import ProsePage
from generator.library.record import Entry
from generator.library.source import Source
from generator.library.values import ANY_LANGUAGE

Loc = tuple[str | int, ...]

NOT_READ = {
    "affected_word",
    "applies_to",
    "cautions",
    "code",
    "doi",
    "email",
    "exercise",
    "exercises",
    "go_to",
    "id",
    "item",
    "kind",
    "ladders",
    "languages",
    "number",
    "paper",
    "phone",
    "position",
    "region",
    "replaced_by",
    "replaces",
    "review",
    "sides",
    "site",
    "sources",
    "status",
    "switched_off",
    "synonyms",
    "tags",
    "tier",
    "translates",
}
"""Keys whose texts are names, numbers or the record; nobody fills blanks or follows links in them."""

_FIGURE_WORDS = {"poses", "caption", "captions"}


@dataclass(frozen=True)
class EntryText:
    """A text of an entry: the file, the way to it, the words as written, and whether its page goes out."""

    source: Source
    loc: Loc
    text: str
    published: bool
    language: str


def texts_of(value: object, loc: Loc = ()) -> Iterator[tuple[Loc, str]]:
    """Give every text a reader sees below `value`, with its way from there."""
    if isinstance(value, str):
        yield loc, value
    elif isinstance(value, BaseModel):
        for name in type(value).model_fields:
            if name in NOT_READ or ("figure" in loc and name not in _FIGURE_WORDS):
                continue
            yield from texts_of(getattr(value, name), (*loc, name))
    elif isinstance(value, dict):
        for key, item in value.items():
            yield from texts_of(item, (*loc, str(key)))
    elif isinstance(value, Sequence):
        for index, item in enumerate(value):
            yield from texts_of(item, (*loc, index))


def entries(library: Library) -> Iterator[Loaded[Entry]]:
    """Give every exercise, ladder, collection and caution with its file."""
    for shelf in (library.exercises, library.ladders, library.collections, library.cautions):
        yield from cast("dict[str, Loaded[Entry]]", shelf).values()


def entry_texts(library: Library) -> Iterator[EntryText]:
    """Give every text of every entry, translation and setting; prose pages come by `prose_pages`."""
    first = library.settings.language if library.clinic else "en"
    for loaded in entries(library):
        for loc, text in texts_of(loaded.entry):
            yield EntryText(loaded.source, loc, text, loaded.entry.is_published, first)
    for (_, language), translation in library.translations.items():
        for loc, text in texts_of(translation.entry):
            written = ("figure", *loc[2:]) if loc[0] == "figure" else loc
            published = translation.entry.status == "approved"
            yield EntryText(translation.source, written, text, published, language)
    for (_, _, language), words in library.group_translations.items():
        for loc, text in texts_of(words.entry):
            yield EntryText(words.source, loc, text, words.entry.status == "approved", language)
    for settings in (library.clinic, library.equipment):
        if settings:
            for loc, text in texts_of(settings.entry):
                written = loc[:-1] if loc[-1] == ANY_LANGUAGE else loc
                yield EntryText(settings.source, written, text, True, first)


def prose_pages(library: Library) -> Iterator[ProsePage]:
    """Give the prose pages in the order of their names."""
    yield from (library.pages[key] for key in sorted(library.pages))
