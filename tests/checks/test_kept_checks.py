"""After each edit the checks over a store find what they find on a folder they have never seen."""

from __future__ import annotations

import re
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
from limberleaf.store import Store

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
