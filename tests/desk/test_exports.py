"""What other programs take: the overview as CSV and JSON, pages in a folder, the baseline of `check`."""

from __future__ import annotations

import csv
import json
import shutil
from pathlib import Path

import pytest
from approved import record
from conftest import call, run
from desk.conftest import TODAY
from desk.hard_library import ENTRY, hard_library, hard_text, write_starter
from desk.html_help import tree

from limberleaf.desk.site import Desk, desk_files
from limberleaf.publish.plain import write_site

DAY = ("--today", TODAY.isoformat())


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory, kept_results: Path) -> Path:
    folder = hard_library(tmp_path_factory.mktemp("exports"))
    shutil.copytree(kept_results, folder / kept_results.name)
    return folder


def test_csv_and_json_tell_the_same(folder: Path) -> None:
    for name in ("overview.csv", "overview.json"):
        done = call(["limberleaf", "desk", *DAY, "--export", name], folder)
        assert done.returncode == 0, done.stderr
        assert f"7 pages in {name}" in done.stdout
    data = (folder / "overview.csv").read_bytes()
    assert data.count(b"\r\n") == 8, "RFC 4180, 2: records end with CRLF"
    rows = list(csv.DictReader(data.decode().splitlines()))
    exported = json.loads((folder / "overview.json").read_text("utf-8"))
    assert (exported["today"], exported["target_grade"]) == ("2026-11-25", 6)
    assert [row["name"] for row in rows] == [one["name"] for one in exported["pages"]]
    for row, one in zip(rows, exported["pages"], strict=True):
        assert set(row) == set(one)
        for name, value in one.items():
            expected = " ".join(value) if isinstance(value, list) else "" if value is None else str(value)
            assert row[name] == expected
    hard = next(one for one in exported["pages"] if one["name"] == "kn-02")
    assert hard["status"] == "in_review"
    assert hard["due"] == "2028-09-01"
    assert hard["days_left"] == 646
    assert hard["review_state"] == "current"
    assert hard["collections"] == ["stiff-knee"]
    assert hard["age_low"] == hard["grade_low"] + 5
    assert hard["warnings"] + hard["notes"] + hard["errors"] >= hard["marks"]
    assert exported["totals"]["pages"] == 7
    assert exported["totals"]["words"] == sum(one["words"] for one in exported["pages"])


def test_a_title_is_never_a_formula(desk: Desk) -> None:
    """OWASP, CSV Injection: a cell beginning with = + - or @ is run by spreadsheets."""
    from limberleaf.desk.read.export import as_csv

    one = desk.overview.rows[0]
    risky = type(one)(
        **{**vars(one), "entry": type(one.entry)(**{**vars(one.entry), "title": '=HYPERLINK("x")'})}
    )
    view = type(desk.overview)(**{**vars(desk.overview), "rows": (risky,)})
    row = next(csv.DictReader(as_csv(view).splitlines()))
    assert row["title"] == '\'=HYPERLINK("x")'


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (("--export", "overview.xlsx"), "must end in .csv or .json"),
        (("--export", "nowhere/overview.csv"), "There is no folder nowhere"),
        (("--content", "nothing", "--export", "o.csv"), "There is no library in nothing"),
        (("--output", "content"), "holds the entries"),
    ],
)
def test_what_cannot_be_written_is_reported(folder: Path, arguments: tuple[str, ...], message: str) -> None:
    done = call(["limberleaf", "desk", *DAY, *arguments], folder)
    assert done.returncode == 1
    assert message in done.stderr
    assert "Traceback" not in done.stderr
    assert (folder / "content/clinic.yml").exists()


def test_pages_in_a_folder_open_from_disk_without_the_try_out_box(folder: Path) -> None:
    for _ in range(2):  # the second time over the first
        done = call(["limberleaf", "desk", *DAY, "--output", "desk-copy"], folder)
        assert done.returncode == 0, done.stderr
    copy = folder / "desk-copy"
    assert (copy / "index.html").exists()
    assert not (copy / "try.html").exists()
    for file in copy.rglob("*.html"):
        html = file.read_text("utf-8")
        assert "try-text" not in html
        for one in tree(html).iter():
            link = (one.get("href") or one.get("src") or "").partition("#")[0]
            assert not link or (file.parent / link).is_file(), (file, link)


