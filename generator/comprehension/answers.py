"""The tables people fill in: what was said, and how two raters sorted it. No names, and nothing is counted twice."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from limberleaf.comprehension.papers import about_lines, ask_data
from limberleaf.comprehension.shown import Shown, orders, size_for
from limberleaf.exchange.columns import Column
from limberleaf.exchange.csv_table import csv_text
from limberleaf.exchange.sheet import Row, Sheet, TableError
from limberleaf.exchange.table_in import read_table
from limberleaf.exchange.workbook import workbook_bytes

ANSWERS = ("person", "picture", "size", "answer")
RATED = (*ANSWERS, "code", "side", "meant", "category", "note")
KEY = ("picture", "code", "side", "figure", "title", "meant", "seed")
SIZES = ("full", "small")

_NOTES = {
    "person": "A number, never a name.",
    "picture": "The number on the picture.",
    "size": "full, or small and grey.",
    "answer": "The words as they were said; empty when nothing was said.",
    "code": "The exercise.",
    "side": "The side that is to be seen.",
    "meant": "What the figure means.",
    "category": "right, wrong, dangerous, dont_know or none. The sheet “Read me” says when.",
    "note": "Why, where it was hard to decide.",
}


@dataclass(frozen=True)
class Answer:
    """What one person said to one picture; `category` is empty until somebody rated it."""

    person: int
    picture: str
    size: str
    said: str
    category: str
    row: int


def categories() -> tuple[str, ...]:
    """Name the categories, the best first."""
    return tuple(ask_data()["categories"])


def key_rows(shown: Sequence[Shown], seed: int) -> list[dict[str, str]]:
    """Give the key: which figure stands behind each number."""
    return [
        {
            "picture": one.number, "code": one.exercise.code, "side": one.side, "figure": one.figure_key,
            "title": one.exercise.title, "meant": one.meant, "seed": str(seed),
        }
        for one in shown
    ]  # fmt: skip


def empty_answers(shown: Sequence[Shown], people: int, seed: int) -> list[dict[str, str]]:
    """Give a row for each person and picture, in the order in which they are shown."""
    return [
        {"person": str(person), "picture": number, "size": size_for(person), "answer": ""}
        for person, order in orders(shown, people, seed)
        for number in order
    ]


def table_bytes(names: Sequence[str], rows: Sequence[Mapping[str, str]], ending: str) -> bytes:
    """Write a table as a workbook or, for `.csv`, as CSV."""
    if ending == ".csv":
        return csv_text(names, rows).encode()
    choices = {"size": SIZES, "category": categories()}
    columns = [
        Column(
            name,
            _NOTES.get(name, name),
            lambda _: "",
            lambda _, __: None,
            choices.get(name, ()),
            name in ("answer", "meant"),
        )
        for name in names
    ]
    return workbook_bytes(columns, rows, list(about_lines()), entries=False)


def read_key(path: Path) -> dict[str, Mapping[str, str]]:
    """Read the key by picture; raise TableError where it is none."""
    sheet, _ = read_table(path)
    _must_have(sheet, ("picture", "code", "side", "figure", "meant", "seed"))
    return {_number(row): row.cells for row in sheet.rows}


def read_answers(path: Path, key: Mapping[str, object], *, rated: bool) -> tuple[list[Answer], Sheet]:
    """Read answers, rated ones when `rated`; what is wrong is in the findings of the sheet."""
    sheet, _ = read_table(path)
    _must_have(sheet, (*ANSWERS, "category") if rated else ANSWERS)
    found: dict[tuple[int, str], Answer] = {}
    for row in sheet.rows:
        one = _answer(sheet, row, key, rated=rated)
        if one is None:
            continue
        if (one.person, one.picture) in found:
            sheet.say(
                row.number, "person", "answer-twice", f"Person {one.person} answered picture {one.picture} twice.",
                "Keep the first answer.",
            )  # fmt: skip
        else:
            found[one.person, one.picture] = one
    return list(found.values()), sheet


def _answer(sheet: Sheet, row: Row, key: Mapping[str, object], *, rated: bool) -> Answer | None:
    person, number, size = row.cells.get("person", ""), _number(row), row.cells.get("size", "") or "full"
    category = row.cells.get("category", "").strip().casefold().replace(" ", "_") if rated else ""
    said = row.cells.get("answer", "")
    if not person.isdigit() or not 1 <= int(person) <= 999:
        sheet.say(
            row.number, "person", "person-not-number", f"“{person}” is no number.",
            "Write a number, never a name: answers must lead to nobody.",
        )  # fmt: skip
    elif number not in key:
        sheet.say(
            row.number, "picture", "unknown-picture", f"There is no picture {number}.",
            "Write the number that stands on the picture.",
        )  # fmt: skip
    elif size not in SIZES:
        sheet.say(row.number, "size", "unknown-size", f"“{size}” is no size.", "Write full or small.")
    elif rated and category not in categories():
        known = ", ".join(categories())
        sheet.say(
            row.number, "category", "not-rated" if not category else "unknown-category",
            f"“{category}” is no category." if category else "This answer is not rated.", f"Write one of: {known}.",
        )  # fmt: skip
    elif rated and not said and category not in ("none", "dont_know"):
        sheet.say(
            row.number, "category", "rated-without-answer", "Nothing was said, so it cannot be sorted.",
            "Write none.",
        )  # fmt: skip
    else:
        return Answer(int(person), number, size, said, category, row.number)
    return None


def to_rate(answers: Sequence[Answer], key: Mapping[str, Mapping[str, str]]) -> Iterator[dict[str, str]]:
    """Give the rows a rater sorts, picture by picture; where nothing was said the category is filled in."""
    for one in sorted(answers, key=lambda one: (one.picture, one.person)):
        meant = key[one.picture]
        yield {
            "person": str(one.person), "picture": one.picture, "size": one.size, "answer": one.said,
            "code": meant["code"], "side": meant["side"], "meant": meant["meant"],
            "category": "" if one.said else "none", "note": "",
        }  # fmt: skip


def _number(row: Row) -> str:
    text = row.cells.get("picture", "").strip()
    return text.zfill(2) if text.isdigit() else text


def _must_have(sheet: Sheet, names: Sequence[str]) -> None:
    missing = [name for name in names if name not in sheet.letters]
    if missing:
        raise TableError(f"{sheet.name} has no column “{missing[0]}”. Keep the columns as they were written.")
