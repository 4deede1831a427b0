"""Rows of a table back into entries: what changed, what is wrong with a cell, and nothing written by halves."""

from __future__ import annotations

import copy
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from difflib import get_close_matches, ndiff
from pathlib import Path
from typing import Any

from limberleaf.exchange.cells import CellError
from limberleaf.exchange.columns import AS_OF, CAPTIONS, FIGURE, RECORDED, Column, columns
from limberleaf.exchange.entries import CannotEditError, Change, edited, new_text, plain_value, state_of
from limberleaf.exchange.sheet import Row, Sheet, TableError
from limberleaf.exchange.trail import Trail
from limberleaf.exchange.trial import tried
from limberleaf.findings import Place
from limberleaf.library import Library
from limberleaf.library.models.exercise import Exercise
from limberleaf.library.shape import shape
from limberleaf.library.yaml.source import Source

NEW_HEAD = "# Made from a table. A registered clinician of the clinic must approve it before use.\n"


@dataclass
class Plan:
    """What an import would do: files to write, lines for each change, and how many rows stay as they are.

    `without` are the columns that the table lacks, `steps` what the trail must keep once the files are written.
    """

    changes: list[Change] = field(default_factory=list)
    lines: list[str] = field(default_factory=list)
    same: int = 0
    left_out: list[str] = field(default_factory=list)
    without: list[str] = field(default_factory=list)
    steps: list[tuple[str, str, str, bool]] = field(default_factory=list)


@dataclass(frozen=True)
class _CellSource(Source):
    """A source whose places are cells, so that what is wrong with a value is said at its cell."""

    place_of: Callable[[Sequence[str | int]], Place] = field(default=lambda _: Place(""))

    def place(self, loc: Sequence[str | int] = (), *, key: bool = False, offset: int | None = None) -> Place:
        """Give the place of the cell that stands for `loc`."""
        return self.place_of(loc)

    def place_of_missing(self, loc: Sequence[str | int], key: str) -> Place:
        """Give the place of the cell that is empty."""
        return self.place_of((*loc, key))


def plan_import(library: Library, sheet: Sheet, *, over_newer: bool = False) -> Plan:
    """Compare a table with the library; what is wrong goes into the sheet's findings.

    `over_newer` also takes rows of entries that changed since the table was written.
    """
    if "code" not in sheet.letters:
        known = ", ".join(list(sheet.letters)[:6]) or "nothing"
        raise TableError(
            f"{sheet.name} has no column “code”; its first row holds {known}. "
            "`limberleaf table out` writes a table to begin from."
        )
    mine = _known_columns(sheet)
    plan = Plan(without=[column.name for column in columns() if column not in mine])
    trail = Trail(library.root)
    seen: dict[str, int] = {}
    touched: dict[str, Row] = {}
    for row in sheet.rows:
        code = row.cells.get("code", "").strip()
        if not code:
            sheet.say(row.number, "code", "missing-code", "The row has no code.", "Write one such as kn-12.")
            continue
        if code in seen:
            sheet.say(
                row.number, "code", "duplicate-code", f"“{code}” stands in row {seen[code]} too.",
                "Give one of them another code, or delete the row.",
            )  # fmt: skip
            continue
        seen[code] = row.number
        before = len(plan.changes)
        if code in library.exercises:
            _existing(library, sheet, row, mine, plan, trail, over_newer)
        else:
            _new(library, sheet, row, mine, plan)
        if len(plan.changes) > before:
            touched[plan.changes[-1].path] = row
    plan.left_out = sorted(set(library.exercises) - set(seen))
    if plan.changes and not sheet.wrong:
        for path, loc, finding in tried(library, plan.changes):
            column = column_of(loc)
            sheet.say(
                touched[path].number,
                column,
                finding.code,
                finding.message,
                in_cells(finding.hint),
                finding.severity,
            )
    return plan


def _known_columns(sheet: Sheet) -> list[Column]:
    by_name = {column.name: column for column in columns()}
    for title in sheet.letters:
        if title not in by_name and title != AS_OF:
            near = get_close_matches(title, by_name, n=1)
            hint = (
                f"Did you mean “{near[0]}”?"
                if near
                else "Delete the column; notes go into a sheet of their own."
            )
            sheet.say(1, title, "unknown-column", f"“{title}” is no column of an exercise.", hint)
    return [column for name, column in by_name.items() if name in sheet.letters]


