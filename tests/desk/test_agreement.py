"""The agreement kit: a sheet of random marks for two editors, kappa against published figures, usefulness by rule."""

from __future__ import annotations

import csv
import shutil
from pathlib import Path

import pytest
from conftest import call
from desk.hard_library import ENTRY, hard_library

from limberleaf.desk.agreement import agreement, share

BAD = """\
  - Utilise a chair and commence with a small number of repetitions.
  - Prior to this exercise, inform us regarding any additional difficulties.
  - It is not uncommon to require assistance at first.
  - Perform a slow rotation of the trunk and terminate it without discomfort.
"""


def _judgements(table: dict[tuple[str, str], int]) -> tuple[list[str], list[str]]:
    pairs = [pair for pair, number in table.items() for _ in range(number)]
    return [one for one, _ in pairs], [two for _, two in pairs]


def test_kappa_is_that_of_a_published_table() -> None:
    """Fleiss, Levin and Paik 2003, Statistical Methods for Rates and Proportions, table 18.1 (from memory).

    100 people sorted by two judges as psychotic, neurotic or organic: kappa 0.676, standard error 0.088.
    """
    table = {("p", "p"): 75, ("p", "n"): 1, ("p", "o"): 4, ("n", "p"): 5, ("n", "n"): 4, ("n", "o"): 1}
    table |= {("o", "o"): 10}
    found = agreement(*_judgements(table))
    assert found.observed == pytest.approx(0.89)
    assert found.expected == pytest.approx(0.66)
    assert found.kappa == pytest.approx(0.676, abs=0.0005)
    assert found.error == pytest.approx(0.0877, abs=0.0005)


def test_kappa_and_error_are_those_of_a_reference_library() -> None:
    """Figures that `cohens_kappa` of statsmodels 0.15.0 gave: kappa, standard error, 95 % limits."""
    table = {("u", "u"): 20, ("u", "n"): 5, ("n", "u"): 10, ("n", "n"): 15}
    found = agreement(*_judgements(table))
    assert found.kappa == pytest.approx(0.4, abs=1e-9)
    assert found.error == pytest.approx(0.12699606, abs=1e-8)
    assert (found.low, found.high) == pytest.approx((0.15109229, 0.64890771), abs=1e-6)


def test_shares_have_wilsons_interval() -> None:
    """Newcombe 1998, Stat. Med. 17:857-872, table I, method 3: 81 of 263, and 0 of 20."""
    one, none = share(81, 263), share(0, 20)
    assert (one.low, one.high) == pytest.approx((0.2553, 0.3662), abs=5e-5)
    assert (none.low, none.high) == pytest.approx((0.0, 0.1611), abs=5e-5)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory, kept_results: Path) -> Path:
    made = hard_library(tmp_path_factory.mktemp("agreement"))
    shutil.copytree(kept_results, made / kept_results.name)
    entry = made / ENTRY
    entry.write_text(entry.read_text("utf-8").replace("watch_for:\n", "watch_for:\n" + BAD, 1), "utf-8")
    return made


@pytest.fixture(scope="module")
def sheet(folder: Path) -> list[dict[str, str]]:
    done = call(["limberleaf", "desk", "--marks", "marks.csv", "--count", "12"], folder)
    assert done.returncode == 0, done.stderr
    assert "12 marks in marks.csv" in done.stdout
    return list(csv.DictReader((folder / "marks.csv").read_text("utf-8-sig").splitlines()))


def _judge(
    folder: Path, name: str, rows: list[dict[str, str]], verdicts: list[str], delimiter: str = ","
) -> str:
    with (folder / name).open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, rows[0], delimiter=delimiter)
        writer.writeheader()
        for row, verdict in zip(rows, verdicts, strict=True):
            writer.writerow({**row, "verdict": verdict})
    return name


def test_a_sheet_shows_what_an_editor_needs(sheet: list[dict[str, str]]) -> None:
    assert [row["number"] for row in sheet] == [str(number) for number in range(1, 13)]
    for row in sheet:
        assert row["rule"] and row["sentence"] and row["marked"] and row["says"] and row["do"]
        assert row["place"].startswith("content/") or ".yml" in row["place"]
        assert row["verdict"] == ""
    places = [(row["place"], row["rule"]) for row in sheet]
    assert places != sorted(places), "drawn at random, not in the order of the pages"


