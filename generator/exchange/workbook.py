"""The table of exercises as a workbook (Office Open XML, ECMA-376), written the same each time and read with care.

A workbook is a zip file that anybody may have made: its size is bounded before it is unpacked, and formulas, links
to other files, macros and document types are refused, not cleaned.
"""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Mapping, Sequence
from datetime import date, datetime, time
from typing import TYPE_CHECKING, Any

from limberleaf.exchange.columns import AS_OF, Column
from limberleaf.exchange.sheet import Row, Sheet, TableError, cell_text, refuse_doubled

if TYPE_CHECKING:
    from openpyxl.cell.cell import Cell
    from openpyxl.workbook import Workbook
    from openpyxl.worksheet.worksheet import Worksheet

SHEET = "Exercises"
CHOICES = "Choices"
MEND = "To mend"
MOST_BYTES = 64 * 1024 * 1024
"""Bytes of an unpacked workbook; a thousand exercises take twelve million."""
MOST_IN_A_CELL = 32_767
"""Characters of a cell, the limit of the common spreadsheet programs."""
MOST_ROWS = 20_000
MOST_COLUMNS = 300
_NO_DAY = datetime(1980, 1, 1)
_REFUSED = (
    ("xl/externalLinks/", "links to another workbook"),
    ("xl/connections", "a connection to other data"),
    ("xl/queryTables/", "a query of other data"),
    ("xl/vbaProject", "macros"),
    ("xl/embeddings/", "files put into it"),
    ("xl/activeX/", "programs put into it"),
)
_WIDE, _NARROW, _CODE = 46, 18, 9


def workbook_bytes(
    columns: Sequence[Column],
    rows: Sequence[Mapping[str, str]],
    about: Sequence[str],
    *,
    entries: bool = True,
) -> bytes:
    """Write rows as a workbook: header frozen and explained, choices as drop-downs, every cell a text.

    `about` are the lines of the sheet that says how to use the others; without `entries` the rows are no exercises and
    carry no state to come back with. Raises TableError for a text that no cell holds.
    """
    from openpyxl import Workbook

    book = Workbook()
    sheet = book.active
    assert sheet is not None  # noqa: S101 - a new workbook has one
    sheet.title = SHEET if entries else "Answers"
    _header(sheet, columns, entries=entries)
    for number, row in enumerate(rows, 2):
        for at, column in enumerate([*(one.name for one in columns), *([AS_OF] if entries else [])], 1):
            _put_text(sheet.cell(number, at), row.get(column, ""), f"{row.get('code', '')} {column}")
    _drop_downs(book, sheet, columns, len(rows))
    _about(book, about)
    return _packed(book)


def _put_text(cell: Any, text: str, where: str) -> None:
    from openpyxl.styles import Alignment

    if len(text) > MOST_IN_A_CELL:
        raise TableError(f"{where} has {len(text)} characters; a cell of a workbook holds {MOST_IN_A_CELL}.")
    cell.value = text or None
    if text:
        cell.data_type = "s"  # a text that begins with = is no formula
        cell.quotePrefix = text[0] in "=+-@'"
    cell.number_format = "@"  # so that 8-12 does not become a day
    cell.alignment = Alignment(wrap_text=True, vertical="top")


