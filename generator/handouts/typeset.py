"""Setting a handout with typst: data in, a tagged PDF (PDF/UA-1, PDF/A-2a) out, the same bytes every time.

Templates live in `typ/`. Their data comes in as JSON, so no text of a clinic is ever read as markup. Warnings count
as errors: a sheet that typst had doubts about is not handed out.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from functools import cached_property
from importlib.resources import files
from pathlib import Path
from typing import Any

import typst

from limberleaf.findings import Finding, Place
from limberleaf.handouts.fonts import FontSet, find_fonts
from limberleaf.store import code_key, content_key

TEMPLATES = Path(str(files(__package__))) / "typ"
UNDATED = date(2000, 1, 1)
"""The document date of a handout whose entry was never reviewed: PDF wants one, and a clock would not repeat."""

_NO_LETTER = re.compile(r"the text `?[\"“](?P<letters>.+?)[\"”]`? could not be displayed", re.DOTALL)


class HandoutError(ValueError):
    """A handout that cannot be set; carries the findings that say why."""

    def __init__(self, findings: list[Finding]) -> None:
        super().__init__("; ".join(finding.message for finding in findings))
        self.findings = findings

    def __reduce__(self) -> tuple[type[HandoutError], tuple[list[Finding]]]:
        """Travel between processes with the findings."""
        return HandoutError, (self.findings,)


@dataclass(frozen=True)
class Handout:
    """A handout ready to be set: its file's name, the template and the data it takes, and where it comes from."""

    name: str
    template: str
    data: Mapping[str, Any] = field(repr=False)
    reviewed: date | None = None
    source: str = ""

    @property
    def timestamp(self) -> int:
        """Give the seconds since 1970 of the day of the last review: the document's date."""
        day = self.reviewed or UNDATED
        return int(datetime(day.year, day.month, day.day, tzinfo=UTC).timestamp())


STANDARDS = ["ua-1", "a-2a"]
"""What every handout keeps: it can be read aloud (ISO 14289-1), and opened as it is in years (ISO 19005-2, level A)."""

Fit = dict[str, Any]
"""How a sheet was fitted: what its front holds, scale of the figure, way of putting it, the back's chart and spaces."""

FITTED = frozenset({"sheet"})
"""The templates that measure; setting the same sheet again takes the fit of the first time."""

REMEMBERED = 10
"""For so many documents typst keeps what it worked out for one: 200 MB for each sheet that was fitted."""


@dataclass(frozen=True)
class Typesetter:
    """Sets handouts with one set of fonts; made once and used for many.

    `fits` are those of sheets set before, by the key of their content (`fit_key`); new ones are added.
    """

    font_set: FontSet = field(default_factory=find_fonts)
    fits: dict[str, Fit] = field(default_factory=dict)

    @cached_property
    def _compiler(self) -> typst.Compiler:
        return typst.Compiler(root=str(TEMPLATES), font_paths=self.font_set.fonts, ignore_system_fonts=True)

    def pdf(self, handout: Handout) -> bytes:
        """Give the handout as PDF/UA-1 and PDF/A-2a; raise HandoutError when typst refuses it or warns."""
        try:
            return self._fitted(handout) if handout.template in FITTED else self._document(handout)
        finally:
            self._forget()

    def _document(self, handout: Handout, more: Mapping[str, Any] | None = None) -> bytes:
        return self._set(handout, more, format="pdf", pdf_standards=STANDARDS)

    def _fitted(self, handout: Handout) -> bytes:
        key = self.fit_key(handout)
        fit = self.fits.get(key)
        document = self._document(handout, {"fit": fit})
        if fit is None:
            self.fits[key] = json.loads(self._compiler.query("<fit>", field="value", one=True))
        return document

    def fit_key(self, handout: Handout) -> str:
        """Hash all that decides how a sheet fits: its texts, the shape of its figure, fonts and templates."""
        return content_key("fit", code_key("limberleaf.handouts"), self.font_set.families, handout.data)

    def png(self, handout: Handout, ppi: float) -> bytes:
        """Give the first page as PNG."""
        try:
            return self._set(handout, format="png", ppi=ppi)
        finally:
            self._forget()

    def _set(self, handout: Handout, more: Mapping[str, Any] | None = None, **how: Any) -> bytes:
        data = {**handout.data, **(more or {}), "fonts": self.font_set.families}
        try:
            output, warnings = self._compiler.compile_with_warnings(
                input=str(TEMPLATES / f"{handout.template}.typ"),
                sys_inputs={"data": json.dumps(data, ensure_ascii=False)},
                timestamp=handout.timestamp,
                **how,
            )
        except typst.TypstError as error:
            raise HandoutError([_finding(handout, error.message, error.hints)]) from None
        if warnings:
            raise HandoutError([_finding(handout, warning.message, warning.hints) for warning in warnings])
        return bytes_of(output)

    def _forget(self) -> None:
        """Let go of what typst keeps of the documents before: empty ones, set in no time, take their place."""
        for _ in range(REMEMBERED + 1):
            self._compiler.compile(input=b"", format="svg")


def bytes_of(output: bytes | list[bytes] | None) -> bytes:
    """Give what typst made: a document, or the first of its pages."""
    if output is None:
        raise ValueError("typst wrote a file and gave no bytes")
    return output if isinstance(output, bytes) else output[0]


def _finding(handout: Handout, message: str, hints: list[str]) -> Finding:
    place = Place(handout.source or handout.name)
    match = _NO_LETTER.search(message)
    if match:
        return Finding(
            "error",
            "no-font-for-letter",
            f"No font has a letter for “{match['letters']}”.",
            "Write it with other letters, or name a folder with a font that has it (--fonts).",
            place,
        )
    hint = " ".join(hints) or "Please report this with the entry: the handout's template should cope with it."
    return Finding("error", "handout-not-set", f"The handout could not be set: {message}.", hint, place)
