"""A prose page: Markdown to HTML, with the blanks and links of entries, and without anything unsafe.

Raw HTML is shown as written, links lead only to the web, to mail or to a telephone, pictures give way to their
words: the page keeps the content policy whatever its author wrote.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from html import unescape
from urllib.parse import urlsplit
from xml.etree.ElementTree import Element

from markdown import Markdown
from markdown.extensions import Extension
from markdown.inlinepatterns import InlineProcessor
from markdown.treeprocessors import Treeprocessor
from markupsafe import Markup

from limberleaf.library import ProsePage
from limberleaf.library.text import fill
from limberleaf.pages.language_edition import LanguageEdition, TextRenderer
from limberleaf.pages.passage import phone
from limberleaf.pages.views.record_view import RecordView, record_view
from limberleaf.pages.views.sign_view import SignView, legend

SCHEMES = {"", "http", "https", "mailto", "tel"}
"""Where a link of a prose page may lead."""

_BLANK = r"(\{[a-z_]+\}|\[\[[a-z0-9-]+(?:\|[^\]]+)?\]\])"
_HEADINGS = {"h1": "h2", "h2": "h2", "h3": "h3", "h4": "h4", "h5": "h5", "h6": "h6"}


@dataclass(frozen=True)
class ProseView:
    """All that a prose page shows; the title is above the words."""

    title: str
    words: Markup
    record: RecordView
    signs: Sequence[SignView] = ()


def prose_view(edition: LanguageEdition, page: ProsePage, url: str) -> ProseView:
    """Make the view of a prose page."""
    return ProseView(
        page.title,
        prose_html(page.markdown, page.title, edition.renderer(url)),
        record_view(edition, None, url),
        legend(edition) if page.shows == "signs" else (),
    )


def prose_html(text: str, title: str, renderer: TextRenderer) -> Markup:
    """Turn Markdown into safe HTML; a first heading that repeats the title is left out."""
    html = Markdown(
        extensions=["sane_lists", "tables", _Safe(renderer, title)], output_format="html"
    ).convert(text)
    return Markup(html)  # noqa: S704 - raw HTML was escaped and links were checked on the tree


class _Safe(Extension):
    def __init__(self, renderer: TextRenderer, title: str) -> None:
        super().__init__()
        self._renderer, self._title = renderer, title

    def extendMarkdown(self, md: Markdown) -> None:  # noqa: N802 - Markdown's own name
        md.preprocessors.deregister("html_block")
        md.inlinePatterns.deregister("html")
        md.inlinePatterns.register(_Blanks(_BLANK, md, self._renderer), "blanks", 185)
        md.treeprocessors.register(_Tidy(md, self._renderer, self._title), "tidy", -5)


class _Blanks(InlineProcessor):
    """Fills the blanks of entries inside Markdown."""

    def __init__(self, pattern: str, md: Markdown, renderer: TextRenderer) -> None:
        super().__init__(pattern, md)
        self._renderer = renderer

    def handleMatch(  # type: ignore[override]  # noqa: N802 - Markdown's own name
        self, m: re.Match[str], data: str
    ) -> tuple[Element | str | None, int | None, int | None]:
        pieces = fill(m[1], self._renderer.placeholders).pieces
        if not pieces or pieces[0].text == m[1]:
            return None, None, None
        piece = pieces[0]
        if piece.kind == "phone":
            return _link(phone(piece.text).href, piece.text, dir="ltr"), m.start(0), m.end(0)
        if piece.kind == "link" and (href := self._renderer.to(piece.target)):
            return _link(href, piece.text), m.start(0), m.end(0)
        return piece.text, m.start(0), m.end(0)


def _as_browsers_read(href: str) -> str:
    """Resolve character references, which Markdown passes on, and drop the signs browsers skip."""
    return re.sub(r"[\x00-\x20]", "", unescape(href))


def _link(href: str, words: str, **attributes: str) -> Element:
    link = Element("a", {"href": href, **attributes})
    link.text = words
    return link


class _Tidy(Treeprocessor):
    """Moves headings below the page's own, drops unsafe links, turns pictures into their words."""

    def __init__(self, md: Markdown, renderer: TextRenderer, title: str) -> None:
        super().__init__(md)
        self._renderer, self._title = renderer, title

    def run(self, root: Element) -> None:
        first = root[0] if len(root) else None
        if first is not None and first.tag == "h1" and "".join(first.itertext()).strip() == self._title:
            root.remove(first)
        for element in root.iter():
            element.tag = _HEADINGS.get(element.tag, element.tag)
            if element.tag == "a":
                self._check_link(element)
            elif element.tag == "img":
                element.tag, element.text = "span", element.get("alt", "")
                element.attrib.clear()
            element.attrib.pop("style", None)

    def _check_link(self, element: Element) -> None:
        href = element.get("href", "")
        try:
            scheme = urlsplit(_as_browsers_read(href)).scheme.lower()
        except ValueError:
            scheme = "broken"
        if scheme not in SCHEMES:
            element.tag = "span"
            element.attrib.clear()
        elif href.startswith("/") and not href.startswith("//"):
            element.set("href", self._renderer.href(href[1:]))