def _header(sheet: Worksheet, columns: Sequence[Column], *, entries: bool) -> None:
    from openpyxl.comments import Comment
    from openpyxl.styles import Font, PatternFill
    from openpyxl.utils import get_column_letter

    notes = [(one.name, one.note) for one in columns]
    if entries:
        about = "Leave this as it is: it tells whether an entry changed since this table was written."
        notes.append((AS_OF, about))
    for at, (name, note) in enumerate(notes, 1):
        cell = sheet.cell(1, at, name)
        cell.font = Font(bold=True, color="FFFFFF")
        cell.fill = PatternFill("solid", fgColor="1F4E5F")
        comment = Comment(note, "limberleaf")
        comment.width, comment.height = 340, 60 + 18 * (len(note) // 45 + note.count("\n"))
        cell.comment = comment
        width = _CODE if name == "code" else _NARROW
        if at <= len(columns) and (columns[at - 1].lines or name in ("title", "aim")):
            width = _WIDE
        sheet.column_dimensions[get_column_letter(at)].width = width
    last = get_column_letter(len(notes))
    sheet.column_dimensions[last].hidden = entries
    sheet.freeze_panes = "C2"
    sheet.auto_filter.ref = f"A1:{last}1"


def _drop_downs(book: Workbook, sheet: Worksheet, columns: Sequence[Column], rows: int) -> None:
    from openpyxl.utils import get_column_letter
    from openpyxl.worksheet.datavalidation import DataValidation

    hidden = book.create_sheet(CHOICES)
    hidden.sheet_state = "hidden"
    at = 0
    for number, column in enumerate(columns, 1):
        if not column.choices:
            continue
        at += 1
        letter = get_column_letter(at)
        for row, choice in enumerate(column.choices, 1):
            hidden.cell(row, at, choice).data_type = "s"
        rule = DataValidation(
            type="list", formula1=f"={CHOICES}!${letter}$1:${letter}${len(column.choices)}", allow_blank=True
        )
        rule.errorTitle, rule.error = column.name, "Choose one of the list."
        rule.showErrorMessage = True
        mine = get_column_letter(number)
        rule.add(f"{mine}2:{mine}{rows + 500}")
        sheet.add_data_validation(rule)


def _about(book: Workbook, lines: Sequence[str]) -> None:
    from openpyxl.styles import Alignment

    sheet = book.create_sheet("Read me")
    sheet.column_dimensions["A"].width = 110
    for number, line in enumerate(lines, 1):
        cell = sheet.cell(number, 1, line)
        cell.alignment = Alignment(wrap_text=True, vertical="top")


def _packed(book: Workbook) -> bytes:
    """Give the bytes of a workbook without the time it was written."""
    book.properties.creator = "limberleaf"
    book.properties.created = book.properties.modified = _NO_DAY
    raw = io.BytesIO()
    book.save(raw)
    out = io.BytesIO()
    with zipfile.ZipFile(raw) as before, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as after:
        for name in sorted(before.namelist()):
            data = before.read(name)
            if name == "docProps/core.xml":
                data = re.sub(rb"(<dcterms:modified[^>]*>)[^<]*", rb"\g<1>1980-01-01T00:00:00Z", data)
            after.writestr(zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0)), data, zipfile.ZIP_DEFLATED)
    return out.getvalue()


def read_workbook(name: str, data: bytes) -> Sheet:
    """Read a workbook; raise TableError for one that is none or holds more than texts.

    A cell with a formula is a finding; its text is never what the formula last gave.
    """
    book = _opened(name, data)
    sheet = book[SHEET] if SHEET in book.sheetnames else book.worksheets[0]
    if sheet.max_row > MOST_ROWS or sheet.max_column > MOST_COLUMNS:
        raise TableError(
            f"{name} has {sheet.max_row} rows and {sheet.max_column} columns; "
            f"{MOST_ROWS} and {MOST_COLUMNS} are the limits."
        )
    header = [cell_text(str(cell.value or "")) for cell in sheet[1]]
    letters = {title: cell.column_letter for title, cell in zip(header, sheet[1], strict=True) if title}
    found = Sheet(name, letters)
    refuse_doubled(name, header)
    for cells in sheet.iter_rows(min_row=2):
        row: dict[str, str] = {}
        for title, cell in zip(header, cells, strict=False):
            if title:
                row[title] = _text(found, title, cell)
        if any(text for title, text in row.items() if title != AS_OF):
            found.rows.append(Row(cells[0].row, row))
    return found


