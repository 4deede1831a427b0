"""Making pages, and making again only those whose content changed: what keeps a preview of a large library quick.

A page is a pure function of the library, so a page made before still stands when what it shows is the same. The page of
an exercise shows the words of its own file; of every other exercise only facts such as its title, time and picture.
All other pages show facts only. So an edit of one exercise's words makes again its own pages, and an edit of a fact or
of anything else makes all pages again.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from limberleaf.clinical.coverage import missing_on_page
from limberleaf.findings import Finding
from limberleaf.library import Exercise, Library, Loaded
from limberleaf.pages import SiteContext, SitePage, render_page
from limberleaf.store import Store, code_key, content_key

OWN_WORDS = {
    "suits",
    "leave_out_if",
    "working_side",
    "base_side",
    "setup",
    "steps",
    "dose_reason",
    "feelings",
    "watch_for",
    "easier",
    "harder",
    "instead",
    "switched_off",
    "sources",
    "review",
}
"""What an exercise's own pages show and no other page does."""


@dataclass(frozen=True)
class MadePage:
    """A page with all its files made: the inside for any theme, the whole document for ours, what stands beside it."""

    page: SitePage
    document: str
    beside: Mapping[str, str]
    missing: tuple[Finding, ...]


class PageCache:
    """Makes pages and remembers them, for as long as one workshop stands."""

    def __init__(self, store: Store) -> None:
        self._store = store
        self._made: dict[str, tuple[str, MadePage]] = {}
        self._facts: dict[str, tuple[Loaded[Exercise], str]] = {}

    def make(self, pages: list[SitePage], context: SiteContext) -> list[MadePage]:
        """Make every page, or give it as it was made from the same content."""
        library = context.library
        shared = content_key(
            code_key("limberleaf", "limberleaf.diagrams"),
            context.name_files,
            context.preview,
            context.share,
            context.own_styles,
            _texts_but_exercises(library),
            [self._facts_of(code, loaded) for code, loaded in library.exercises.items()],
        )
        self._store.read([_place_of(page) for page in pages])
        made = {page.url: self._one(page, context, shared) for page in pages}
        self._made = {url: one for url, one in self._made.items() if url in made}
        return list(made.values())

    def _one(self, page: SitePage, context: SiteContext, shared: str) -> MadePage:
        key = content_key(shared, page.kind, _own_text(page, context.library))
        known = self._made.get(page.url)
        if known is None or known[0] != key:
            known = (key, self._kept(page, key) or self._new(page, context, key))
            self._made[page.url] = known
        return known[1]

    def _kept(self, page: SitePage, key: str) -> MadePage | None:
        """Give the page as an earlier build made it from the same content; only whole, safe pages are kept."""
        place = _place_of(page)
        kept = self._store.read([place]).get(place)
        return MadePage(page, kept["document"], page.files(), ()) if kept and kept["key"] == key else None

    def _new(self, page: SitePage, context: SiteContext, key: str) -> MadePage:
        made = _make(page, context)
        if not made.missing:
            self._store.keep({_place_of(page): {"key": key, "document": made.document}})
        return made

    def _facts_of(self, code: str, loaded: Loaded[Exercise]) -> str:
        known = self._facts.get(code)
        if known is None or known[0] is not loaded:
            known = (loaded, loaded.entry.model_dump_json(exclude=OWN_WORDS))
            self._facts[code] = known
        return known[1]


def _place_of(page: SitePage) -> str:
    """Give the store's key of a page: one for each address, so that a new version takes the place of the old one."""
    return f"page {page.url}"


def _make(page: SitePage, context: SiteContext) -> MadePage:
    html = page.body()
    whole = replace(page, body=lambda: html)
    missing: list[Finding] = []
    if page.kind not in ("redirect", "retired"):
        missing = missing_on_page(context.library, page.url, page.language, html)
    return MadePage(whole, render_page(whole, context), whole.files(), tuple(missing))


def _texts_but_exercises(library: Library) -> list[str]:
    shelves = (library.ladders, library.collections, library.cautions, library.group_translations)
    texts = [loaded.source.text for shelf in shelves for loaded in shelf.values()]
    texts += [page.source.text for page in library.pages.values()]
    texts += [one.source.text for one in (library.clinic, library.equipment, library.words) if one]
    for (code, language), translation in library.translations.items():
        texts.append(f"{code} {language} {translation.entry.title} {translation.entry.status}")
    return texts


def _own_text(page: SitePage, library: Library) -> list[str]:
    """Give what only this page shows: the texts of its exercise's files."""
    if page.kind != "exercise":
        return []
    code = page.url.removeprefix(f"{page.language}/").split("/")[0]
    translation = library.translations.get((code, page.language))
    own = [library.exercises[code].source.text] if code in library.exercises else []
    return [*own, translation.source.text] if translation else own
