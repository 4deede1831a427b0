"""All the words of an entry that people read, each with the way to it in the file."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any, cast

from pydantic import BaseModel

from limberleaf.findings import Place
from limberleaf.library import Clinic, Library, Loaded, Translation
from limberleaf.library.models.clinic import Equipment
from limberleaf.library.models.record import Entry
from limberleaf.library.models.values import ANY_LANGUAGE
from limberleaf.library.prose import ProsePage
from limberleaf.library.yaml.source import Loc, Source
from limberleaf.store.kept import LazyItems
from limberleaf.store.nodes import each
from limberleaf.store.trace import whole_of

NOT_READ = {
    "affected_word",
    "applies_to",
    "band",
    "bold",
    "build",
    "cautions",
    "code",
    "collection",
    "country",
    "covers",
    "dark",
    "doi",
    "email",
    "exercise",
    "exercises",
    "file",
    "fingerprint",
    "go_to",
    "icon",
    "id",
    "item",
    "kind",
    "ladders",
    "languages",
    "licence",
    "main",
    "main_dark",
    "note_names",
    "number",
    "paper",
    "phone",
    "position",
    "poster",
    "region",
    "replaced_by",
    "replaces",
    "retired_because",
    "review",
    "side",
    "sides",
    "site",
    "skin",
    "sources",
    "status",
    "styles",
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

    def place_at(self, offset: int) -> Place:
        """Give the place of a letter, counted from the first one of the text."""
        return self.source.place(self.loc, offset=offset)


def texts_of(value: object, loc: Loc = ()) -> Iterator[tuple[Loc, str]]:
    """Give every text a reader sees below `value`, with its way from there."""
    value = whole_of(value)
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
    for entries in (library.exercises, library.ladders, library.collections, library.cautions):
        yield from (loaded for _, loaded in each(cast("dict[str, Loaded[Entry]]", entries)))


class FileTexts(LazyItems[EntryText]):
    """The texts of one file, taken out of its entry when somebody reads them."""

    def __init__(self, loaded: Loaded[Any], language: str, *, published: bool) -> None:
        super().__init__(f"{loaded.content_key} {language} {published}", self._taken_out)
        self._loaded, self._language, self._published = loaded, language, published
        self.source, self.path = loaded.source, loaded.source.path

    @property
    def entry(self) -> Any:
        """Give what the texts are taken out of."""
        return self._loaded.entry

    def _taken_out(self) -> Iterator[EntryText]:
        entry = self._loaded.entry
        for loc, text in texts_of(entry):
            yield EntryText(self.source, _written(entry, loc), text, self._published, self._language)


def texts_by_file(library: Library) -> Iterator[FileTexts]:
    """Give the texts of every entry, translation and setting, file by file; prose pages come by `prose_pages`."""
    first = library.settings.language if library.clinic else "en"
    for loaded in entries(library):
        yield _texts(library, loaded, first, published=loaded.entry.is_published)
    for (_, language), translation in each(library.translations):
        yield _texts(library, translation, language, published=translation.entry.status == "approved")
    for (_, _, language), words in each(library.group_translations):
        yield _texts(library, words, language, published=words.entry.status == "approved")
    for settings in (library.clinic, library.equipment, library.plans):
        if settings:
            yield _texts(library, settings, first, published=True)


def _texts(library: Library, loaded: Loaded[Any], language: str, *, published: bool) -> FileTexts:
    def make() -> Iterator[FileTexts]:
        yield FileTexts(loaded, language, published=published)

    return library.read_cache.cached(("texts", loaded.source.path), (loaded, language), make)[0]


def _written(entry: BaseModel, loc: Loc) -> Loc:
    """Give the way to a text in the file where that is not the way to it in the entry."""
    if isinstance(entry, Translation) and loc[0] == "figure":
        return ("figure", *loc[2:])
    if isinstance(entry, Clinic | Equipment) and loc[-1] == ANY_LANGUAGE:
        return loc[:-1]
    return loc


def prose_pages(library: Library) -> Iterator[ProsePage]:
    """Give the prose pages in the order of their names."""
    yield from (library.pages[key] for key in sorted(library.pages))
