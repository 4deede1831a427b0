"""What pages are made of: the figures they ask for, the context they are made in, the page itself.

Everything here is plain data or a function that gives it; nothing reads a file or knows the time.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Literal, Protocol
from urllib.parse import urlsplit

from limberleaf.library import Exercise, Library, Side
from limberleaf.pages.face import OwnFiles
from limberleaf.pages.qr import qr_svg
from limberleaf.store.trace import TracedMappings

PageKind = Literal[
    "finder",
    "exercise",
    "ladder",
    "collection",
    "set",
    "help",
    "prose",
    "plan",
    "follow",
    "retired",
    "redirect",
    "not_found",
]


@dataclass(frozen=True)
class PanelView:
    """One panel of a figure: its inline SVG (with its own title), that title, and the caption as written."""

    svg: str
    alt: str
    caption: str


class FigureSource(Protocol):
    """Where pages get drawings from; they never solve a pose themselves."""

    def panels(
        self, exercise: Exercise, side: Side | None, language: str, side_words: Mapping[str, str]
    ) -> tuple[PanelView, ...]:
        """Give the panels of the figure, in order, with ids that are unique on the page."""
        ...

    def thumbnail(self, exercise: Exercise, language: str, side_words: Mapping[str, str]) -> str:
        """Give a small standalone SVG of the most telling panel."""
        ...

    def motion(
        self, exercise: Exercise, side: Side | None, language: str, side_words: Mapping[str, str]
    ) -> str | None:
        """Give the figure as a standalone animated SVG, or None when nothing moves."""
        ...


@dataclass(frozen=True, eq=False)
class SiteContext:
    """What a site is made from.

    `name_files` makes links end in `index.html`, so that a copy opens from disk. `base` is the address of
    the site, with its last slash, when it is not the clinic's own. `qr` turns an address into an inline SVG; a
    build that keeps results between runs puts its own in. A `preview` also shows what is not approved yet, and
    says so on the page. `own_styles` are style sheets that mkdocs.yml names, as paths in the site; `own` holds the
    clinic's own files. With `share` a picture
    for messages is put beside each page of an entry, and the page names it.
    `papers` gives the bytes of the PDF beside a page, by its url.
    `traced` are those that pages note their inputs by.
    """

    library: Library
    figures: FigureSource
    name_files: bool = False
    base: str = ""
    preview: bool = False
    share: bool = False
    qr: Callable[[str], str] = qr_svg
    own_styles: tuple[str, ...] = ()
    papers: Mapping[str, int] = field(default_factory=dict, repr=False)
    own: OwnFiles = field(default_factory=OwnFiles, repr=False)
    traced: TracedMappings = field(default_factory=TracedMappings, repr=False)

    @property
    def site(self) -> str:
        """Give the address of the site, with its last slash."""
        return self.base or self.library.settings.site

    @property
    def path(self) -> str:
        """Give the part of the address after the host: `/` or `/exercises/`."""
        return urlsplit(self.site).path or "/"


@dataclass(frozen=True)
class SitePage:
    """One page: its address, its title, and functions that make what is inside.

    `url` is relative to the site: `` for the home page, `kn-03/left/`, or a file name such as `404.html`.
    `reviewed` is the day of the last review of what it shows. `go_to` is where a redirect leads.
    `alternates` gives the url of the same page by language, this page's own included (empty: only this one).
    `about` names the entries the page is made of, each by its mapping and its own name; what else the page reads is
    noted while it is made.
    """

    url: str
    kind: PageKind
    language: str
    title: str
    description: str
    body: Callable[[], str] = field(repr=False, compare=False)
    beside: Callable[[], Mapping[str, str]] = field(default=dict, repr=False, compare=False)
    alternates: Mapping[str, str] = field(default_factory=dict)
    go_to: str = ""
    reviewed: date | None = None
    scripts: tuple[str, ...] = ()
    styles: tuple[str, ...] = ()
    about: tuple[tuple[str, str], ...] = ()

    @property
    def file(self) -> str:
        """Give the path of the page's file below the site's folder."""
        return f"{self.url}index.html" if not self.url or self.url.endswith("/") else self.url

    def files(self) -> dict[str, str]:
        """Give the files beside the page (its motion, its thumbnail), by path below the site."""
        return {f"{self.url}{name}": text for name, text in self.beside().items()}
