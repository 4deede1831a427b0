"""The patient's page of an entry as it is being written: the site's own pages, made by the code that makes the site."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cached_property

from limberleaf.desk.write.approval.approval_status import approval_status_of, marked_with_status
from limberleaf.desk.write.entry_state import EntryState
from limberleaf.desk.write.unset import unset_parts, with_unset_dose
from limberleaf.desk.write.words import DeskWords
from limberleaf.figures import Figures
from limberleaf.pages import SiteContext, SitePage, site_pages
from limberleaf.pages.links import collection_address, exercise_address, in_language, ladder_address
from limberleaf.pages.page_figures import PageFigures, adults_of
from limberleaf.pages.render import render_page
from limberleaf.pages.site import site_assets


class PatientPages:
    """All pages of a library with one entry as it is typed; each is made when the browser asks for it."""

    def __init__(self, state: EntryState, figures: Figures, words: DeskWords) -> None:
        self.state, self._words = state, words
        self.status = approval_status_of(state)
        library = marked_with_status(state, self.status)
        adult_for = adults_of(library) if library.clinic else None
        self._context = SiteContext(library, PageFigures(figures, adult_for=adult_for), preview=True)

    @cached_property
    def _pages(self) -> Mapping[str, SitePage]:
        return {page.file: page for page in site_pages(self._context)}

    @cached_property
    def _assets(self) -> Mapping[str, bytes]:
        return site_assets(self._context)

    @property
    def address(self) -> str:
        """Give the address of the entry's own page ("" when it has none, as settings)."""
        target, library = self.state.target, self.state.library
        named: Mapping[str, Callable[[str], str]] = {
            "exercises": exercise_address,
            "ladders": ladder_address,
            "collections": collection_address,
        }
        if target.folder not in named or library.clinic is None:
            return ""
        first = library.settings.language
        return in_language(named[target.folder](target.name), target.language or first, first)

    def file(self, path: str) -> str | bytes | None:
        """Make a file of the site; None when there is no such file."""
        if path.startswith("assets/"):
            return self._assets.get(path)
        page = self._pages.get(f"{path}index.html" if not path or path.endswith("/") else path)
        if page is not None:
            own = bool(self.address) and path.startswith(self.address)
            unset = unset_parts(self.state) if own else ()
            return with_unset_dose(render_page(page, self._context), unset, self._words)
        folder, _, name = path.rpartition("/")
        page = self._pages.get(f"{folder}/index.html")
        return page.files().get(path) if page is not None and name else None