def _existing(
    library: Library,
    sheet: Sheet,
    row: Row,
    mine: Sequence[Column],
    plan: Plan,
    trail: Trail,
    over_newer: bool,
) -> None:
    loaded = library.exercises[row.cells["code"].strip()]
    source, as_of = loaded.source, row.cells.get(AS_OF, "")
    if loaded.entry.status == "draft" and trail.made(source.path, as_of):
        mine = [
            column for column in mine if not column.recorded
        ]  # copied with the row, and passed over before too
    before = plain_value(source.text)
    value = copy.deepcopy(before)
    changed = _take(sheet, row, mine, before, value)
    if not changed:
        plan.same += 1
        return
    now = state_of(source.text)
    if as_of and as_of != now and not trail.leads(source.path, as_of, now) and not over_newer:
        sheet.say(
            row.number, changed[0].name, "newer-entry", f"{source.path} changed since this table was written.",
            "Write a fresh table and make the change there, or use --over-newer when the table is right.",
        )  # fmt: skip
        return
    recorded = [column for column in changed if column.recorded]
    for column in recorded:
        sheet.say(
            row.number, column.name, "approval-in-table", f"A table cannot change “{column.name}”.",
            f"{_put_back(column.get(before))}; approvals are recorded by limberleaf review --record.",
        )  # fmt: skip
    if recorded:
        return
    try:
        text = edited(source.text, _in_order(value))
    except CannotEditError as error:
        sheet.say(
            row.number, changed[0].name, "cannot-edit", str(error), "Make this change in the entry itself."
        )
        return
    if _sound(sheet, row, text):
        plan.changes.append(Change(source.path, source.text, text))
        plan.steps.append((source.path, as_of, state_of(text), False))
        for column in changed:
            plan.lines += _difference(
                row.cells["code"].strip(), column, column.get(before), column.get(value)
            )


def _new(library: Library, sheet: Sheet, row: Row, mine: Sequence[Column], plan: Plan) -> None:
    value: dict[str, Any] = {}
    _take(sheet, row, [column for column in mine if not column.recorded], {}, value)
    given = [name for name in RECORDED if row.cells.get(name, "").strip() not in ("", "draft", "1")]
    if given:
        sheet.say(
            row.number, given[0], "new-entries-are-drafts", "The new entry becomes a draft, without an approval.",
            "Have it reviewed, then record the approval with limberleaf review --record.", "note",
        )  # fmt: skip
    value["status"] = "draft"
    text = new_text(_in_order(value), NEW_HEAD)
    code, region = row.cells["code"].strip(), str(value.get("region", ""))
    if not _sound(sheet, row, text):
        return
    path = f"exercises/{region}/{code}.yml"
    there = next(iter(sorted(library.root.glob(f"exercises/**/{code}.yml"))), None)
    if there is not None:
        sheet.say(
            row.number, "code", "entry-cannot-be-read", f"{there.name} is there and has errors of its own.",
            "Mend it first; limberleaf check names them.",
        )  # fmt: skip
        return
    plan.changes.append(Change(path, None, text))
    plan.steps.append((path, row.cells.get(AS_OF, ""), state_of(text), True))
    plan.lines.append(f"{code}  new draft in {path}")


def _take(
    sheet: Sheet, row: Row, mine: Sequence[Column], before: Mapping[str, Any], value: dict[str, Any]
) -> list[Column]:
    """Put the cells that differ into `value`; give their columns. The drawing goes before its captions."""
    changed = []
    wrong = {title for number, title in sheet.marks if number == row.number}
    for column in sorted(mine, key=lambda one: one.name == CAPTIONS):
        cell = row.cells.get(column.name, "")
        if column.name in wrong or _same(cell, column.get(before)):
            continue
        try:
            column.put(value, cell)
        except CellError as error:
            first, _, rest = str(error).partition(". ")
            sheet.say(row.number, column.name, "cell-cannot-be-read", f"{first.rstrip('.')}.", rest)
            continue
        if column.get(value) != column.get(before):
            changed.append(column)
    return changed


def _same(cell: str, written: str) -> bool:
    return cell == "\n".join(line.strip() for line in written.split("\n"))


