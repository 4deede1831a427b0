"""A clinic's own handout, in Word or HTML, as blocks: headings, lines, pictures.

Only what is written is read: no style, no script, nothing is fetched. The bytes of pictures inside the file are kept
aside; pictures that stand elsewhere are named.
"""

from __future__ import annotations

import base64
import binascii
import io
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass, field
from html.parser import HTMLParser
from pathlib import Path
from typing import Any, Literal

MOST_BYTES = 64 * 1024 * 1024
_ENDS = {
    "image/png": ".png",
    "image/jpeg": ".jpg",
    "image/gif": ".gif",
    "image/svg+xml": ".svg",
    "image/webp": ".webp",
}


class HandoutReadError(Exception):
    """A file that cannot be read as a handout; the text says why and a way out."""


@dataclass(frozen=True)
class Block:
    """One heading, list item or paragraph, in the order of the page; `level` is that of a heading, from 1."""

    kind: Literal["heading", "item", "text"]
    text: str
    level: int = 0


@dataclass
class Handout:
    """What a file holds. `pictures` are those inside it by a name of our own; `elsewhere` are only named there."""

    blocks: list[Block] = field(default_factory=list)
    pictures: dict[str, bytes] = field(default_factory=dict)
    elsewhere: list[str] = field(default_factory=list)
    language: str = ""


def read_handout(file: Path) -> Handout:
    """Read a .docx or .html file; raise HandoutReadError in plain words."""
    try:
        if file.stat().st_size > MOST_BYTES:
            raise HandoutReadError(
                f"{file.name} is larger than {MOST_BYTES // 1024 // 1024} MB; it was not read."
            )
        data = file.read_bytes()
    except OSError as error:
        raise HandoutReadError(f"{file}: {error.strerror or error}.") from None
    kind = file.suffix.lower()
    if kind == ".docx":
        found = _word(file.name, data)
    elif kind in (".html", ".htm", ".xhtml"):
        found = _html(file.name, data)
    else:
        raise HandoutReadError(
            f"{file.name}: .docx and .html can be read. Save a .doc, .odt or .pdf as one of them first."
        )
    if not found.blocks:
        raise HandoutReadError(f"{file.name} holds no text. If the words are a picture, type them first.")
    return found


def _word(name: str, data: bytes) -> Handout:
    from docx import Document

    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            whole = sum(part.file_size for part in packed.infolist())
        document = Document(io.BytesIO(data)) if whole <= MOST_BYTES else None
    except Exception as error:  # python-docx raises whatever its parts raise on a broken file
        raise HandoutReadError(
            f"{name} cannot be read as a Word file (.docx). Open it in a word processor and save it again. "
            f"({type(error).__name__})"
        ) from None
    if document is None:
        raise HandoutReadError(
            f"{name} unpacks to more than {MOST_BYTES // 1024 // 1024} MB; it was not read."
        )
    found = Handout()
    for part in document.iter_inner_content():
        found.blocks += _word_part(part)
    for relation in document.part.rels.values():
        if "image" not in relation.reltype:
            continue
        if relation.is_external:
            found.elsewhere.append(relation.target_ref)
        else:
            end = _ENDS.get(
                relation.target_part.content_type, Path(str(relation.target_part.partname)).suffix
            )
            found.pictures[f"picture-{len(found.pictures) + 1}{end}"] = relation.target_part.blob
    return found


def _word_part(part: Any) -> Iterator[Block]:
    if hasattr(part, "rows"):
        seen: set[int] = set()
        for row in part.rows:
            for cell in row.cells:
                if id(cell._tc) not in seen:  # a merged cell is given for each place it covers
                    seen.add(id(cell._tc))
                    for inner in cell.iter_inner_content():
                        yield from _word_part(inner)
        return
    text = " ".join(part.text.split())
    if not text:
        return
    style = (part.style.name if part.style is not None else "") or ""
    if style.startswith("Heading") or style == "Title":
        digits = "".join(sign for sign in style if sign.isdigit())
        yield Block("heading", text, int(digits or 1))
    elif style.startswith("List") or part._p.find(".//{*}numPr") is not None:
        yield Block("item", text)
    elif part.runs and all(run.bold for run in part.runs if run.text.strip()) and len(text) < 60:
        yield Block("heading", text, 3)
    else:
        yield Block("text", text)


def _html(name: str, data: bytes) -> Handout:
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise HandoutReadError(f"{name} is not in UTF-8. Save it again as UTF-8 in your editor.") from None
    reader = _Reader()
    reader.feed(text)
    reader.close()
    reader.end_block()
    return reader.found


class _Reader(HTMLParser):
    """Collects blocks; text in what no reader sees is left out."""

    _BLOCKS = frozenset(
        [
            "p",
            "div",
            "li",
            "td",
            "th",
            "dt",
            "dd",
            "section",
            "article",
            "header",
            "footer",
            "main",
            "aside",
            "ul",
            "ol",
            "table",
            "tr",
            "figure",
            "figcaption",
            "br",
            "blockquote",
            "h1",
            "h2",
            "h3",
            "h4",
            "h5",
            "h6",
            "body",
        ]
    )
    _UNSEEN = frozenset(("script", "style", "template", "noscript", "head", "nav", "svg"))

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.found = Handout()
        self._text: list[str] = []
        self._kind: tuple[Literal["heading", "item", "text"], int] = ("text", 0)
        self._unseen = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        if tag == "html" and given.get("lang"):
            self.found.language = str(given["lang"])[:2].lower()
        if tag == "body":
            self._unseen = 0  # a page may leave out the end of its head
        if tag in self._UNSEEN:
            self._unseen += 1
        if tag == "img":
            self._picture(given.get("src") or "")
        if tag in self._BLOCKS:
            self.end_block()
            if tag[0] == "h" and tag[1:].isdigit():
                self._kind = ("heading", int(tag[1:]))
            else:
                self._kind = ("item" if tag == "li" else "text", 0)

    def handle_endtag(self, tag: str) -> None:
        if tag in self._UNSEEN:
            self._unseen = max(0, self._unseen - 1)
        if tag in self._BLOCKS:
            self.end_block()

    def handle_data(self, data: str) -> None:
        if not self._unseen:
            self._text.append(data)

    def end_block(self) -> None:
        """File what was read since the last block began."""
        text = " ".join("".join(self._text).split())
        if text:
            self.found.blocks.append(Block(self._kind[0], text, self._kind[1]))
        self._text, self._kind = [], ("text", 0)

    def _picture(self, source: str) -> None:
        head, comma, body = source.partition(",")
        if not head.startswith("data:"):
            if source:
                self.found.elsewhere.append(source[:200])
            return
        kind = head.removeprefix("data:").split(";")[0]
        try:
            data = base64.b64decode(body, validate=False) if comma and "base64" in head else b""
        except binascii.Error:
            data = b""
        if data:
            self.found.pictures[f"picture-{len(self.found.pictures) + 1}{_ENDS.get(kind, '.bin')}"] = data
