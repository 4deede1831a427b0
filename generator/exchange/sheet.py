"""A table as it was read from a file: rows of named cells, each of which knows its place in the file."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from limberleaf.findings import Finding, Place, Severity


class TableError(Exception):
    """A file that cannot be taken as a table; the text says why and a way out."""


@dataclass(frozen=True)
class Row:
    """One row: its number in the file, counted from 1, and its cells by column."""

    number: int
    cells: Mapping[str, str]


@dataclass
class Sheet:
    """The rows of a file, where each column stands in it, and what is wrong with single cells.

    `marks` gives what to say in a marked copy, by row number and column; `wrong` are the rows with an error.
    """

    name: str
    letters: Mapping[str, str]
    rows: list[Row] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)
    marks: dict[tuple[int, str], list[str]] = field(default_factory=dict)
    wrong: set[int] = field(default_factory=set)

    def place(self, row: int, column: str) -> Place:
        """Give the place of a cell in the words of a spreadsheet: `exercises.xlsx cell F12`."""
        return Place(f"{self.name} cell {self.letters.get(column, 'A')}{row}")

    def say(
        self, row: int, column: str, code: str, message: str, hint: str, severity: Severity = "error"
    ) -> None:
        """Add a finding on one cell."""
        exercise = next((one.cells.get("code", "").strip() for one in self.rows if one.number == row), "")
        shown = f"{exercise} {column}: {message}".strip() if column else message
        self.findings.append(Finding(severity, code, shown, hint, self.place(row, column)))
        if severity == "error":
            self.wrong.add(row)
        self.marks.setdefault((row, column), []).append(f"{message} {hint}")


def refuse_doubled(name: str, header: Sequence[str]) -> None:
    """Raise TableError when two columns have one title."""
    doubled = sorted({title for title in header if title and header.count(title) > 1})
    if doubled:
        raise TableError(f"{name}: the column “{doubled[0]}” stands there twice. Keep one of them.")


def cell_text(text: str) -> str:
    """Give what a cell says, whatever spreadsheet program wrote its line ends and blanks."""
    text = text.replace("\r\n", "\n").replace("\r", "\n").replace("_x000D_", "").replace("\xa0", " ")
    return "\n".join(line.strip() for line in text.split("\n")).strip("\n")
