"""What a screen reader gets from a tagged PDF: its structure elements in order, each with its text.

Read with pikepdf (the structure tree) and pdfminer.six (which letters each marked piece of a page holds); neither
knows anything about how the document was made.
"""

from __future__ import annotations

import unicodedata
from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field
from io import BytesIO
from typing import Any

import pikepdf
from pdfminer.pdfdevice import PDFDevice
from pdfminer.pdfinterp import PDFPageInterpreter, PDFResourceManager
from pdfminer.pdfpage import PDFPage


@dataclass
class Element:
    """A structure element; `text` is its own text and that of everything in it."""

    tag: str
    alt: str = ""
    language: str = ""
    pieces: list[str | Element] = field(default_factory=list)

    @property
    def text(self) -> str:
        return "".join(piece if isinstance(piece, str) else piece.text for piece in self.pieces)

    def walk(self) -> Iterator[Element]:
        yield self
        for piece in self.pieces:
            if isinstance(piece, Element):
                yield from piece.walk()

    def all(self, *tags: str) -> list[Element]:
        return [element for element in self.walk() if element.tag in tags]


def squeezed(text: str) -> str:
    """Leave out white space, which line ends swallow, and undo ligatures."""
    for ligature, letters in (("\ufb01", "fi"), ("\ufb00", "ff"), ("\ufb02", "fl"), ("\ufb03", "ffi")):
        text = text.replace(ligature, letters)
    return "".join(text.split())


def letters(text: str) -> Counter[str]:
    """Count letters, joined ones taken apart and marks above them left out: what painted Arabic still tells."""
    return Counter(
        sign for sign in unicodedata.normalize("NFKD", text) if unicodedata.category(sign).startswith("L")
    )


def blocks_of(tree: Element) -> list[str]:
    """Give the text of each element that holds words of its own, in reading order."""
    tags = {"P", "LBody", "H1", "H2", "H3", "H4", "Caption", "TH", "TD"}
    whole = [one for one in tree.walk() if one.tag in tags]
    inner = {id(part) for one in whole for part in one.walk() if part is not one}
    return [one.text for one in whole if id(one) not in inner]


def structure(data: bytes) -> Element:
    """Read the structure tree of a PDF."""
    letters = _Letters()
    for page in PDFPage.get_pages(BytesIO(data)):
        _Reader(letters.manager, letters).process_page(page)
    with pikepdf.open(BytesIO(data)) as pdf:
        pages = {page.obj.objgen: number for number, page in enumerate(pdf.pages)}
        root = Element("Root")
        _take(pdf.Root.StructTreeRoot.K, root, None, pages, letters.found)
        return root


class _Letters(PDFDevice):
    """Collects the letters of marked pieces in the order they are painted, by page and number of the piece."""

    def __init__(self) -> None:
        self.manager = PDFResourceManager()
        super().__init__(self.manager)
        self.found: dict[tuple[int, int], list[str]] = defaultdict(list)
        self._page = -1
        self._marks: list[int | None] = []

    def begin_page(self, page: PDFPage, ctm: object) -> None:
        self._page += 1
        self._marks.clear()

    def begin_tag(self, tag: object, props: object = None) -> None:
        """Enter a piece; runs of Arabic are marked as reversed, inside the mark that says what they belong to."""
        own = props.get("MCID") if isinstance(props, dict) else None
        self._marks.append(own if own is not None or not self._marks else self._marks[-1])

    def end_tag(self) -> None:
        self._marks.pop()

    def render_string(self, textstate: Any, seq: Any, ncs: object, graphicstate: object) -> None:
        mark = self._marks[-1] if self._marks else None
        if mark is not None:
            codes = (code for run in seq if isinstance(run, bytes) for code in textstate.font.decode(run))
            self.found[self._page, mark] += map(textstate.font.to_unichr, codes)


class _Reader(PDFPageInterpreter):
    """Reads a page without its pictures: a screen reader gets their descriptions."""

    def do_Do(self, xobjid_arg: object) -> None:  # noqa: N802 - the name of the operator
        pass


def _take(node: object, into: Element, page: int | None, pages: dict, letters: dict) -> None:
    if isinstance(node, pikepdf.Array):
        for one in node:
            _take(one, into, page, pages, letters)
    elif isinstance(node, int):
        into.pieces.append("".join(letters[page, node]))
    elif isinstance(node, pikepdf.Dictionary):
        page = pages[node.Pg.objgen] if "/Pg" in node else page
        if "/MCID" in node:
            into.pieces.append("".join(letters[page, int(node.MCID)]))
        elif "/S" in node:
            element = Element(str(node.S)[1:], str(node.get("/Alt", "")), str(node.get("/Lang", "")))
            into.pieces.append(element)
            if "/K" in node:
                _take(node.K, element, page, pages, letters)


def figure_boxes(data: bytes) -> list[list[float]]:
    """Give the bounding boxes of the figures' tags in points, in reading order."""
    found: list[list[float]] = []

    def walk(node) -> None:
        if isinstance(node, pikepdf.Array):
            for one in node:
                walk(one)
        elif isinstance(node, pikepdf.Dictionary):
            if node.get("/S") == "/Figure":
                found.append([float(side) for one in node.A for side in one.get("/BBox", [])])
            if "/K" in node:
                walk(node.K)

    with pikepdf.open(BytesIO(data)) as document:
        walk(document.Root.StructTreeRoot.K)
    return found
