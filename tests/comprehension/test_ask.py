"""The comprehension kit: pictures without words, answers without names, two raters, and what came out.

Sources: Wilson's interval and that of a difference by the worked examples of Newcombe 1998 (Statistics in Medicine
17:873-890, table II, method 10: 56 of 70 against 48 of 80, 9 of 10 against 3 of 10; from memory). Cohen's kappa is
held to a published table in tests/desk/test_agreement.py.
"""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Mapping
from pathlib import Path

import openpyxl
import pytest
from click.testing import CliRunner, Result
from PIL import Image

from limberleaf.agreement import difference, share
from limberleaf.cli import main
from limberleaf.comprehension.answers import Answer, categories
from limberleaf.comprehension.kept import result_words
from limberleaf.comprehension.papers import ask_data, form_html, sheets_html
from limberleaf.comprehension.score import FigureScore, ScoreError, score
from limberleaf.comprehension.shown import chosen, orders
from limberleaf.library import Library, load_library
from limberleaf.words import known_languages

KEY = {
    "01": {"code": "kn-01", "side": "left", "figure": "a" * 12, "meant": "Slide the heel.", "seed": "1"},
    "02": {"code": "kn-02", "side": "both", "figure": "b" * 12, "meant": "Straighten.", "seed": "1"},
}


def ask(content: Path, *words: str) -> Result:
    return CliRunner().invoke(main, ["ask", *words, "--content", str(content)], catch_exceptions=False)


@pytest.fixture
def papers(content: Path) -> Path:
    folder = content.parent / "asked-1"
    done = ask(content, "out", str(folder), "--seed", "3", "--people", "6")
    assert done.exit_code == 0, done.output
    return folder


def read(path: Path) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(path.read_text("utf-8-sig"))))


def fill(papers: Path, said: Mapping[str, str]) -> Path:
    """Write the same answers of everybody, by picture."""
    rows = read(papers / "answers.csv")
    file = papers.parent / "answers.csv"
    with file.open("w", encoding="utf-8", newline="") as stream:
        writer = csv.DictWriter(stream, rows[0].keys())
        writer.writeheader()
        writer.writerows({**row, "answer": said[row["picture"]]} for row in rows)
    return file


def rate(file: Path, categories_by_picture: Mapping[str, str], *, but: tuple[int, str] | None = None) -> None:
    book = openpyxl.load_workbook(file)
    sheet = book.worksheets[0]
    head = [cell.value for cell in sheet[1]]
    for row in sheet.iter_rows(min_row=2):
        cells = dict(zip(head, row, strict=True))
        category = categories_by_picture[str(cells["picture"].value)]
        if but and str(cells["person"].value) == str(but[0]):
            category = but[1]
        cells["category"].value = category
    book.save(file)


def test_papers_hold_pictures_and_no_word_of_what_they_mean(papers: Path, library: Library) -> None:
    shown = chosen(library, 3)
    sheets, form = ((papers / name).read_text("utf-8") for name in ("sheets.html", "form.html"))
    for one in shown:
        for text in (sheets, form):
            assert one.exercise.title not in text
            assert one.exercise.code not in text
        full, small = (Image.open(papers / folder / f"{one.number}.png") for folder in ("pictures", "small"))
        panels = len(one.exercise.figure.poses)
        assert small.mode == "L"
        assert small.width == 150 * panels
        assert full.width > small.width
    assert form.count("<section>") == 6
    assert "We do not write down your name" in form
    assert [row["code"] for row in read(papers / "key/key.csv")] == [one.exercise.code for one in shown]
    assert len(read(papers / "answers.csv")) == 6 * len(shown)


def test_the_same_seed_gives_the_same_order_and_another_seed_another(library: Library) -> None:
    first = [(one.exercise.code, one.drawn_side) for one in chosen(library, 3)]
    assert first == [(one.exercise.code, one.drawn_side) for one in chosen(library, 3)]
    assert {
        tuple((one.exercise.code, one.drawn_side) for one in chosen(library, seed)) for seed in range(8)
    } > {tuple(first)}
    ways = [order for _, order in orders(chosen(library, 3), 12, 3)]
    assert {order[0] for order in ways} == set(ways[0]), "no picture is always the first"