def test_the_same_library_gives_the_same_files(desk: Desk) -> None:
    one = desk_files(desk.library, desk.findings, TODAY)
    assert one == desk_files(desk.library, desk.findings, TODAY)
    assert {"index.html", "exercises/kn-02.html", "exercises/kn-02.sign-off.html", "assets/desk.css"} <= set(
        one
    )


def test_a_published_build_holds_nothing_of_the_desk(starter: Path) -> None:
    assert run(["limberleaf", "build"], starter).returncode == 0
    write_site(starter / "content", starter / "plain", today=TODAY, cache=None)
    for site in (starter / "site", starter / "plain"):
        files = [file for file in site.rglob("*") if file.is_file()]
        assert len(files) > 20
        assert not [file for file in files if "desk" in file.relative_to(site).as_posix()]
        assert not [file for file in files if b"editor\xe2\x80\x99s desk" in file.read_bytes()]


# --- the baseline of `limberleaf check` --------------------------------------------------------------------------


@pytest.fixture
def old(tmp_path: Path, kept_results: Path) -> Path:
    """An old library with hard wording in an approved entry, and its baseline."""
    plain = write_starter(tmp_path)
    shutil.copytree(kept_results, tmp_path / kept_results.name)
    (tmp_path / ENTRY).write_text(hard_text(plain), "utf-8")
    record(tmp_path / "content")
    done = call(["limberleaf", "check", *DAY, "--write-baseline", "known.txt"], tmp_path)
    assert done.returncode == 0, done.stderr
    return tmp_path


def check(folder: Path, *arguments: str) -> tuple[int, str, str]:
    record(folder / "content")
    done = call(["limberleaf", "check", *DAY, "--strict", *arguments], folder)
    return done.returncode, done.stdout, done.stderr


def test_an_old_library_fails_only_on_what_is_new(old: Path) -> None:
    assert check(old)[0] == 1
    code, output, beside = check(old, "--baseline", "known.txt")
    assert (code, output) == (0, "No findings.\n")
    assert "findings are in the baseline" in beside
    file = old / ENTRY
    text = file.read_text("utf-8")
    file.write_text("# moved down\n\n" + text.replace("steps:\n", "steps:\n\n"), "utf-8")
    assert check(old, "--baseline", "known.txt")[0] == 0, "lines that moved bring nothing back"
    worse = text.replace(
        "  - Hold while you count to {hold_count}.", "  - The foot is held up by the musculature for 3."
    )
    file.write_text(worse, "utf-8")
    code, output, _ = check(old, "--baseline", "known.txt")
    assert code == 1
    assert "musculature" in output
    assert "approximately" not in output


def test_what_was_fixed_is_counted(old: Path) -> None:
    file = old / ENTRY
    file.write_text(
        file.read_text("utf-8").replace("The knee should not be forced.", "Do not force your knee."), "utf-8"
    )
    code, _, beside = check(old, "--baseline", "known.txt")
    assert code == 0
    assert "1 of it fixed since" in beside


def test_the_same_mistake_once_more_is_new(old: Path) -> None:
    file = old / ENTRY
    line = "  - The knee should not be forced.\n"
    file.write_text(file.read_text("utf-8").replace(line, line * 2), "utf-8")
    code, output, _ = check(old, "--baseline", "known.txt", "--format", "json")
    assert len([one for one in json.loads(output) if one["code"] == "passive"]) == 1
    assert code == 0, "a note alone does not fail"


@pytest.mark.parametrize(("text", "message"), [(None, "makes it"), ("nonsense\n", "line 1 is no finding")])
def test_a_baseline_that_cannot_be_used_is_reported(old: Path, text: str | None, message: str) -> None:
    if text is not None:
        (old / "bad.txt").write_text(text, "utf-8")
    code, _, beside = check(old, "--baseline", "bad.txt")
    assert code == 1
    assert message in beside
    assert "Traceback" not in beside
