"""Making every file of a site from a content folder.

A `SiteBuilder` builds one content folder over one or many builds: it keeps figures and unchanged entries between
them. `compose` reads the library, checks it, draws what is new and gives a `Composition`: all pages, to be taken
as whole documents or as bodies for another theme.
"""

from __future__ import annotations

import gc
import json
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property
from pathlib import Path
from xml.sax.saxutils import escape

from limberleaf.checks import check_drawings, check_without_drawing
from limberleaf.checks.figures import figures_to_check
from limberleaf.checks.kept_checks import changed_exercises
from limberleaf.clinical.placeholder_values import placeholders_for
from limberleaf.figures import Figures
from limberleaf.findings import Finding, has_errors, in_order
from limberleaf.library import Exercise, Library, Side, load_library
from limberleaf.library.load import ReadCache
from limberleaf.library.traced import TracedLibrary
from limberleaf.library.translate import in_language
from limberleaf.pages import SiteContext, SitePage, addresses, site_pages
from limberleaf.pages.face import OwnFiles, own_files
from limberleaf.pages.guest import guest_body, guest_head
from limberleaf.pages.links import PAPER
from limberleaf.pages.moved import redirect_page
from limberleaf.pages.page_figures import PageFigures, adults_of
from limberleaf.pages.qr import qr_svg
from limberleaf.pages.site import shared_assets
from limberleaf.pages.views.exercise_view import SIDES
from limberleaf.publish.page_cache import MadePage, PageCache
from limberleaf.publish.unchanged import known_outputs
from limberleaf.store import FILE, Store, StoredText, code_key, content_key
from limberleaf.store.data import read_data_through
from limberleaf.store.keys import Stamped
from limberleaf.store.trace import TracedMappings

Output = str | bytes | StoredText
"""What is written to a file of a site."""


@dataclass(frozen=True)
class GuestPage:
    """A page as another theme takes it: a Markdown file without a body, and the body as HTML."""

    page: SitePage
    main_language: str

    @property
    def source_uri(self) -> str:
        """Give the path of the Markdown file MkDocs makes this address from."""
        return f"{self.page.url.rstrip('/') or 'index'}.md"

    @property
    def front_matter(self) -> str:
        """Give the Markdown file: its title and description only (JSON strings are YAML)."""
        title, description = json.dumps(self.page.title), json.dumps(self.page.description)
        return f"---\ntitle: {title}\ndescription: {description}\n---\n"

    @property
    def in_nav(self) -> bool:
        """Keep exercises out of the navigation, which would carry them on every page."""
        return self.page.kind in ("finder", "collection", "help", "prose")

    def body(self) -> str:
        """Give the page's inner HTML, in a container that our scoped style knows."""
        return guest_body(self.page, self.main_language)

    def head(self) -> str:
        """Give what the document's head needs: our style and scripts, and that no address is handed on."""
        return guest_head(self.page)


@dataclass(frozen=True)
class Composition:
    """All pages of a library, ready to be written."""

    library: Library
    """What the pages were made from."""
    made_pages: tuple[MadePage, ...]
    indexes: Mapping[str, StoredText]
    """The files of facts that pages load, by path."""
    lock: str
    """The text of `addresses.lock` once these pages are published."""
    lock_before: bytes | None
    """The text of `addresses.lock` when the pages were made; None: nothing."""
    save: Callable[[], None] = field(repr=False)
    share_pictures: Mapping[str, str | bytes] = field(default_factory=dict, repr=False)
    """Pictures for links in messages, by path."""
    papers: Mapping[str, bytes] = field(default_factory=dict, repr=False)
    """Paper sheets as PDF, by path."""
    data: Mapping[str, StoredText] = field(default_factory=dict, repr=False)
    """The library as data for others, by path."""
    own: OwnFiles = field(default_factory=OwnFiles, repr=False)
    """The clinic's own files."""

    @cached_property
    def pages(self) -> tuple[SitePage, ...]:
        """Give the pages alone."""
        return tuple(one.page for one in self.made_pages)

    @cached_property
    def guest_pages(self) -> Mapping[str, GuestPage]:
        """Give the pages for another theme, by the Markdown file in their place."""
        guests = [
            GuestPage(page, self.library.settings.language)
            for page in self.pages
            if page.kind not in ("redirect", "not_found")
        ]
        return {guest.source_uri: guest for guest in guests}

    @cached_property
    def prose_sources(self) -> frozenset[str]:
        """Name the Markdown files of prose pages, which MkDocs also finds in its documents folder."""
        return frozenset(Path(page.source.path).name for page in self.library.pages.values())

    @property
    def watched(self) -> tuple[Path, ...]:
        """Name the folders whose files go into the site: the entries, and the code and templates."""
        return self.library.root, Path(__file__).parents[1]

    def keep_lock(self) -> Callable[[], None]:
        """Write the lock beside the entries, when it changed, and give the way to undo that.

        Call it just before the pages are published: an address is then never out without its line.
        """
        return addresses.LockFile(self.library.root).replace(self.lock_before, self.lock)

    @cached_property
    def shared_files(self) -> dict[str, Output]:
        """Give what is beside the pages in every theme: style, scripts, pictures, sheets, data, indexes."""
        return {
            **shared_assets(),
            **dict(self.own.outputs()),
            **self.share_pictures,
            **self.papers,
            **self.data,
            **self.indexes,
        }

    @cached_property
    def static_files(self) -> dict[str, str | bytes]:
        """Give the files that are the same in every theme: what pages share, motions, redirects."""
        files = dict(self.shared_files)
        for one in self.made_pages:
            files.update(one.beside)
            if one.page.kind == "redirect":
                files[one.page.file] = one.document
        return {path: _read(one) for path, one in files.items()}

    @cached_property
    def outputs(self) -> dict[str, Output]:
        """Give every file of the site in our own theme, by path; a text that was made before is not read."""
        files: dict[str, Output] = {one.page.file: one.document for one in self.made_pages}
        files.update(self.shared_files)
        for one in self.made_pages:
            files.update(one.beside)
        files["sitemap.xml"] = sitemap(self.pages, self.library.settings.site)
        return files

    @cached_property
    def files(self) -> dict[str, str | bytes]:
        """Give every file of the site in our own theme, read."""
        return {path: _read(one) for path, one in self.outputs.items()}


