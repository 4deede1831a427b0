"""Which page carries which caution, and the proof that a built page really shows its boxes."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from html.parser import HTMLParser

from generator.clinical.cautions import Entry, boxes, cautions_for, published_cautions
from generator.findings import Finding
from generator.library import Library, Loaded
from generator.library.exercise import Exercise
from generator.library.groups import TIERS, Tier
from generator.library.text import Voice, fill

_INITIALS: dict[Tier, str] = {"emergency": "E", "same_day": "S", "ease_off": "O"}


@dataclass(frozen=True)
class CoveredPage:
    """A page and the ids of the cautions it carries. `kind` is exercises, ladders or collections."""

    kind: str
    name: str
    title: str
    cautions: frozenset[str]


@dataclass(frozen=True)
class Coverage:
    """The matrix of pages against cautions; `cautions` holds (tier, id) in the order of the columns."""

    cautions: tuple[tuple[Tier, str], ...]
    pages: tuple[CoveredPage, ...]

    def label(self, index: int) -> str:
        """Give the short name of a column: its tier's letter and its number in the tier, such as E2."""
        tier = self.cautions[index][0]
        number = sum(1 for other, _ in self.cautions[: index + 1] if other == tier)
        return f"{_INITIALS[tier]}{number}"

    def pages_of(self, caution: str) -> int:
        """Count the pages that carry a caution."""
        return sum(caution in page.cautions for page in self.pages)


def published_entries(library: Library) -> Iterator[tuple[str, str, Loaded[Exercise]]]:
    """Give kind, name and entry of every exercise, ladder and collection whose page goes out."""
    for kind in ("exercises", "ladders", "collections"):
        for name, loaded in getattr(library, kind).items():
            if loaded.entry.is_published:
                yield kind, name, loaded


def coverage(library: Library) -> Coverage:
    """Give the matrix of all pages that go out against all approved cautions."""
    columns = tuple((caution.tier, caution.id) for caution in published_cautions(library))
    pages = tuple(
        CoveredPage(
            kind,
            name,
            loaded.entry.title,
            frozenset(caution.id for caution in cautions_for(library, loaded.entry)),
        )
        for kind, name, loaded in published_entries(library)
    )
    return Coverage(columns, pages)


def coverage_text(matrix: Coverage) -> str:
    """Write the matrix as plain text: a legend, one line a page with x where it carries a caution, and sums."""
    labels = [matrix.label(index) for index in range(len(matrix.cautions))]
    wide = max((len(label) for label in labels), default=2)
    margin = max((len(page.name) for page in matrix.pages), default=4)
    lines = [f"{label:<{wide}}  {ident}" for label, (_, ident) in zip(labels, matrix.cautions, strict=True)]
    lines += ["", " " * margin + "  " + " ".join(f"{label:>{wide}}" for label in labels)]
    for page in matrix.pages:
        cells = ("x" if ident in page.cautions else "." for _, ident in matrix.cautions)
        lines.append(f"{page.name:<{margin}}  " + " ".join(f"{cell:>{wide}}" for cell in cells))
    sums = " ".join(f"{matrix.pages_of(ident):>{wide}}" for _, ident in matrix.cautions)
    lines.append(f"{'':<{margin}}  {sums}")
    return "\n".join(line.rstrip() for line in lines) + "\n"


# --- on built pages --------------------------------------------------------------------------------------------


class _Words(HTMLParser):
    """The words of a page as a reader sees them, without scripts and styles."""

    def __init__(self) -> None:
        super().__init__()
        self.parts: list[str] = []
        self.silent = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Fall silent inside scripts, styles and templates."""
        del attrs
        self.silent += tag in ("script", "style", "template")

    def handle_endtag(self, tag: str) -> None:
        """Speak again after them."""
        self.silent -= tag in ("script", "style", "template")

    def handle_data(self, data: str) -> None:
        """Keep what is read."""
        if not self.silent:
            self.parts.append(data)


def page_words(html: str) -> str:
    """Give the words of a page with every run of white space as one space."""
    parser = _Words()
    parser.feed(html)
    parser.close()
    return _one_space("".join(parser.parts))


def _one_space(text: str) -> str:
    return re.sub(r"\s+", " ", text.replace("\u00ad", "")).strip()


def missing_boxes(
    library: Library, loaded: Loaded[Entry], html: str, voice: Voice, language: str
) -> list[Finding]:
    """Say every sign and action of the entry's boxes that the built page does not show.

    The page's words are compared, not its markup: whatever a theme does, the patient must be able to read them.
    """
    shown = page_words(html)
    findings = []
    for box in boxes(library, loaded.entry, language):
        for text in (*box.signs, box.action):
            if _one_space(fill(text, voice).plain) not in shown:
                findings.append(
                    Finding(
                        "error",
                        "box-missing",
                        f"The page does not show “{text}” of the {box.tier.replace('_', '-')} box "
                        f"({', '.join(box.ids)}).",
                        "The page's template must show every caution box whole. Nothing was published.",
                        loaded.source.place(),
                    )
                )
    return findings


def tiers_without_box(library: Library, entry: Entry, language: str) -> list[Tier]:
    """Give the tiers that leave no box on the page of an entry."""
    there = {box.tier for box in boxes(library, entry, language)}
    return [tier for tier in TIERS if tier not in there]
