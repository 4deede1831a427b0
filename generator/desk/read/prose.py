"""The words of prose pages in the blocks the reading engine takes, with the line each was written on."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from html.parser import HTMLParser

from markdown import markdown

from limberleaf.checks.texts import prose_pages
from limberleaf.checks.wording import Passage, Wording, filler
from limberleaf.findings import Place
from limberleaf.library import Library
from limberleaf.library.prose import ProsePage
from limberleaf.library.text import Piece, RichText
from limberleaf.reading import Kind

_BLOCKS: dict[str, Kind] = {"p": "prose", "li": "bullet", "td": "bullet", "th": "heading"}
_BLOCKS |= dict.fromkeys(("h1", "h2", "h3", "h4", "h5", "h6"), "heading")
_KNOWN_BY = 16
"""A passage is found again in the Markdown by its first letters; marks of Markdown may follow."""


@dataclass(frozen=True)
class PageWording(Wording):
    """The words of a prose page; places are those of its Markdown, to the line."""

    page: ProsePage | None = None

    def place(self, block: int, offset: int) -> Place:
        """Give the line on which a block begins."""
        if self.page is None or block == 0:
            return Place(self.source.path, 1, 1)
        begin = self.passages[block].text.plain.partition("{")[0][:_KNOWN_BY].strip()
        return self.page.place(max(self.page.markdown.find(begin), 0))


def prose_wordings(library: Library) -> Iterator[PageWording]:
    """Give the wording of every prose page."""
    for page in prose_pages(library):
        language = page.language or library.settings.language
        fill = filler(library, None, language)
        passages = [
            Passage("heading", RichText((Piece("text", page.title, 0, len(page.title)),)), ("title",))
        ]
        for index, (kind, text) in enumerate(
            _blocks(markdown(page.markdown, extensions=["sane_lists", "tables"]))
        ):
            if text != page.title:
                passages.append(Passage(kind, fill(text), ("words", index)))
        yield PageWording(page.name, page.source, language, tuple(passages), (), page)


def _blocks(html: str) -> list[tuple[Kind, str]]:
    parser = _Blocks()
    parser.feed(html)
    parser.close()
    return parser.blocks


class _Blocks(HTMLParser):
    """Gathers the text of paragraphs, list items, headings and cells."""

    def __init__(self) -> None:
        super().__init__()
        self.blocks: list[tuple[Kind, str]] = []
        self._kind: Kind = "prose"
        self._text = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Begin a block; a paragraph inside a list item stays a bullet."""
        if tag in _BLOCKS and not (tag == "p" and self._kind == "bullet" and not self._text.strip()):
            self._finish()
            self._kind = _BLOCKS[tag]

    def handle_endtag(self, tag: str) -> None:
        """End a block."""
        if tag in _BLOCKS:
            self._finish()
            self._kind = "prose"

    def handle_data(self, data: str) -> None:
        """Take the words."""
        self._text += data

    def close(self) -> None:
        """Take what is left."""
        super().close()
        self._finish()

    def _finish(self) -> None:
        text = " ".join(self._text.split())
        if text:
            self.blocks.append((self._kind, text))
        self._text = ""
