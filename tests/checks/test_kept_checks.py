"""After each edit the checks over a store find what they find on a folder they have never seen."""

from __future__ import annotations

import re
import shutil
import sqlite3
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from unittest.mock import patch

import pytest
from approved import starter_files

from limberleaf.checks import check_without_drawing
from limberleaf.findings import in_order
from limberleaf.library import load_library, loaded
from limberleaf.library.load import ReadCache
from limberleaf.publish.compose import SiteBuilder
from limberleaf.store import FILE, Store, results

TODAY = date(2026, 11, 25)
EDITS = (
    ("exercises/knee/kn-02.yml", r"Hold while", "Push hard while"),
    ("exercises/knee/kn-02.yml", r"^title: .*$", "title: Click"),
    ("exercises/knee/kn-01.yml", r"^kind: .*$", "kind: balance"),
    ("exercises/knee/kn-01.yml", r"^status: .*$", "status: draft"),
    ("exercises/knee/kn-01.yml", r"^status: .*$", "status: approved"),
    ("exercises/knee/kn-02.yml", r"^aim: .*$", "aim: See [[kn-01]] and [[kn-77]]."),
    ("ladders/knee-first-steps.yml", r"^title: .*$", "title: Stand for 900 seconds"),
    ("ladders/knee-first-steps.yml", r"exercise: kn-01", "exercise: kn-99"),
    ("collections/*.yml", r"^ladders: .*$", "ladders: []"),
    ("clinic.yml", r"01632 960\d\d\d", "01632 960 1"),
    ("exercises/knee/kn-02.yml", r"^title: .*$", "title: Straighten your knee"),
)


@pytest.fixture
def content(tmp_path: Path) -> Path:
    for path, text in starter_files().items():
        file = tmp_path / path
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(text, "utf-8")
    return tmp_path / "content"


@pytest.fixture(autouse=True)
def files_settle_at_once() -> Iterator[None]:
    """Let a file be known by its stamp as soon as it is read; a second edit in the same instant changes its size."""
    with patch.object(loaded, "JUST_NOW", 0):
        yield


def lines(content: Path, store: Store) -> list[str]:
    library = load_library(content, ReadCache(store))
    found = [str(one) for one in in_order(check_without_drawing(library, TODAY, store))]
    store.save()
    return found


def test_each_edit_gives_what_a_fresh_look_gives(content: Path, tmp_path: Path) -> None:
    seen = [lines(content, Store(tmp_path / "results.sqlite"))]
    for pattern, find, put in EDITS:
        for file in content.glob(pattern):
            file.write_text(re.sub(find, put, file.read_text("utf-8"), count=1, flags=re.M), "utf-8")
        seen.append(lines(content, Store(tmp_path / "results.sqlite")))
        assert seen[-1] == lines(content, Store()), (pattern, put)
    assert len({tuple(one) for one in seen}) > len(EDITS) // 2, "the edits are there to be found"


def test_an_edit_of_one_entry_reads_what_reads_it_and_nothing_else(content: Path, tmp_path: Path) -> None:
    copied = (content / "exercises/knee/kn-02.yml").read_text("utf-8").replace("kn-02", "kn-03")
    (content / "exercises/knee/kn-03.yml").write_text(copied, "utf-8")
    for _ in range(2):
        lines(content, Store(tmp_path / "results.sqlite"))
    file = content / "exercises/knee/kn-02.yml"
    file.write_text(file.read_text("utf-8").replace("Hold while", "Stay still while"), "utf-8")
    store = Store(tmp_path / "results.sqlite")
    library = load_library(content, ReadCache(store))
    check_without_drawing(library, TODAY, store)
    made = {code for code, one in library.exercises.items() if "entry" in vars(one)}
    assert "kn-02" in made
    assert "kn-03" not in made


def test_a_file_that_changes_while_it_is_read_is_said(content: Path, tmp_path: Path) -> None:
    for _ in range(2):
        lines(content, Store(tmp_path / "results.sqlite"))
    library = load_library(content, ReadCache(Store(tmp_path / "results.sqlite")))
    file = content / "exercises/knee/kn-02.yml"
    file.write_text(file.read_text("utf-8") + "\n", "utf-8")
    with pytest.raises(Exception, match="was changed while it was being read"):
        _ = library.exercises["kn-02"].source.text


