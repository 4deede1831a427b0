"""How much of a library each language has."""

from __future__ import annotations

from dataclasses import asdict, dataclass

from limberleaf.exchange.translation.library_units import FOLDERS, item_units, items
from limberleaf.library import Library


@dataclass(frozen=True)
class Coverage:
    """Entries of one kind in one language: how many there are, and how many of them can be read in it.

    `words` are those of the original texts that have no translation yet.
    """

    language: str
    kind: str
    entries: int
    approved: int
    draft: int
    stale: int
    missing: int
    words: int


def coverage(library: Library, languages: list[str]) -> list[Coverage]:
    """Give a row for each language and kind."""
    rows = []
    for language in languages:
        every = list(items(library, language))
        for folder, kind in FOLDERS.items():
            mine = [item for item in every if item.folder == folder]
            there = [item for item in mine if item.translation]
            fresh = [item for item in there if not item.is_stale]
            approved = sum(item.translation.entry.status == "approved" for item in fresh if item.translation)
            words = sum(
                len(unit.source.split()) for item in mine for unit in item_units(item) if not unit.target
            )
            stale, missing = len(there) - len(fresh), len(mine) - len(there)
            rows.append(
                Coverage(language, kind, len(mine), approved, len(fresh) - approved, stale, missing, words)
            )
    return rows


def coverage_text(rows: list[Coverage]) -> str:
    """Write the rows as a table."""
    head = ("language", "kind", "entries", "approved", "draft", "stale", "missing", "words to do")
    lines = [head, *(tuple(map(str, asdict(row).values())) for row in rows)]
    widths = [max(len(line[at]) for line in lines) for at in range(len(head))]
    return "".join(
        "  ".join(
            cell.ljust(wide) if at < 2 else cell.rjust(wide)
            for at, (cell, wide) in enumerate(zip(line, widths, strict=True))
        ).rstrip()
        + "\n"
        for line in lines
    )
