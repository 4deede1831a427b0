"""What an entry was before: versions from git, the band over them, and the wording side by side."""

from __future__ import annotations

import shutil
from datetime import date
from pathlib import Path

import pytest
from desk.conftest import TODAY, entry_of, page
from desk.hard_library import ENTRY, git, hard_library, write_starter
from desk.html_help import section, tree, words
from hypothesis import given
from hypothesis import strategies as st

from limberleaf.clinical.governance.approval import lock_text
from limberleaf.desk.git import Checkout
from limberleaf.desk.live_desk import LiveDesk
from limberleaf.desk.read.changes import word_parts
from limberleaf.desk.site import Desk
from limberleaf.store import Store

HARD = "exercises/kn-02.html"


def desk_of(folder: Path, store: Store) -> Desk:
    return LiveDesk(folder / "content", store, lambda: TODAY).desk()


def test_the_history_lists_each_version_with_its_band(desk: Desk) -> None:
    past = desk.view(entry_of(desk, "kn-02")).past
    assert [(one.day, one.version, one.approved, one.subject) for one in past.versions] == [
        (date(2026, 10, 5), 2, False, "Add more detail"),
        (date(2026, 9, 2), 2, True, "Say it plainly"),
        (date(2024, 3, 2), 1, True, "Take over the leaflet"),
    ]
    newest, plain, first = (one.sum for one in past.versions)
    assert newest and plain and first
    assert plain.marks == 0
    assert plain.hard_words < newest.hard_words < first.hard_words
    assert first.grade and newest.grade and first.grade[1] >= newest.grade[1]
    assert past.track is not None
    assert [point.approved for point in past.track.points] == [True, True, False]


def test_what_changed_since_the_approval_is_shown_side_by_side(desk: Desk) -> None:
    html = page(desk, HARD)
    text = section(html, "What changed since it was approved")
    assert "Since version 2, committed on 2 September 2026" in text
    row = next(words(one) for one in tree(html).iter("tr") if "Lift the foot" in words(one))
    assert row.startswith("Do it")
    assert "Lift the foot of your stiff leg until the knee is almost straight." in row
    assert "Gradually extend the stiff knee against gravity" in row
    gone = [words(one) for one in tree(html).iter("del")]
    come = [words(one) for one in tree(html).iter("ins")]
    assert any("straight" in one for one in gone)
    assert any("approximately" in one for one in come)
    assert "dose: {sets: 3, repetitions: 8-12" in text
    assert "dose: {sets: 2, repetitions: 8-12" in text


def test_an_unchanged_entry_says_so_and_shows_what_its_approval_changed(tmp_path: Path, store: Store) -> None:
    folder = hard_library(tmp_path)
    git(folder, "checkout", "--quiet", "HEAD~1", "--", "content")
    text = section(page(desk_of(folder, store), HARD), "What changed since it was approved")
    assert "Nothing has changed since version 2 was approved (reviewed 1 September 2026)." in text
    assert "What that approval changed against version 1" in text
    assert "facilitates the progressive restoration" in text


def test_an_edit_that_is_not_committed_is_a_version_of_its_own(tmp_path: Path, store: Store) -> None:
    folder = hard_library(tmp_path)
    file = folder / ENTRY
    file.write_text(file.read_text("utf-8").replace("Lower your foot slowly.", "Lower your foot."), "utf-8")
    text = section(page(desk_of(folder, store), HARD), "History of the reading level")
    assert "Not committed yet" in text


def test_a_file_keeps_its_history_when_it_moves(tmp_path: Path, store: Store) -> None:
    folder = hard_library(tmp_path)
    (folder / "content/exercises/legs").mkdir()
    git(folder, "checkout", "--quiet", "--", "content")
    git(folder, "mv", ENTRY, "content/exercises/legs/kn-02.yml")
    git(folder, "commit", "--quiet", "--message=Move it", day="2026-11-01")
    versions = desk_of(folder, store).view(entry_of(desk_of(folder, store), "kn-02")).past.versions
    assert [one.subject for one in versions] == ["Add more detail", "Say it plainly", "Take over the leaflet"]


