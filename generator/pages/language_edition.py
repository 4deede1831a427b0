"""The library in one language, with all that pages share: words, titles, places in ladders, addresses.

A `TextRenderer` writes texts of entries for one page: blanks filled, links made, everything else escaped.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property, lru_cache

from limberleaf.clinical.ladders import LadderPlace
from limberleaf.clinical.placeholder_values import placeholders_for
from limberleaf.library import Clinic, Collection, Equipment, Exercise, Ladder, Loaded, ProsePage, Side
from limberleaf.library.models.group_words import Group
from limberleaf.library.models.record import Entry
from limberleaf.library.text import Piece, PlaceholderValues, fill
from limberleaf.library.translate import group_in_language, in_language
from limberleaf.pages import links
from limberleaf.pages.links import Links
from limberleaf.pages.model import SiteContext
from limberleaf.pages.passage import Passage, Run, joined, phone
from limberleaf.plan.resolve import replaced_by_each
from limberleaf.store.keys import text_key
from limberleaf.store.trace import TracedMapping, shared_property, unrecorded
from limberleaf.words import InterfaceWords, interface_words


@dataclass(frozen=True)
class LanguageEdition:
    """The published part of a library in one language."""

    context: SiteContext
    language: str

    @property
    def clinic(self) -> Clinic:
        """Give the clinic's settings."""
        return self.context.library.settings

    @property
    def is_first(self) -> bool:
        """Return whether this is the language whose pages are at the root."""
        return self.language == self.clinic.language

    @cached_property
    def words(self) -> InterfaceWords:
        """Give the interface words."""
        return interface_words(self.language)

    @cached_property
    def exercises(self) -> Mapping[str, Exercise]:
        """Give the exercises that have a page in this language, by code."""
        library = self.context.library
        with unrecorded():
            shown = [code for code, loaded in library.exercises.items() if self._is_shown(loaded.entry)]
            found = {code: in_language(library, code, self.language) for code in shown}
            written = {code: exercise for code, exercise in found.items() if exercise}
        return self.context.traced.add(
            TracedMapping(self.traced_name("exercises"), written, self._exercise_key)
        )

    def _exercise_key(self, code: str, _: Exercise) -> str:
        library = self.context.library
        with unrecorded():
            words = library.translations.get((code, self.language))
            keys = [library.exercises[code].content_key, words.content_key if words else ""]
            return text_key("\n".join(keys))

    def fill_mappings(self) -> None:
        """Make every traced mapping now, so that the inputs of pages made earlier can be compared with them."""
        for name in ("exercises", "ladders", "collections", "prose", "places", "collections_of", "replaced"):
            getattr(self, name)

    def traced_name(self, name: str) -> str:
        """Name the traced mapping of what is shown in this language."""
        return f"{name} in {self.language}"

    def _is_shown(self, entry: Entry) -> bool:
        return entry.is_published or (self.context.preview and entry.status != "retired")

    @cached_property
    def ladders(self) -> Mapping[str, Ladder]:
        """Give the ladders that have a page in this language, by name."""
        return self._groups("ladders", self.context.library.ladders)

    @cached_property
    def collections(self) -> Mapping[str, Collection]:
        """Give the collections that have a page in this language, by name."""
        return self._groups("collections", self.context.library.collections)

    def _groups(self, folder: str, groups: Mapping[str, Loaded[Group]]) -> Mapping[str, Group]:
        library = self.context.library
        with unrecorded():
            shown = {name: one.entry for name, one in groups.items() if self._is_shown(one.entry)}
            found = {
                name: group_in_language(library, folder, one, self.language) for name, one in shown.items()
            }
            written = {name: one for name, one in found.items() if one}
        return self.context.traced.add(TracedMapping(self.traced_name(folder), written))

    @cached_property
    def prose(self) -> Mapping[str, ProsePage]:
        """Give the prose pages written in this language, by name."""
        own = ("", self.language) if self.is_first else (self.language,)
        with unrecorded():
            pages = self.context.library.pages.items()
            written = {name: page for (name, language), page in pages if language in own}
        return self.context.traced.add(TracedMapping(self.traced_name("pages"), written, _prose_key))

    @property
    def equipment(self) -> Equipment:
        """Give the equipment list, empty when the clinic has none."""
        loaded = self.context.library.equipment
        return loaded.entry if loaded else Equipment(items={})

    @shared_property
    def placeholders(self) -> PlaceholderValues:
        """Give the placeholders of pages that are not about one exercise."""
        return placeholders_for(self.context.library, None, None, self.language)

    @property
    def clinic_phone(self) -> Run:
        """Give the clinic's number as a link that dials."""
        return phone(self.clinic.phone)

    @property
    def name(self) -> str:
        """Give the clinic's name."""
        return self.clinic.name.in_language(self.language)

    @cached_property
    def places(self) -> Mapping[str, list[LadderPlace]]:
        """Give the place of each exercise in the ladders that have a page, by code."""
        with unrecorded():
            found: dict[str, list[LadderPlace]] = {code: [] for code in self.exercises}
            for ladder in self.ladders.values():
                for index, rung in enumerate(ladder.steps):
                    found.setdefault(rung.exercise, []).append(LadderPlace(ladder, index, len(ladder.steps)))
        mapping = TracedMapping(self.traced_name("places"), found, _places_key, self._places_seen)
        return self.context.traced.add(mapping)

    def _places_seen(self, _: str, places: list[LadderPlace]) -> list[LadderPlace]:
        return [LadderPlace(self.ladders[one.ladder.id], one.index, one.count) for one in places]

    @cached_property
    def collections_of(self) -> Mapping[str, list[str]]:
        """Give the names of the collections that hold each exercise, on its own or in a ladder, by code."""
        with unrecorded():
            found: dict[str, list[str]] = {code: [] for code in self.exercises}
            for name, collection in self.collections.items():
                for code in self.members(collection):
                    found[code].append(name)
        return self.context.traced.add(
            TracedMapping(self.traced_name("collections of"), found, _whole_list, lambda _, names: names)
        )

    @cached_property
    def replaced(self) -> Mapping[str, list[str]]:
        """Give the exercises that the ladders of each exercise say to stop, by its code."""
        with unrecorded():
            found = replaced_by_each(self.context.library)
        return self.context.traced.add(
            TracedMapping(self.traced_name("replaced"), found, _whole_list, lambda _, codes: codes)
        )

    def say(self, key: str, **values: object) -> str:
        """Give an interface phrase; those without values are looked up once."""
        if values:
            return self.words.say(key, **values)
        if key not in self._plain_words:
            self._plain_words[key] = self.words.say(key)
        return self._plain_words[key]

    @cached_property
    def _plain_words(self) -> dict[str, str]:
        return {}

    def members(self, collection: Collection) -> list[str]:
        """Give the codes of a collection's exercises: its ladders' in order, then its own."""
        codes = [
            rung.exercise for name in collection.ladders if name in self.ladders
            for rung in self.ladders[name].steps
        ]  # fmt: skip
        return [code for code in dict.fromkeys([*codes, *collection.exercises]) if code in self.exercises]

    def at(self, address: str) -> str:
        """Put an address below this language."""
        return links.in_language(address, self.language, self.clinic.language)

    def address_of(self, target: str, side: Side | None = None) -> str | None:
        """Give the address a link's target means, on the reader's side where it has one; None without."""
        if target in self.exercises:
            sided = side if self.exercises[target].sides == "one" else None
            return self.at(links.exercise_address(target, sided))
        if target in self.ladders:
            return self.at(links.ladder_address(target))
        if target in self.collections:
            return self.at(links.collection_address(target))
        if target == links.HELP.rstrip("/"):
            return self.at(links.HELP)
        if target in self.prose:
            return self.at(links.prose_address(target))
        return None

    def renderer(self, url: str, exercise: Exercise | None = None, side: Side | None = None) -> TextRenderer:
        """Give the renderer of a page."""
        placeholders = (
            placeholders_for(self.context.library, exercise, side, self.language)
            if exercise
            else self.placeholders
        )
        return TextRenderer(self, Links(url, self.context.name_files), placeholders, side)