def _read(output: Output) -> str | bytes:
    return output.text if isinstance(output, StoredText) else output


class _NotPublishableError(Exception):
    """A library that cannot go out as it is; `findings` say why."""

    def __init__(self, findings: Iterable[Finding]) -> None:
        super().__init__("the library cannot be published")
        self.findings = findings


def no_findings(_: Library) -> Iterable[Finding]:
    """Find nothing, for callers that have nothing to add."""
    return ()


class SiteBuilder:
    """One content folder over many builds.

    The last one made also lends its store to every reader of our own data files in this process
    (`data_files.safe_load`). Values are kept there by the text of their file, so any store gives the same ones.
    """

    def __init__(self, content: Path, cache: Path | None) -> None:
        self._content, self._cache = content, cache
        self._store = Store(cache / FILE if cache else None)
        read_data_through(self._store)
        self._figures = Figures(self._store)
        self._read_cache = ReadCache(self._store)
        self._page_cache = PageCache(self._store)

    def known_outputs(self, way: str, site: Path) -> Stamped:
        """Give the files that the last build of this way left in a folder, with their stamps and hashes."""
        return known_outputs(self._store, way, site)

    def compose(
        self,
        today: date,
        *,
        preview: bool = False,
        name_files: bool = False,
        own_styles: tuple[str, ...] = (),
        also: Callable[[Library], Iterable[Finding]] = no_findings,
    ) -> tuple[Composition | None, list[Finding]]:
        """Read, check and lay out the library; no composition when errors forbid it.

        A preview leaves out what has errors and shows the rest. `own_styles` are the clinic's own style sheets, as
        paths in the site. `also` is asked for findings that only the caller can know, such as those on its settings.
        """
        with _collector_paused():
            try:
                return self._compose(today, preview, name_files, own_styles, also)
            except _NotPublishableError as refused:
                self._figures.save()
                return None, in_order(refused.findings)
            except BaseException:
                self._figures.stop()
                raise

    def _compose(
        self,
        today: date,
        preview: bool,
        name_files: bool,
        own_styles: tuple[str, ...],
        also: Callable[[Library], Iterable[Finding]],
    ) -> tuple[Composition, list[Finding]]:
        """Make the pages while their figures are drawn, and look at all figures when the last is there."""
        library = load_library(self._content, self._read_cache)
        findings = self._check(library, today, also)
        if library.clinic is None or (has_errors(findings) and not preview):
            raise _NotPublishableError([*findings, *check_drawings(library, self._figures)])
        traced = TracedMappings()
        noted = TracedLibrary(library, traced)
        sizes: dict[str, int] = {}  # filled below: pages say how large their sheet is
        context = SiteContext(
            noted,
            PageFigures(self._figures, adult_for=adults_of(noted)),
            name_files=name_files,
            preview=preview,
            share=library.settings.share_pictures and not (preview or name_files),
            qr=self._code,
            own_styles=own_styles,
            own=own_files(library),
            traced=traced,
            papers=sizes,
        )
        pages = site_pages(context)
        compared, lock_before = addresses.compare_file(
            self._content, addresses.addresses_of(pages), publishing=not name_files
        )
        findings += compared.findings
        if has_errors(compared.findings) and not preview:
            raise _NotPublishableError([*findings, *check_drawings(library, self._figures)])
        papers = self._papers(context, findings)
        sizes.update((url, len(pdf)) for url, pdf in papers.items())
        moved = [redirect_page(context, url[1:], to[1:]) for url, to in compared.redirects.items()]
        made_pages = tuple(self._page_cache.make([*pages, *moved], context))
        findings += (found for one in made_pages for found in one.missing)
        findings += check_drawings(library, self._figures)
        if has_errors(findings) and not preview:
            raise _NotPublishableError(findings)
        composition = Composition(
            library,
            made_pages,
            self._page_cache.indexes(context),
            compared.new_lock,
            lock_before,
            self._figures.save,
            self._share_pictures(context),
            {f"{url}{PAPER}": pdf for url, pdf in papers.items()},
            self._data(context),
            context.own,
        )
        return composition, in_order(findings)

    def _check(
        self, library: Library, today: date, also: Callable[[Library], Iterable[Finding]]
    ) -> list[Finding]:
        """Begin to draw, all that is wanted of a figure on any page together, and check what needs no drawing."""
        if library.clinic is not None:
            changed = changed_exercises(library, self._store)
            if changed is None or changed:
                drawn = PageFigures(self._figures, adult_for=adults_of(library))
                self._figures.begin(
                    [*figures_to_check(library, changed), *drawn.requests(_figures_of(library, changed))]
                )
        return [*check_without_drawing(library, today, self._store), *also(library)]

    def _papers(self, context: SiteContext, findings: list[Finding]) -> Mapping[str, bytes]:
        """Give the paper sheet of each page, by the page's url, where the clinic wants them with the site."""
        if not context.library.settings.handouts or context.preview or context.name_files:
            return {}
        from limberleaf.handouts.typeset import HandoutError  # typst is loaded only where paper is wanted
        from limberleaf.publish.paper import paper_files

        folder = self._cache / "handouts" if self._cache else None
        try:
            return paper_files(context, self._figures, self._store, folder)
        except HandoutError as error:
            drawn = check_drawings(context.library, self._figures)
            raise _NotPublishableError([*findings, *error.findings, *drawn]) from None

    def _share_pictures(self, context: SiteContext) -> Mapping[str, str | bytes]:
        if not context.share:
            return {}
        from limberleaf.publish.shares import share_files  # typst is loaded only where pictures are wanted

        return share_files(context, self._store)

    def _data(self, context: SiteContext) -> Mapping[str, StoredText]:
        if context.library.settings.open_data is False or context.preview or context.name_files:
            return {}
        return self._page_cache.data(context)

    def _code(self, address: str) -> str:
        """Give the QR code of an address: choosing its mask takes longer than the rest of the page, so it is kept."""
        key = content_key("qr", code_key("segno"), address)
        stored = self._store.read([key])
        if key not in stored:
            stored = {key: qr_svg(address)}
            self._store.keep(stored)
        code: str = stored[key]
        return code


