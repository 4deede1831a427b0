"""The same table as CSV (RFC 4180), in UTF-8 with the mark by which spreadsheet programs know it."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence

from limberleaf.exchange.sheet import Row, Sheet, TableError, cell_text, refuse_doubled

_LIKE_A_FORMULA = ("=", "+", "-", "@", "\t")
"""How a cell begins that spreadsheet programs would work out (OWASP, CSV injection)."""
MOST_IN_A_CELL = 200_000


def csv_text(names: Sequence[str], rows: Sequence[Mapping[str, str]]) -> str:
    """Write rows; a text that a program would take for a formula gets an apostrophe before it."""
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(names)
    for row in rows:
        writer.writerow([guarded(row.get(name, "")) for name in names])
    return "\ufeff" + out.getvalue()


def guarded(text: str) -> str:
    """Put an apostrophe before a text that a spreadsheet program would work out."""
    return f"'{text}" if text.startswith((*_LIKE_A_FORMULA, "'")) else text


def read_csv(name: str, data: bytes) -> Sheet:
    """Read a CSV with commas, semicolons or tabs between its cells; raise TableError for one that is none."""
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise TableError(
            f"{name} is not in UTF-8, so letters such as é would be lost. Save it as “CSV UTF-8”, or as .xlsx."
        ) from None
    head = text.split("\n", 1)[0]
    delimiter = max((",", ";", "\t"), key=head.count)
    csv.field_size_limit(MOST_IN_A_CELL)
    try:
        lines = list(csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True))
    except csv.Error as error:
        raise TableError(
            f"{name} cannot be read as CSV: {error}. Save it again from the spreadsheet."
        ) from None
    header = [cell_text(title) for title in lines[0]] if lines else []
    if not any(header):
        raise TableError(f"{name} has no titles of columns in its first row. Delete blank rows above them.")
    refuse_doubled(name, header)
    found = Sheet(name, {title: _letter(at) for at, title in enumerate(header) if title})
    for number, line in enumerate(lines[1:], 2):
        row: dict[str, str] = {}
        if len(line) > len(header):
            found.say(
                number, header[0] if header else "", "cells-without-column",
                "This row has more cells than there are columns.",
                "Put the text that holds a comma into double quotes.",
            )  # fmt: skip
        for title, cell in zip(header, line, strict=False):
            row[title] = _unguarded(found, number, title, cell)
        if any(row.values()):
            found.rows.append(Row(number, row))
    return found


def _unguarded(found: Sheet, row: int, title: str, cell: str) -> str:
    if cell.startswith("=") or (cell.startswith(("+", "@")) and "(" in cell):
        found.say(row, title, "formula-in-cell", "A formula stands here.", "Write its result instead.")
        return ""
    if cell.startswith("'") and cell[1:].startswith((*_LIKE_A_FORMULA, "'")):
        cell = cell[1:]
    return cell_text(cell)


def _letter(at: int) -> str:
    letters = ""
    at += 1
    while at:
        at, rest = divmod(at - 1, 26)
        letters = chr(65 + rest) + letters
    return letters
