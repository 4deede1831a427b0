"""A library as rows of a table, one for each exercise."""

from __future__ import annotations

from collections.abc import Sequence

from limberleaf.exchange.columns import AS_OF, columns
from limberleaf.exchange.entries import plain_value, state_of
from limberleaf.library import Library

ABOUT = (
    "This workbook holds the exercises of a library, one in each row. Change cells, then bring it back:",
    "    limberleaf table in FILE.xlsx",
    "Nothing is written when one cell is wrong; a copy of the workbook is made with the wrong cells marked.",
    "",
    "Point at the head of a column to read what it means. Cells with a small arrow have a list to choose from.",
    "A list takes one line for each item: press Alt+Enter (Mac: Option+Return) for a new line in a cell.",
    "Records take one line each, as in “item: chair | instead: A firm bed.”",
    "Words in braces, such as {affected} or {hold}, are filled in by the program. Leave them as they are.",
    "An empty cell takes the value out of the entry. A row that is left out changes nothing.",
    "A new row with a new code makes a new draft. A figure needs a pose, which is written in the entry.",
    "Status and review are shown only: approvals are recorded by limberleaf review --record.",
    "Cells are texts, so that 8-12 does not become a day. Formulas and links are refused.",
    "An exercise whose words changed must be reviewed again by a licensed clinician before it goes out.",
)
"""What the sheet “Read me” says."""


def table_rows(library: Library, codes: Sequence[str] = ()) -> list[dict[str, str]]:
    """Give a row for each exercise (or for `codes` only), by code: column names to cell texts."""
    rows = []
    for code, loaded in sorted(library.exercises.items()):
        if codes and code not in codes:
            continue
        value = plain_value(loaded.source.text)
        row = {column.name: column.get(value) for column in columns()}
        rows.append({**row, AS_OF: state_of(loaded.source.text)})
    return rows
