"""Which page carries which caution, and the proof that a built page really shows its boxes."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from html import unescape
from typing import Any

from limberleaf.clinical.cautions import Box, Entry, all_boxes, boxes, cautions_for, published_cautions
from limberleaf.clinical.governance.approval import Walk, all_items
from limberleaf.clinical.placeholder_values import placeholders_for
from limberleaf.findings import Finding, Place
from limberleaf.library import Library, Loaded
from limberleaf.library.models.exercise import Exercise
from limberleaf.library.models.groups import TIERS, Tier
from limberleaf.library.models.record import Side
from limberleaf.library.text import PlaceholderValues, fill
from limberleaf.library.translate import in_language

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


def published_entries(
    library: Library, walk: Walk = all_items
) -> Iterator[tuple[str, str, Loaded[Exercise]]]:
    """Give kind, name and entry of every exercise, ladder and collection whose page goes out."""
    for kind in ("exercises", "ladders", "collections"):
        for name, loaded in walk(getattr(library, kind)):
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


_UNREAD = re.compile(r"<(svg|script|style|template)\b.*?</\1\s*>|<!--.*?-->", re.DOTALL | re.IGNORECASE)
_TAG = re.compile(r"""<(?:[^<>"']|"[^"]*"|'[^']*')*>""")


def page_words(html: str) -> str:
    """Give the words of a page with every run of white space as one space, without drawings, scripts and styles.

    Markup it cannot read stays in the words, so that a doubt shows as a missing line and never hides one.
    """
    return _one_space(unescape(_TAG.sub("", _UNREAD.sub(" ", html))))


def _one_space(text: str) -> str:
    return re.sub(r"\s+", " ", text.replace("\u00ad", "")).strip()


def missing_boxes(
    library: Library, loaded: Loaded[Any], html: str, placeholders: PlaceholderValues, language: str
) -> list[Finding]:
    """Say every sign and action of the entry's boxes that the built page does not show.

    The page's words are compared, not its markup: whatever a theme does, the patient must be able to read them.
    """
    return _missing(boxes(library, loaded.entry, language), html, placeholders, loaded.source.place())


def missing_on_page(library: Library, url: str, language: str, html: str) -> list[Finding]:
    """Say what a built page leaves out, found by its address below the site; the get-help page must show every box.

    `url` is `kn-03/left/`, `ladders/knee-bending/`, `get-help/`, each with its language in front when it is not the
    library's first. A page that is about no entry gives nothing.
    """
    parts = [part for part in url.split("/") if part]
    if parts[:1] == [language] and language != library.settings.language:
        parts = parts[1:]
    if parts == ["get-help"]:
        place = Place(library.clinic.source.path) if library.clinic else Place("clinic.yml")
        return _missing(
            all_boxes(library, language), html, placeholders_for(library, None, None, language), place
        )
    if len(parts) == 2 and parts[0] in ("ladders", "collections"):
        group = getattr(library, parts[0]).get(parts[1])
        placeholders = placeholders_for(library, None, None, language)
        return missing_boxes(library, group, html, placeholders, language) if group else []
    loaded = library.exercises.get(parts[0]) if parts else None
    side = parts[1] if len(parts) == 2 else ""
    if loaded is None or len(parts) > 2 or side not in ("", "left", "right"):
        return []
    exercise = in_language(library, parts[0], language) or loaded.entry
    sides: Mapping[str, Side | None] = {"": None, "left": "left", "right": "right"}
    return missing_boxes(
        library, loaded, html, placeholders_for(library, exercise, sides[side], language), language
    )


def _missing(
    expected: Iterable[Box], html: str, placeholders: PlaceholderValues, place: Place
) -> list[Finding]:
    shown = page_words(html)
    return [
        Finding(
            "error",
            "box-missing",
            f"The page does not show “{text}” of the {box.tier.replace('_', '-')} box ({', '.join(box.ids)}).",
            "The page's template must show every caution box whole. Nothing was published.",
            place,
        )
        for box in expected
        for text in (*box.signs, box.action)
        if _one_space(fill(text, placeholders).plain) not in shown
    ]


def tiers_without_box(library: Library, entry: Entry, language: str) -> list[Tier]:
    """Give the tiers that leave no box on the page of an entry."""
    there = {box.tier for box in boxes(library, entry, language)}
    return [tier for tier in TIERS if tier not in there]