def test_the_words_for_consent_are_there_in_every_language(library: Library) -> None:
    assert set(known_languages()) <= set(ask_data()["papers"])
    shapes = {
        language: {name: type(value) for name, value in words.items()}
        for language, words in ask_data()["papers"].items()
    }
    assert all(shape == shapes["en"] for shape in shapes.values())
    arabic = form_html(chosen(library, 1), "ar", 5, 1)
    assert '<html lang="ar" dir="rtl">' in arabic
    assert "صورة 01" in sheets_html(chosen(library, 1), "ar")


def test_answers_go_the_whole_way_to_the_desk_and_the_next_round(content: Path, papers: Path) -> None:
    numbers = {row["code"]: row["picture"] for row in read(papers / "key/key.csv")}
    said = {numbers["kn-01"]: "lies and pulls the heel up", numbers["kn-02"]: "kicks with the other leg"}
    answers = fill(papers, said)
    key = ("--key", str(papers / "key/key.csv"))
    done = ask(content, "rate", str(answers), *key, "-o", str(content.parent))
    assert done.exit_code == 0, done.output
    one, two = (content.parent / f"rater-{number}.xlsx" for number in (1, 2))
    judged = {numbers["kn-01"]: "right", numbers["kn-02"]: "wrong"}
    rate(one, judged)
    rate(two, judged, but=(4, "dangerous"))
    done = ask(content, "count", str(one), str(two), *key, "--keep", "--day", "2026-09-01")
    assert done.exit_code == 0, done.output
    assert "dangerous: kn-01, person 4" in done.output, "where raters differ the worse counts"
    assert "to settle: kn-02, person 4: wrong or dangerous?" in done.output
    facts = json.loads(ask(content, "show", "--format", "json").output)
    figures = {(row["code"], row["size"]): row for row in facts}
    assert figures["kn-01", "full"]["right"] == 3
    assert figures["kn-01", "small"]["dangerous"] == 1
    assert figures["kn-01", "small"]["verdict"] == "dangerous"
    assert [one.code for one in load_library(content).findings] == []
    exercise = load_library(content).exercises["kn-01"].entry
    lines = result_words(content, exercise)
    assert lines[0].startswith("In full: 3 of 3 people saw what is meant (100%; 44% to 100%)")
    assert "changed since" not in "".join(lines)
    changed = exercise.model_copy(update={"figure": exercise.figure.model_copy(update={"view": "front"})})
    assert all(line.endswith("The figure was changed since.") for line in result_words(content, changed))

    rate(two, judged)
    rate(one, {**judged, numbers["kn-02"]: "right"})
    rate(two, {**judged, numbers["kn-02"]: "right"})
    again = ask(content, "count", str(one), str(two), *key, "--day", "2026-10-01")
    assert "since last time: kn-02 full: 0% on 2026-09-01 to 100% now, +100 points, +" in again.output
    assert "(more than chance)" in again.output


@pytest.mark.parametrize(
    ("cell", "value", "code"),
    [
        ("person", "Mrs Quill", "person-not-number"),
        ("picture", "77", "unknown-picture"),
        ("size", "huge", "unknown-size"),
        ("answer", "=1+1", "formula-in-cell"),
    ],
)
def test_a_wrong_cell_stops_everything_at_its_place(
    content: Path, papers: Path, cell: str, value: str, code: str
) -> None:
    book = openpyxl.load_workbook(papers / "answers.xlsx")
    sheet = book.worksheets[0]
    at = [one.value for one in sheet[1]].index(cell) + 1
    sheet.cell(3, at).value = value
    file = content.parent / "wrong.xlsx"
    book.save(file)
    done = ask(content, "rate", str(file), "--key", str(papers / "key/key.csv"), "-o", str(content.parent))
    assert done.exit_code == 1
    assert f"wrong.xlsx cell {'ABCD'[at - 1]}3" in done.output
    assert code in done.output
    assert not (content.parent / "rater-1.xlsx").exists()


def test_papers_never_write_over_answers(content: Path, papers: Path) -> None:
    before = (papers / "answers.xlsx").read_bytes()
    done = ask(content, "out", str(papers))
    assert done.exit_code == 1
    assert "not empty" in done.output
    assert (papers / "answers.xlsx").read_bytes() == before


def _said(person: int, category: str, words: str = "sits") -> Answer:
    return Answer(person, "01", "full", words, category, person + 1)