@contextmanager
def _collector_paused() -> Iterator[None]:
    """Pause Python's garbage collector: it would scan the whole library again and again, and find no cycles.

    A thousand exercises are ten million objects; scanning them takes longer than the edit of one. Afterwards they are
    frozen, so that later scans leave them out.
    """
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        gc.freeze()
        if was_on:
            gc.enable()


def _figures_of(
    library: Library, only: set[str] | None
) -> Iterator[tuple[Exercise, Side | None, str, Mapping[str, str]]]:
    """Name every figure the pages will ask for, so that the new ones are drawn together."""
    for language in library.settings.languages:
        for code in library.published() if only is None else sorted(only & library.published().keys()):
            exercise = in_language(library, code, language)
            if exercise is None:
                continue
            for side in SIDES if exercise.sides == "one" else (None,):
                placeholders = placeholders_for(library, exercise, side, language)
                yield (
                    exercise,
                    side,
                    language,
                    {name: placeholders.word(name)[0] for name in ("affected", "other")},
                )


def sitemap(pages: Iterable[SitePage], site: str) -> str:
    """Give the sitemap (sitemaps.org protocol 0.9), with the day of the last review where there is one."""
    rows = []
    for page in pages:
        if page.kind in ("redirect", "not_found"):
            continue
        reviewed = f"<lastmod>{page.reviewed.isoformat()}</lastmod>" if page.reviewed else ""
        rows.append(f"  <url><loc>{escape(site + page.url)}</loc>{reviewed}</url>")
    head = '<?xml version="1.0" encoding="UTF-8"?>\n<urlset xmlns="http://www.sitemaps.org/schemas/sitemap/0.9">\n'
    return head + "\n".join(rows) + "\n</urlset>\n"