def _opened(name: str, data: bytes) -> Workbook:
    from openpyxl import load_workbook

    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            refusal = _refusal(packed)
        book = None if refusal else load_workbook(io.BytesIO(data), keep_links=False)
    except Exception as error:  # openpyxl raises whatever its parts raise on a broken file
        raise TableError(
            f"{name} cannot be read as a workbook (.xlsx). Open it in a spreadsheet program and save it as .xlsx or "
            f"as CSV. ({type(error).__name__})"
        ) from None
    if book is None:
        raise TableError(f"{name} {refusal}; nothing was read.")
    return book


def _refusal(packed: zipfile.ZipFile) -> str:
    """Say why a workbook is not opened; nothing when it may be."""
    parts = packed.infolist()
    if sum(part.file_size for part in parts) > MOST_BYTES:
        return f"unpacks to more than {MOST_BYTES // 1024 // 1024} MB"
    for part in parts:
        held = next((what for prefix, what in _REFUSED if part.filename.startswith(prefix)), None)
        if held:
            return f"holds {held}. Copy the cells as values into a new workbook and save that"
        if part.filename.endswith((".xml", ".rels")) and b"<!DOCTYPE" in packed.read(part)[:4096]:
            return "holds a document type, which no spreadsheet program writes"
    return ""


def _text(found: Sheet, title: str, cell: Cell | Any) -> str:
    value = cell.value
    if cell.data_type == "f" or (isinstance(value, str) and value.startswith("=") and not cell.quotePrefix):
        found.say(
            cell.row,
            title,
            "formula-in-cell",
            "A formula stands here.",
            "Paste its result as a value instead.",
        )
        return ""
    if cell.data_type == "e":
        found.say(cell.row, title, "error-in-cell", f"The cell says {value}.", "Write the value itself.")
        return ""
    link = getattr(cell, "hyperlink", None)
    if link is not None and link.target and link.target not in (str(value), f"mailto:{value}"):
        found.say(
            cell.row,
            title,
            "link-in-cell",
            f"The text leads to {link.target}.",
            "Take the link off the cell.",
        )
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, datetime | date | time):
        if title.startswith("review.") and isinstance(value, datetime):
            return value.date().isoformat()
        found.say(
            cell.row, title, "day-in-cell", "The spreadsheet program made a day or a time of this.",
            "Format the cell as text and write it again, such as 8-12.",
        )  # fmt: skip
        return ""
    if isinstance(value, float) and value.is_integer():
        value = int(value)
    return cell_text("" if value is None else str(value))


def marked_copy(data: bytes | None, sheet: Sheet) -> bytes:
    """Give the table with its wrong cells coloured and explained, and a list of them; `data` is the workbook it was."""
    from openpyxl import Workbook
    from openpyxl.comments import Comment
    from openpyxl.styles import PatternFill

    if data is None:
        book = Workbook()
        page: Any = book.active
        page.title = SHEET
        for at, title in enumerate(sheet.letters, 1):
            _put_text(page.cell(1, at), title, title)
        for row in sheet.rows:
            for at, title in enumerate(sheet.letters, 1):
                _put_text(page.cell(row.number, at), row.cells.get(title, ""), title)
    else:
        book = _opened(sheet.name, data)
        page = book[SHEET] if SHEET in book.sheetnames else book.worksheets[0]
    if MEND in book.sheetnames:
        del book[MEND]
    listed: Any = book.create_sheet(MEND)
    listed.append(["cell", "exercise", "column", "what to fix"])
    listed.column_dimensions["D"].width = 110
    codes = {row.number: row.cells.get("code", "") for row in sheet.rows}
    for (number, title), remarks in sorted(sheet.marks.items()):
        cell = page[f"{sheet.letters.get(title, 'A')}{number}"]
        cell.fill = PatternFill("solid", fgColor="FFD9C7")
        comment = Comment("\n".join(remarks), "limberleaf")
        comment.width, comment.height = 340, 60 + 20 * sum(len(one) // 45 + 1 for one in remarks)
        cell.comment = comment
        listed.append([cell.coordinate, codes.get(number, ""), title, " ".join(remarks)])
    return _packed(book)
