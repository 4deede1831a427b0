"""The few prose pages: Markdown with a title and a description on top."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path, PurePosixPath
from typing import Literal

from limberleaf.findings import Finding, Place
from limberleaf.library.files import shown_path
from limberleaf.library.models.record import Record
from limberleaf.library.models.values import Text
from limberleaf.library.shape import shape
from limberleaf.library.yaml.source import Source, read_source

_HEAD = re.compile(r"\A---[ \t]*\r?\n(?P<head>.*?\n)---[ \t]*\r?\n", re.DOTALL)
_NAME = re.compile(r"^(?P<name>[a-z][a-z0-9-]*)(?:\.(?P<language>[a-z]{2}))?$")


class ProseHead(Record):
    """The keys between the two lines of dashes at the top of a prose page.

    `shows: signs` puts the legend of the figures' signs below the words.
    """

    title: Text
    description: Text
    shows: Literal["signs"] | None = None


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
    shows: str | None = None

    @property
    def content_key(self) -> str:
        """Name the file and what it says."""
        return self.source.content_key

    def place(self, offset: int) -> Place:
        """Give the place of a character of the Markdown."""
        before = self.markdown[:offset]
        line = before.count("\n")
        return Place(self.source.path, self.first_line + line, offset - (before.rfind("\n") + 1) + 1)


MAX_LETTERS = 100_000
"""Characters of a page; a long one has ten thousand."""

MAX_NESTING = 20
"""Quotations in quotations and lists in lists; the Markdown reader calls itself for each."""

MAX_BRACKETS = 500
"""Brackets, stars and the like without a word between them: the Markdown reader tries them against each other."""

_RUN = re.compile(rf"([\[\]<>&*_`!(){{}}])\1{{{MAX_BRACKETS},}}")
_QUOTES = re.compile(r"[ \t]*(?:>[ \t]*)*")


def _refused(source: Source) -> Iterator[Finding]:
    """Say what no page needs and a reader of Markdown takes very long over, and what a merge left."""
    text = source.text
    if len(text) > MAX_LETTERS:
        yield _limit(
            source, 1, f"The page has {len(text)} characters; {MAX_LETTERS} is the limit.", "file-too-large"
        )
    if run := _RUN.search(text):
        line = text.count("\n", 0, run.start()) + 1
        yield _limit(source, line, f"More than {MAX_BRACKETS} times “{run[1]}” in a row.", "nested-too-deep")
    for number, line_text in enumerate(text.splitlines(), 1):
        start = _QUOTES.match(line_text)
        depth = start[0].count(">") + len(start[0].expandtabs(4)) // 4 if start else 0
        if depth > MAX_NESTING and line_text.strip():
            yield _limit(
                source, number, f"Lists or quotations nest more than {MAX_NESTING} deep.", "nested-too-deep"
            )
            break
        if line_text.startswith("<<<<<<< "):
            yield Finding(
                "error",
                "merge-conflict",
                "A merge stopped here and left both versions in the page.",
                "Keep one of them and delete the lines <<<<<<<, ======= and >>>>>>>.",
                Place(source.path, number, 1),
            )
            break


def _limit(source: Source, line: int, message: str, code: str) -> Finding:
    return Finding(
        "error",
        code,
        message,
        "Look for something that was pasted in by mistake.",
        Place(source.path, line, 1),
    )


def read_prose(file: Path, root: Path) -> tuple[ProsePage | None, list[Finding]]:
    """Read a Markdown page and its head."""
    path = shown_path(file, root)
    named = _NAME.match(file.stem)
    if not named:
        return None, [
            Finding(
                "error",
                "page-name",
                f"“{PurePosixPath(path).stem}” cannot be an address.",
                "Use small letters, digits and hyphens: how-to-use.md.",
                Place(path),
            )
        ]
    source, value, findings = read_source(file, root, head_only=_HEAD)
    if value is None:
        return None, findings
    head, more = shape(ProseHead, value, source)
    findings += [*more, *_refused(source)]
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
        head.shows,
    ), findings