@lru_cache(maxsize=8)
def edition_of(context: SiteContext, language: str) -> LanguageEdition:
    """Give the edition of a language, the same one to all pages of a site; all its mappings are made."""
    edition = LanguageEdition(context, language)
    edition.fill_mappings()
    return edition


def _places_key(_: str, places: list[LadderPlace]) -> str:
    return text_key(repr([(one.ladder.id, one.index, one.count) for one in places]))


def _whole_list(_: str, names: list[str]) -> str:
    return text_key("\n".join(names))


def _prose_key(_: str, page: ProsePage) -> str:
    return text_key(page.content_key)


@dataclass(frozen=True)
class TextRenderer:
    """Writes an entry's texts for one page."""

    edition: LanguageEdition
    links: Links
    placeholders: PlaceholderValues
    side: Side | None = None

    def write(self, text: str) -> Passage:
        """Fill a text; links and telephone numbers become runs of their own."""
        if "{" not in text and "[" not in text:
            return Passage((Run(text),))
        return joined(self._run(piece) for piece in fill(text, self.placeholders).pieces)

    def write_all(self, texts: Iterable[str]) -> list[Passage]:
        """Write several texts."""
        return [self.write(text) for text in texts]

    def plain(self, text: str) -> str:
        """Fill a text and keep its words alone."""
        return fill(text, self.placeholders).plain

    def _run(self, piece: Piece) -> Run:
        if piece.kind == "phone":
            return phone(piece.text)
        if piece.kind == "link" and (address := self.edition.address_of(piece.target, self.side)):
            return Run(piece.text, "link", self.links.to(address))
        if piece.kind == "dose":
            return Run(piece.text, "dose", blank=piece.target, begins=piece.begins)
        return Run(piece.text)

    def href(self, address: str) -> str:
        """Give the link to an address of the site."""
        return self.links.to(address)

    def to(self, target: str) -> str | None:
        """Give the link to an exercise, ladder, collection or prose page, or None when it has no page."""
        address = self.edition.address_of(target, self.side)
        return None if address is None else self.links.to(address)