def _sound(sheet: Sheet, row: Row, text: str) -> bool:
    """Shape the text as the loader would; what is wrong is said at the cells."""
    columns_by_place: dict[Place, str] = {}

    def place_of(loc: Sequence[str | int]) -> Place:
        place = sheet.place(row.number, column_of(loc))
        columns_by_place[place] = column_of(loc)
        return place

    source = _CellSource("", "", place_of=place_of)
    _, findings = shape(Exercise, plain_value(text), source)
    for finding in findings:
        column = columns_by_place[finding.place]
        hint = in_cells(finding.hint)
        sheet.say(row.number, column, finding.code, finding.message, hint, finding.severity)
    return row.number not in sheet.wrong


_KEY = re.compile(r"\b([Aa]dd|[Ww]rite) `([a-z_]+):`")


def in_cells(hint: str) -> str:
    """Say a way out in the words of a table: a key that is to be added is a cell to fill in."""
    names = {name.rpartition(".")[2]: name for name in (column.name for column in columns())}

    def cell(found: re.Match[str]) -> str:
        verb = "Fill in" if found[1][0].isupper() else "fill in"
        return f"{verb} {names[found[2]]}" if found[2] in names else found[0]

    return _KEY.sub(cell, hint)


def column_of(loc: Sequence[str | int]) -> str:
    """Give the column that a place in an entry belongs to; `code` when it has none of its own."""
    path = tuple(step for step in loc if isinstance(step, str))
    if path[:1] == ("figure",):
        return CAPTIONS if path[-1] == "caption" else FIGURE
    fitting = [column for column in columns() if column.path == path[: len(column.path)]]
    if fitting:
        return max(fitting, key=lambda one: len(one.path)).name
    inside = [column.name for column in columns() if path and column.path[: len(path)] == path]
    return inside[0] if inside else "code"


def _in_order(value: dict[str, Any]) -> dict[str, Any]:
    """Put keys in the order of the columns, so that a new one lands where one looks for it."""
    ordered = _sorted_by(value, list(dict.fromkeys(column.path[0] for column in columns())))
    if isinstance(ordered.get("dose"), dict):
        parts = [column.path[1] for column in columns() if column.path[0] == "dose"]
        ordered["dose"] = _sorted_by(ordered["dose"], parts)
    return ordered


def _sorted_by(value: dict[str, Any], order: list[str]) -> dict[str, Any]:
    """Sort keys as in `order`; others behind, as they were."""
    keys = sorted(value, key=lambda key: order.index(key) if key in order else len(order))
    return {key: value[key] for key in keys}


def _put_back(text: str) -> str:
    return f"Put “{text}” back" if text else "Empty the cell"


def _difference(code: str, column: Column, before: str, after: str) -> Iterator[str]:
    """Say what changed in a cell: a value as old and new, a list line by line."""
    if not column.lines:
        yield f"{code}  {column.name}: {_short(before)} -> {_short(after)}"
        return
    yield f"{code}  {column.name}:" + ("" if after else " every line goes")
    for line in ndiff(before.splitlines(), after.splitlines()):
        if line.startswith(("+ ", "- ")):
            yield f"    {line}"


def _short(text: str) -> str:
    line = " / ".join(text.split("\n"))
    return f"“{line[:60]}{'…' if len(line) > 60 else ''}”" if line else "nothing"


def read_table(path: Path) -> tuple[Sheet, bytes]:
    """Read a workbook or a CSV by the end of its name; raise TableError when it is neither."""
    from limberleaf.exchange.csv_table import read_csv
    from limberleaf.exchange.workbook import MOST_BYTES, read_workbook

    try:
        if path.stat().st_size > MOST_BYTES:
            raise TableError(f"{path} is larger than {MOST_BYTES // 1024 // 1024} MB; it was not read.")
        data = path.read_bytes()
    except OSError as error:
        raise TableError(f"{path}: {error.strerror or error}.") from None
    kind = path.suffix.lower()
    if kind in (".xlsx", ".xlsm"):
        return read_workbook(path.name, data), data
    if kind in (".csv", ".tsv", ".txt"):
        return read_csv(path.name, data), data
    raise TableError(f"{path}: write a name that ends in .xlsx or .csv.")
