"""The spreadsheet round trip: nothing lost, nothing written by halves, what is wrong said at its cell.

Office Open XML is read and written by openpyxl, the kept library for it; CSV follows RFC 4180 (Python's csv).
"""

from __future__ import annotations

import json
import shutil
import zipfile
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result
from conftest import tree
from openpyxl import load_workbook

from limberleaf.cli import main
from limberleaf.library import load_library


def table(content: Path, *arguments: object) -> Result:
    return CliRunner().invoke(
        main, ["table", *map(str, arguments), "--content", str(content)], catch_exceptions=False
    )


def workbook_of(content: Path) -> Path:
    file = content.parent / "exercises.xlsx"
    assert table(content, "out", file).exit_code == 0
    return file


@pytest.fixture(scope="module")
def written(part: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The workbook of the part, made once."""
    return workbook_of(Path(shutil.copytree(part, tmp_path_factory.mktemp("book") / "content")))


@pytest.fixture
def book(content: Path, written: Path) -> Path:
    """A workbook of `content` as it is, to write into."""
    return Path(shutil.copy(written, content.parent))


def edit(file: Path, change: Callable[[Any, dict[str, int]], None]) -> None:
    workbook = load_workbook(file)
    sheet = workbook["Exercises"]
    change(sheet, {str(cell.value): cell.column for cell in sheet[1]})
    workbook.save(file)


def row_of(sheet: Any, code: str) -> int:
    return next(int(row[0].row) for row in sheet.iter_rows() if row[0].value == code)


def put(file: Path, code: str, column: str, value: object) -> None:
    edit(file, lambda sheet, at: sheet.cell(row_of(sheet, code), at[column]).__setattr__("value", value))


@pytest.mark.parametrize("end", [".xlsx", ".csv"])
def test_a_table_that_comes_back_as_it_was_changes_no_byte(whole: Path, end: str) -> None:
    before = tree(whole)
    file = whole.parent / f"exercises{end}"
    table(whole, "out", file)
    back = table(whole, "in", file)
    assert back.exit_code == 0
    assert f"0 entries written, {len(load_library(whole).exercises)} as they were" in back.output
    assert tree(whole) == before


def test_the_same_library_gives_the_same_bytes(content: Path, book: Path) -> None:
    table(content, "out", content.parent / "again.xlsx")
    assert (content.parent / "again.xlsx").read_bytes() == book.read_bytes()


def test_one_changed_cell_changes_one_line_of_one_file(content: Path, book: Path) -> None:
    before = tree(content)
    put(book, "kn-03", "dose.hold", "5 s")
    back = table(content, "in", book)
    assert back.exit_code == 0, back.output
    assert "kn-03  dose.hold: “3 s” -> “5 s”" in back.output
    after = tree(content)
    changed = [path for path in after if after[path] != before[path]]
    assert changed == ["exercises/knee/kn-03.yml"]
    old, new = (one[changed[0]].decode().splitlines() for one in (before, after))
    assert [(a, b) for a, b in zip(old, new, strict=True) if a != b] == [
        (line, line.replace("hold: 3 s", "hold: 5 s")) for line in old if line.startswith("dose:")
    ]


def test_comments_order_and_line_ends_of_an_entry_stay(content: Path) -> None:
    entry = content / "exercises/knee/kn-03.yml"
    text = "# ours\n" + entry.read_text("utf-8").replace("\naim:", "\n# why\naim:")
    entry.write_bytes(text.replace("\n", "\r\n").encode())
    file = content.parent / "one.csv"
    assert table(content, "out", file, "--only", "kn-03").exit_code == 0
    file.write_bytes(
        file.read_bytes().replace(b"Sit tall on a firm chair.", b"Sit tall on a chair with arms.")
    )
    assert table(content, "in", file).exit_code == 0
    wanted = text.replace("Sit tall on a firm chair.", "Sit tall on a chair with arms.").replace("\n", "\r\n")
    assert entry.read_bytes() == wanted.encode()


def test_every_value_of_the_demo_comes_into_an_empty_library_as_drafts(whole: Path) -> None:
    """All but the approval, which a table cannot give: the same entries, made from the workbook alone."""
    book = workbook_of(whole)
    wanted = {code: loaded.entry for code, loaded in load_library(whole).exercises.items()}
    shutil.rmtree(whole / "exercises")
    back = table(whole, "in", book)
    assert back.exit_code == 0, back.output
    found = {code: loaded.entry for code, loaded in load_library(whole).exercises.items()}
    apart = {"status", "review", "replaced_by", "retired_because"}
    assert found.keys() == wanted.keys()
    for code, entry in found.items():
        assert entry.status == "draft"
        assert entry.review.owner == wanted[code].review.owner
        assert entry.review.approved_by is None
        assert entry.model_dump(exclude=apart) == wanted[code].model_dump(exclude=apart)


def test_what_is_wrong_is_said_at_its_cell_and_marked_and_nothing_is_written(
    content: Path, book: Path
) -> None:
    before = tree(content)
    put(book, "kn-03", "dose.hold", "three seconds")
    put(book, "kn-04", "region", "kneee")
    put(book, "kn-05", "easier.exercise", "kn-99")
    put(book, "kn-06", "title", "Another title")
    back = table(content, "in", book)
    assert back.exit_code == 1
    assert tree(content) == before
    sheet = load_workbook(book)["Exercises"]
    letters = {str(cell.value): cell.column_letter for cell in sheet[1]}
    hold = f"{letters['dose.hold']}{row_of(sheet, 'kn-03')}"
    region = f"{letters['region']}{row_of(sheet, 'kn-04')}"
    assert f"exercises.xlsx cell {hold}: error" in back.output
    assert f"cell {region}: error [not-a-choice]" in back.output
    marked = load_workbook(content.parent / "exercises.marked.xlsx")
    cell = marked["Exercises"][hold]
    assert cell.fill.fgColor.rgb == "00FFD9C7"
    assert cell.comment is not None
    assert "“hold” is “three seconds”: write one number or range and its unit" in cell.comment.text
    assert [cell.value for cell in marked["To mend"][2]][:3] == [hold, "kn-03", "dose.hold"]
    table(content, "in", content.parent / "exercises.marked.xlsx")
    assert not (content.parent / "exercises.marked.marked.xlsx").exists()


def _of(code: str, column: str, key: str, value: object) -> Callable[[Any, dict[str, int]], None]:
    """Give a change that sets the attribute `key` of one cell."""
    return lambda sheet, at: setattr(sheet.cell(row_of(sheet, code), at[column]), key, value)


@pytest.mark.parametrize(
    ("change", "code"),
    [
        (lambda sheet, at: setattr(sheet.cell(1, at["aim"]), "value", "aims"), "unknown-column"),
        (_of("kn-03", "code", "value", None), "missing-code"),
        (_of("kn-03", "code", "value", "kn-04"), "duplicate-code"),
        (_of("kn-03", "title", "value", "#REF!"), "error-in-cell"),
        (_of("kn-03", "title", "hyperlink", "https://example.org/"), "link-in-cell"),
        (_of("kn-03", "equipment", "value", "thing: chair"), "cell-cannot-be-read"),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_a_cell_that_cannot_be_taken_is_named_and_nothing_is_written(
    content: Path, book: Path, change: Callable[[Any, dict[str, int]], None], code: str
) -> None:
    before = tree(content)
    edit(book, change)
    back = table(content, "in", book)
    assert back.exit_code == 1
    assert f"error [{code}]" in back.output
    assert tree(content) == before


def test_a_csv_row_with_a_cell_too_many_is_named(content: Path) -> None:
    file = content.parent / "one.csv"
    table(content, "out", file, "--only", "kn-03")
    file.write_bytes(file.read_bytes().removesuffix(b"\r\n") + b",more\r\n")
    back = table(content, "in", file)
    assert back.exit_code == 1
    assert "error [cells-without-column]" in back.output


def test_a_row_never_replaces_an_entry_that_has_errors(content: Path, book: Path) -> None:
    entry = content / "exercises/knee/kn-03.yml"
    entry.write_text(entry.read_text("utf-8").replace("kind: strength", "kind: magic"), "utf-8")
    broken = entry.read_bytes()
    back = table(content, "in", book)
    assert back.exit_code == 1
    assert "error [entry-cannot-be-read]" in back.output
    assert entry.read_bytes() == broken


def test_what_only_the_whole_library_shows_is_said_at_its_cell_too(content: Path, book: Path) -> None:
    put(book, "kn-05", "easier.exercise", "kn-99")
    back = table(content, "in", book)
    assert back.exit_code == 1
    assert "easier.exercise" in back.output
    assert "kn-99" in back.output


def test_a_new_row_becomes_a_draft_and_an_approval_in_a_table_is_refused(content: Path, book: Path) -> None:
    def add(sheet: Any, at: dict[str, int]) -> None:
        source = row_of(sheet, "kn-03")
        for cell in list(sheet[source]):
            sheet.cell(sheet.max_row + (cell.column == 1), cell.column).value = cell.value
        sheet.cell(sheet.max_row, at["code"]).value = "kn-77"

    edit(book, add)
    back = table(content, "in", book)
    assert back.exit_code == 0, back.output
    assert "note [new-entries-are-drafts]" in back.output
    assert load_library(content).exercises["kn-77"].entry.status == "draft"
    put(book, "kn-03", "review.due", "2031-01-01")
    refused = table(content, "in", book)
    assert refused.exit_code == 1
    assert "approval-in-table" in refused.output


def test_one_working_file_serves_for_change_after_change(content: Path, book: Path) -> None:
    """A row that was brought in, changed or new, is not older than the entry that it made."""

    def add(sheet: Any, at: dict[str, int]) -> None:
        for cell in list(sheet[row_of(sheet, "kn-03")]):
            sheet.cell(sheet.max_row + (cell.column == 1), cell.column).value = cell.value
        sheet.cell(sheet.max_row, at["code"]).value = "kn-77"

    count = len(load_library(content).exercises)
    edit(book, add)
    put(book, "kn-04", "dose.hold", "5 s")
    assert "2 entries written" in table(content, "in", book).output
    again = table(content, "in", book)
    assert again.exit_code == 0, again.output
    assert f"0 entries written, {count + 1} as they were" in again.output
    put(book, "kn-04", "dose.hold", "6 s")
    put(book, "kn-77", "title", "A title of its own")
    third = table(content, "in", book)
    assert f"2 entries written, {count - 1} as they were" in third.output, third.output
    texts = load_library(content).exercises
    assert (texts["kn-04"].entry.dose.hold.low, texts["kn-77"].entry.title) == (6, "A title of its own")
    entry = content / "exercises/knee/kn-04.yml"
    entry.write_text(entry.read_text("utf-8") + "# somebody was here\n", "utf-8")
    put(book, "kn-04", "dose.hold", "7 s")
    assert "newer-entry" in table(content, "in", book).output


def test_what_changes_in_a_list_is_said_line_by_line_and_what_is_missing_at_its_cell(
    content: Path, book: Path
) -> None:
    lines = load_library(content).exercises["kn-03"].entry.watch_for
    put(book, "kn-03", "watch_for", "\n".join(["Do not hurry.", *map(str, lines[1:])]))
    said = table(content, "in", book, "--dry-run").output
    assert "kn-03  watch_for:\n" in said
    assert f"    - {lines[0]}\n" in said
    assert "    + Do not hurry.\n" in said
    assert str(lines[1]) not in said
    put(book, "kn-04", "aim", None)
    edit(book, lambda sheet, at: sheet.delete_cols(at["dose.rest"]))
    wrong = table(content, "in", book)
    letters = {str(cell.value): cell.column_letter for cell in load_workbook(book)["Exercises"][1]}
    row = row_of(load_workbook(book)["Exercises"], "kn-04")
    assert f"cell {letters['aim']}{row}: error [missing-key] kn-04 aim: “aim” is missing" in wrong.output
    assert "Fill in aim." in wrong.output
    assert "No column for, left as it is: dose.rest" in wrong.output


def test_an_entry_that_changed_since_the_table_was_written_is_not_overwritten(
    content: Path, book: Path
) -> None:
    entry = content / "exercises/knee/kn-03.yml"
    entry.write_text(entry.read_text("utf-8").replace("Do not swing your leg.", "Do not swing."), "utf-8")
    put(book, "kn-03", "dose.hold", "5 s")
    stopped = table(content, "in", book)
    assert stopped.exit_code == 1
    assert "newer-entry" in stopped.output
    assert table(content, "in", book, "--over-newer", "--dry-run").exit_code == 0
    assert "hold: 5 s" not in entry.read_text("utf-8")
    assert table(content, "in", book, "--over-newer").exit_code == 0
    assert "hold: 5 s" in entry.read_text("utf-8")


def test_the_head_is_frozen_and_explained_and_choices_are_lists(book: Path) -> None:
    sheet = load_workbook(book)["Exercises"]
    assert sheet.freeze_panes == "C2"
    assert all(cell.comment is not None for cell in sheet[1])
    region = next(cell.column_letter for cell in sheet[1] if cell.value == "region")
    rules = [rule for rule in sheet.data_validations.dataValidation if f"{region}3" in rule.sqref]
    assert [rule.type for rule in rules] == ["list"]
    assert {cell.number_format for cell in sheet[2]} == {"@"}


def _with_part(file: Path, name: str, data: bytes) -> None:
    with zipfile.ZipFile(file, "a") as packed:
        packed.writestr(name, data)


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("xl/externalLinks/externalLink1.xml", "links to another workbook"),
        ("xl/vbaProject.bin", "macros"),
        ("xl/connections.xml", "a connection"),
    ],
)
def test_workbooks_that_reach_elsewhere_are_refused(content: Path, book: Path, name: str, said: str) -> None:
    _with_part(book, name, b"<x/>")
    back = table(content, "in", book)
    assert back.exit_code == 1
    assert said in back.output


def test_a_formula_is_refused_even_when_it_gives_the_same_text(content: Path, book: Path) -> None:
    put(book, "kn-03", "title", '="Straighten your knee in sitting"')
    back = table(content, "in", book)
    assert back.exit_code == 1
    assert "formula-in-cell" in back.output


@pytest.mark.parametrize("data", [b"", b"\nkn-03,Title\n", b"PK\x03\x04 no zip", b"\xff\xfe\x00"])
@pytest.mark.parametrize("end", [".xlsx", ".csv"])
def test_files_that_are_no_table_are_refused_in_plain_words(content: Path, data: bytes, end: str) -> None:
    file = content.parent / f"broken{end}"
    file.write_bytes(data)
    back = table(content, "in", file)
    assert back.exit_code == 1
    assert "Traceback" not in back.output
    assert back.output.startswith("Error: broken")


def test_a_blank_row_above_the_titles_is_named(content: Path) -> None:
    file = content.parent / "pasted.csv"
    file.write_text("\ncode,title\nkn-03,Another title\n", "utf-8")
    back = table(content, "in", file)
    assert back.exit_code == 1
    assert "pasted.csv has no titles of columns in its first row" in back.output


@pytest.mark.parametrize("drawing", ['{"poses": 3}', '{"poses": [1, 2]}', "[]", "knee"])
def test_a_drawing_that_is_no_figure_any_more_is_refused_at_its_cell(
    content: Path, book: Path, drawing: str
) -> None:
    before = tree(content)
    put(book, "kn-03", "figure.drawing", drawing)
    back = table(content, "in", book)
    assert back.exit_code == 1
    assert "cell-cannot-be-read" in back.output
    assert "This is not the figure as the table carries it." in back.output
    assert tree(content) == before


def test_a_day_made_by_a_spreadsheet_program_is_named(content: Path, book: Path) -> None:
    put(book, "kn-03", "dose.repetitions", datetime(2026, 12, 8))
    back = table(content, "in", book)
    assert "day-in-cell" in back.output
    assert "8-12" in back.output


def test_json_for_scripts(content: Path, book: Path) -> None:
    put(book, "kn-03", "dose.hold", "5 s")
    facts = json.loads(table(content, "in", book, "--dry-run", "--format", "json").output)
    assert facts["written"] is False
    assert facts["changed"] == ["exercises/knee/kn-03.yml"]
