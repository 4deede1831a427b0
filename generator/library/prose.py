"""The few prose pages: Markdown with a title and a description on top."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

from limberleaf.findings import Finding, Place
from limberleaf.library.record import Record
from limberleaf.library.shape import shape
from limberleaf.library.source import Source, read_source
from limberleaf.library.values import Text

_HEAD = re.compile(r"\A---[ \t]*\r?\n(?P<head>.*?\n)---[ \t]*\r?\n", re.DOTALL)
_NAME = re.compile(r"^(?P<name>[a-z][a-z0-9-]*)(?:\.(?P<language>[a-z]{2}))?$")


class ProseHead(Record):
    """The keys between the two lines of dashes at the top of a prose page."""

    title: Text
    description: Text


@dataclass(frozen=True)
class ProsePage:
    """A prose page: its address name, language (empty: the library's first), title and Markdown."""

    name: str
    language: str
    title: str
    description: str
    markdown: str
    first_line: int
    source: Source

    def place(self, offset: int) -> Place:
        """Give the place of a character of the Markdown."""
        before = self.markdown[:offset]
        line = before.count("\n")
        return Place(self.source.path, self.first_line + line, offset - (before.rfind("\n") + 1) + 1)


def read_prose(file: Path, root: Path) -> tuple[ProsePage | None, list[Finding]]:
    """Read a Markdown page and its head."""
    path = file.relative_to(root).as_posix()
    named = _NAME.match(file.stem)
    if not named:
        return None, [
            Finding(
                "error",
                "page-name",
                f"“{file.stem}” cannot be an address.",
                "Use small letters, digits and hyphens: how-to-use.md.",
                Place(path),
            )
        ]
    source, value, findings = read_source(file, root, head_only=_HEAD)
    if value is None:
        return None, findings
    head, more = shape(ProseHead, value, source)
    findings += more
    if head is None or findings:
        return None, findings
    match = _HEAD.match(source.text)
    body_at = match.end() if match else 0
    return ProsePage(
        named["name"],
        named["language"] or "",
        head.title,
        head.description,
        source.text[body_at:],
        source.text.count("\n", 0, body_at) + 1,
        source,
    ), findings