def test_a_commit_that_is_no_entry_is_counted_not_hidden(tmp_path: Path, store: Store) -> None:
    folder = hard_library(tmp_path)
    file = folder / ENTRY
    good = file.read_text("utf-8")
    file.write_text("title: [broken\n", "utf-8")
    git(folder, "commit", "--quiet", "--all", "--message=Break it", day="2026-11-01")
    file.write_text(good, "utf-8")
    text = section(page(desk_of(folder, store), HARD), "History of the reading level")
    assert "1 commit cannot be read as an entry today" in text


def test_without_a_checkout_the_desk_says_so(tmp_path: Path, store: Store) -> None:
    write_starter(tmp_path)
    (tmp_path / "content/approved.lock").unlink()
    text = section(page(desk_of(tmp_path, store), HARD), "History of the reading level")
    assert text.endswith("The content folder is not a git checkout.")
    assert "So nothing can be compared." in section(
        page(desk_of(tmp_path, store), HARD), "What changed since it was approved"
    )


def test_without_git_the_desk_says_so(tmp_path: Path, store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    hard_library(tmp_path)
    monkeypatch.setenv("PATH", str(tmp_path / "nothing"))
    text = section(page(desk_of(tmp_path, store), HARD), "History of the reading level")
    assert text.endswith("git is not installed on this machine.")


def test_a_fresh_file_has_no_history_yet(tmp_path: Path, store: Store) -> None:
    folder = hard_library(tmp_path)
    shutil.copy(folder / "content/cautions/hot-knee.yml", folder / "content/cautions/warm-knee.yml")
    file = folder / "content/cautions/warm-knee.yml"
    file.write_text(file.read_text("utf-8").replace("id: hot-knee", "id: warm-knee"), "utf-8")
    text = section(page(desk_of(folder, store), "cautions/warm-knee.html"), "History of the reading level")
    assert "This file is not committed yet" in text


def test_the_lock_tells_a_minor_from_a_major_edit_without_git(tmp_path: Path, store: Store) -> None:
    plain = write_starter(tmp_path)
    desk = desk_of(tmp_path, store)
    (tmp_path / "content/approved.lock").write_text(lock_text(desk.library, None), "utf-8")
    text = section(page(desk_of(tmp_path, store), HARD), "What changed since it was approved")
    assert "Against the recorded approval: nothing has changed." in text
    (tmp_path / ENTRY).write_text(
        plain.replace("Hold while you count to {hold_count}.", "Hold for a while."), "utf-8"
    )
    text = section(page(desk_of(tmp_path, store), HARD), "What changed since it was approved")
    assert "a major edit of steps" in text


def test_names_of_files_are_never_taken_for_options(tmp_path: Path) -> None:
    """A file may be called anything; git must read it as a path (gitglossary, pathspec magic)."""
    write_starter(tmp_path)
    git(tmp_path, "init", "--quiet")
    git(tmp_path, "add", "--all")
    git(tmp_path, "commit", "--quiet", "--message=Begin")
    checkout = Checkout.of(tmp_path / "content")
    for name in ("--output=gotcha", ":(top)*", "*", "-p", "../content"):
        assert len(checkout.revisions(name)) <= 1
    assert not (tmp_path / "content/gotcha").exists()
    assert checkout.revisions("*") == []


@given(st.text(max_size=60), st.text(max_size=60))
def test_a_comparison_loses_no_letter(before: str, after: str) -> None:
    left, right = word_parts(before, after)
    assert "".join(part.text for part in left) == before
    assert "".join(part.text for part in right) == after
    assert [part.text for part in left if part.kind == "same"] == [
        part.text for part in right if part.kind == "same"
    ]