def test_the_same_seed_draws_the_same_marks(folder: Path, sheet: list[dict[str, str]]) -> None:
    call(["limberleaf", "desk", "--marks", "again.csv", "--count", "12"], folder)
    call(["limberleaf", "desk", "--marks", "other.csv", "--count", "12", "--seed", "2"], folder)
    first = (folder / "marks.csv").read_bytes()
    assert (folder / "again.csv").read_bytes() == first
    assert (folder / "other.csv").read_bytes() != first


def test_two_judged_sheets_are_compared(folder: Path, sheet: list[dict[str, str]]) -> None:
    one = _judge(folder, "one.csv", sheet, ["u"] * 8 + ["n"] * 4)
    two = _judge(folder, "two.csv", sheet[::-1], (["useful"] * 7 + ["n"] * 4 + ["W"])[::-1], ";")
    done = call(["limberleaf", "desk", "--agreement", one, two], folder)
    assert done.returncode == 0, done.stderr
    # 7 useful and 3 not by both; chance: 8/12 * 7/12 + 4/12 * 4/12 = 0.5, so kappa is (10/12 - 0.5) / 0.5
    assert "12 marks judged twice; the same verdict on 10 (83 %)." in done.stdout
    assert "kappa 0.67 (substantial)" in done.stdout
    assert "Useful: 15 of 24 (62 %" in done.stdout
    assert "Wrong or harmful: 1 of 24 (4 %" in done.stdout
    for rule in {row["rule"] for row in sheet}:
        assert rule in done.stdout


def test_a_sheet_that_is_not_judged_says_which_mark(folder: Path, sheet: list[dict[str, str]]) -> None:
    one = _judge(folder, "one.csv", sheet, ["u"] * 12)
    two = _judge(folder, "two.csv", sheet, ["u"] * 10 + ["", "maybe"])
    done = call(["limberleaf", "desk", "--agreement", one, two], folder)
    assert done.returncode != 0
    assert (
        "two.csv:12: mark 11: there is no verdict. Write u useful, n not useful, w wrong or harmful."
        in done.stderr
    )
    assert "two.csv:13: mark 12: “maybe” is no verdict." in done.stderr


def test_sheets_of_different_marks_are_refused(folder: Path, sheet: list[dict[str, str]]) -> None:
    one = _judge(folder, "one.csv", sheet, ["u"] * 12)
    two = _judge(folder, "two.csv", sheet[:11], ["u"] * 11)
    done = call(["limberleaf", "desk", "--agreement", one, two], folder)
    assert done.returncode != 0
    assert "do not hold the same marks (see mark 12)" in done.stderr


@pytest.mark.parametrize(("text", "told"), [("", "is missing"), ("a,b\r\n1,2\r\n", "is missing")])
def test_a_file_that_is_no_sheet_is_told(folder: Path, text: str, told: str) -> None:
    (folder / "none.csv").write_text(text, "utf-8")
    done = call(["limberleaf", "desk", "--agreement", "none.csv", "none.csv"], folder)
    assert done.returncode != 0
    assert told in done.stderr
    assert "Traceback" not in done.stderr


def test_a_clinic_switches_off_what_does_not_serve(folder: Path, sheet: list[dict[str, str]]) -> None:
    rule = sheet[0]["rule"]
    clinic = folder / "content/clinic.yml"
    before = clinic.read_text("utf-8")
    off = f"target_grade: 6, switched_off: [{{rule: {rule}, reason: Of no use to our editors.}}]"
    clinic.write_text(before.replace("target_grade: 6", off, 1), "utf-8")
    try:
        call(["limberleaf", "desk", "--marks", "without.csv", "--count", "1000"], folder)
        rows = csv.DictReader((folder / "without.csv").read_text("utf-8-sig").splitlines())
        assert rule not in {row["rule"] for row in rows}
        clinic.write_text(clinic.read_text("utf-8").replace(f"rule: {rule}", "rule: pasive"), "utf-8")
        done = call(["limberleaf", "check"], folder)
        assert "There is no reading rule “pasive” to switch off." in done.stdout
        assert "Did you mean “passive”?" in done.stdout
        assert done.returncode == 1
    finally:
        clinic.write_text(before, "utf-8")