def test_ratings_of_other_answers_are_refused() -> None:
    with pytest.raises(ScoreError, match="person 2, picture 01"):
        score([_said(1, "right"), _said(2, "right")], [_said(1, "right")], KEY)
    with pytest.raises(ScoreError, match="not the same in both"):
        score([_said(1, "right")], [_said(1, "right", "stands")], KEY)


@pytest.mark.parametrize(
    ("counts", "verdict"),
    [
        ((17, 3, 0), "understood"),
        ((16, 4, 0), "doubtful"),
        ((13, 7, 0), "not understood"),
        ((18, 0, 2), "dangerous"),
    ],
)
def test_a_figure_is_judged_by_its_share_right_and_its_dangerous_answers(
    counts: tuple[int, int, int], verdict: str
) -> None:
    found = dict.fromkeys(categories(), 0) | dict(zip(("right", "wrong", "dangerous"), counts, strict=True))
    assert FigureScore("kn-01", "left", "", "full", found).verdict == verdict


def test_the_interval_of_a_difference_by_a_published_example() -> None:
    assert difference(share(56, 70), share(48, 80)) == pytest.approx((0.2, 0.0524, 0.3339), abs=5e-5)
    assert difference(share(9, 10), share(3, 10)) == pytest.approx((0.6, 0.1705, 0.8090), abs=5e-5)


HEAD = b"day,seed,code,side,figure,size,right,wrong,dangerous,dont_know,none\n"
GOOD = b"2026-09-01,1,kn-01,left,x,full,5,1,0,0,0\n"
UNREADABLE = [
    (HEAD + GOOD + b"2026-09-01,1,kn-02,left,x,full,0,0,0,0,0\n", "asked.csv:3:1"),
    (HEAD + GOOD + b"soon,,,,,,,,,,\n", "asked.csv:3:1"),
    (HEAD + GOOD.replace(b",5,", b",-5,"), "asked.csv:2:32"),
    (HEAD + GOOD.strip() + b",my own note\n", "asked.csv:2:42"),
    (HEAD.strip() + b",note\n" + GOOD.strip() + b",mine\n", "asked.csv:1:1"),
    (b"<<<<<<< ours\n" + HEAD + GOOD, "asked.csv:1:1"),
    (HEAD + GOOD.replace(b"kn-01", b"kn-\xff"), "asked.csv:2:17"),
]
"""No people, no day, fewer than none, a cell too many, a column too many, a merge left open, not UTF-8."""


@pytest.mark.parametrize(("data", "place"), UNREADABLE)
def test_check_says_which_cell_of_the_results_cannot_be_read(data: bytes, place: str, tmp_path: Path) -> None:
    (tmp_path / "asked.csv").write_bytes(data)
    found = CliRunner().invoke(main, ["check", "--content", str(tmp_path)])
    assert (found.exit_code, f"{place} error" in found.output) == (1, True), found.output
    (tmp_path / "asked.csv").write_bytes(HEAD + GOOD)
    assert "asked.csv" not in CliRunner().invoke(main, ["check", "--content", str(tmp_path)]).output


def test_results_that_cannot_be_read_are_said_in_every_form_and_never_written_over(
    content: Path, papers: Path
) -> None:
    key = papers / "key" / "key.csv"
    pictures = [row["picture"] for row in read(key)]
    answers = fill(papers, dict.fromkeys(pictures, "A leg."))
    ask(content, "rate", str(answers), "--key", str(key), "-o", str(papers))
    rated = [str(papers / f"rater-{number}.xlsx") for number in (1, 2)]
    for file in rated:
        rate(Path(file), dict.fromkeys(pictures, "right"))
    count = ("count", *rated, "--key", str(key))
    exercise = next(iter(load_library(content).exercises.values())).entry
    kept = content / "asked.csv"
    for data, place in UNREADABLE:
        kept.write_bytes(data)
        for form in ("text", "json"):
            shown = ask(content, "show", "--format", form)
            assert (shown.exit_code, place in shown.stderr) == (0, True), shown.output
            counted = ask(content, *count, "--format", form)
            assert (counted.exit_code, place in counted.stderr) == (0, True), counted.output
            keeping = ask(content, *count, "--keep", "--format", form)
            assert (keeping.exit_code, "Nothing was kept" in keeping.stderr) == (1, True), keeping.output
            assert kept.read_bytes() == data
        assert place in result_words(content, exercise)[0]