LOSSES = {
    "all readers": "DELETE FROM results WHERE kind = 'readers'",
    "readers of one": "DELETE FROM results WHERE kind = 'readers' AND key LIKE '%exercises kn-01'",
    "a damaged row": "UPDATE results SET value = '{}' WHERE kind = 'readers' AND key LIKE '%exercises kn-01'",
    "the state": "DELETE FROM results WHERE kind = 'jobs'",
    "a damaged state": "UPDATE results SET value = '{}' WHERE kind = 'jobs'",
}


def change(content: Path, path: str, find: str, put: str) -> None:
    text = (content / path).read_text("utf-8")
    assert find in text
    (content / path).write_text(text.replace(find, put, 1), "utf-8")


def withdraw(content: Path) -> None:
    """Take an exercise out of the site to which others link."""
    change(content, "exercises/knee/kn-01.yml", "status: approved", "status: draft")


def lose(file: Path, how: str) -> None:
    with sqlite3.connect(file) as database:
        assert database.execute(how).rowcount
    database.close()


@pytest.mark.parametrize("what", LOSSES)
def test_a_store_that_lost_rows_still_gives_every_finding(content: Path, tmp_path: Path, what: str) -> None:
    lines(content, Store(tmp_path / FILE))
    lose(tmp_path / FILE, LOSSES[what])
    withdraw(content)
    found = lines(content, Store(tmp_path / FILE))
    assert sum("not-published" in line for line in found) > 1
    assert found == lines(content, Store())


def test_a_store_that_dropped_its_oldest_rows_still_gives_every_finding(
    content: Path, tmp_path: Path
) -> None:
    lines(content, Store(tmp_path / FILE))
    other = Store(tmp_path / FILE)
    other.keep({"other": "work"})
    other.save()
    with patch.object(results, "_REFRESH", 0):  # a run that finds nothing changed asks for the state alone
        lines(content, Store(tmp_path / FILE, most_bytes=1))
    assert Store(tmp_path / FILE).all_of("jobs")
    assert not any(key.endswith("exercises kn-01") for key in Store(tmp_path / FILE).all_of("readers"))
    withdraw(content)
    assert lines(content, Store(tmp_path / FILE)) == lines(content, Store())


@pytest.mark.parametrize("path", ["exercises/knee/kn-02.yml", "clinic.yml"])
def test_a_program_that_saves_last_what_it_read_first_hides_nothing(
    content: Path, tmp_path: Path, path: str
) -> None:
    lines(content, Store(tmp_path / FILE))
    change(content, "exercises/knee/kn-02.yml", "Hold while", "Stay still while")
    slow = Store(tmp_path / FILE)
    library = load_library(content, ReadCache(slow))
    if path == "clinic.yml":
        file = content / path
        file.write_text(re.sub(r"01632 960\d\d\d", "01632 960 1", file.read_text("utf-8")), "utf-8")
    check_without_drawing(library, TODAY, slow)
    if path != "clinic.yml":
        withdraw(content)
        lines(content, Store(tmp_path / FILE))
    slow.save()
    fresh = lines(content, Store())
    assert lines(content, Store(tmp_path / FILE)) == fresh
    assert lines(content, Store(tmp_path / FILE)) == fresh, "nor in the run after"


def test_a_site_with_a_link_to_nowhere_is_not_built_whatever_the_store_lost(
    content: Path, tmp_path: Path, kept_results: Path
) -> None:
    cache = Path(shutil.copytree(kept_results, tmp_path / "kept"))
    lines(content, Store(cache / FILE))
    lose(cache / FILE, LOSSES["readers of one"])
    withdraw(content)
    composition, findings = SiteBuilder(content, cache).compose(TODAY)
    assert composition is None
    assert "not-published" in {one.code for one in findings if one.severity == "error"}
