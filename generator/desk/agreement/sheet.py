"""A sheet of random marks for an editor to judge, and a judged sheet read back."""

from __future__ import annotations

import csv
import hashlib
import io
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from limberleaf.checks.wording import Wording
from limberleaf.clinical.governance.review import safe_cell
from limberleaf.desk.read.marked import Note, note
from limberleaf.desk.read.readings import Readings

COLUMNS = ("number", "rule", "page", "place", "sentence", "marked", "says", "do", "verdict", "remark")
USEFUL, NOT_USEFUL, WRONG = "useful", "not useful", "wrong"
VERDICTS: Mapping[str, str] = {
    **dict.fromkeys(("u", "useful", "yes", "y"), USEFUL),
    **dict.fromkeys(("n", "not useful", "not", "no"), NOT_USEFUL),
    **dict.fromkeys(("w", "wrong", "h", "harmful"), WRONG),
}
HOW = "u useful, n not useful, w wrong or harmful"


class SheetError(ValueError):
    """A sheet that cannot be read; `problems` are lines that say where and why."""

    def __init__(self, problems: list[str]) -> None:
        """Take what is wrong, one line each."""
        super().__init__("\n".join(problems))
        self.problems = problems


@dataclass(frozen=True)
class Judged:
    """One judged mark: its number on the sheet, rule, place and marked words, and the verdict."""

    number: int
    rule: str
    place: str
    marked: str
    verdict: str


def sheet_of(pages: Iterable[Wording], readings: Readings, most: int, seed: str) -> str:
    """Write a CSV sheet (RFC 4180) of at most `most` marks of the pages, drawn at random by `seed`.

    The same library and seed give the same sheet on every machine, and two editors get the same marks.
    """
    drawn = sorted(_marks(pages, readings, seed))[:most]
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    for number, (_, page, one) in enumerate(drawn, 1):
        cells = (page, one.place, one.sentence, one.words, one.message, one.suggestion)
        writer.writerow([number, one.rule, *map(safe_cell, cells), "", ""])
    return "\ufeff" + out.getvalue()  # spreadsheets take UTF-8 for what it is only with this mark


def _marks(pages: Iterable[Wording], readings: Readings, seed: str) -> Iterator[tuple[str, str, Note]]:
    for page in pages:
        reading = readings.whole(page)
        for number, mark in enumerate(reading.marks, 1):
            key = f"{seed}\n{page.source.path}\n{page.language}\n{mark.block}\n{mark.start}\n{mark.rule}"
            lot = hashlib.sha256(key.encode()).hexdigest()
            yield lot, f"{page.name} ({page.language})", note(number, mark, reading, page.place)


def read_sheet(path: Path) -> list[Judged]:
    """Read a judged sheet, with commas or semicolons as spreadsheets save it; raises SheetError with all faults."""
    try:
        text = path.read_text("utf-8-sig")
    except OSError as error:
        raise SheetError([f"{path}: {error.strerror}."]) from None
    except UnicodeDecodeError:
        raise SheetError([f"{path}: save the sheet as CSV in UTF-8."]) from None
    head = text.partition("\n")[0]
    rows = csv.DictReader(
        io.StringIO(text, newline=""), delimiter=";" if head.count(";") > head.count(",") else ","
    )
    missing = [name for name in COLUMNS[:-1] if name not in (rows.fieldnames or ())]
    if missing:
        raise SheetError(
            [f"{path}:1: the column {', '.join(missing)} is missing: keep the first row as it was."]
        )
    found: list[Judged] = []
    problems: list[str] = []
    for row in rows:
        verdict = VERDICTS.get((row["verdict"] or "").strip().casefold())
        if verdict is None:
            written = (row["verdict"] or "").strip()
            problem = f"“{written}” is no verdict" if written else "there is no verdict"
            problems.append(f"{path}:{rows.line_num}: mark {row['number']}: {problem}. Write {HOW}.")
        elif not (row["number"] or "").strip().isdecimal():
            problems.append(f"{path}:{rows.line_num}: “{row['number']}” is no number of a mark.")
        else:
            found.append(Judged(int(row["number"]), row["rule"], row["place"], row["marked"], verdict))
    if problems:
        raise SheetError(problems)
    if not found:
        raise SheetError([f"{path}: no mark is judged here."])
    return found
