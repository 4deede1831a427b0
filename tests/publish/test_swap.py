"""A build lands whole or not at all."""

from __future__ import annotations

from pathlib import Path

import pytest

from limberleaf.output import MARK
from limberleaf.publish.swap import KeptFolder, landing, read_files, write_files


def tree(folder: Path) -> dict[str, str]:
    return {
        file.relative_to(folder).as_posix(): file.read_text("utf-8")
        for file in sorted(folder.rglob("*"))
        if file.is_file() and file.name != MARK
    }


def publish(site: Path, files: dict[str, str | bytes]) -> None:
    with landing(site) as fresh:
        write_files(files, fresh)


def test_a_finished_folder_takes_the_place_of_the_old_one(tmp_path: Path) -> None:
    site = tmp_path / "site"
    publish(site, {"old/index.html": "old"})
    with landing(site) as fresh:
        write_files({"new/index.html": "new"}, fresh)
        assert tree(site) == {"old/index.html": "old"}
    assert tree(site) == {"new/index.html": "new"}
    assert [path.name for path in tmp_path.iterdir()] == ["site"]


def test_a_kept_folder_goes_from_one_set_of_files_to_the_next_by_what_differs(tmp_path: Path) -> None:
    folder = KeptFolder(tmp_path)
    (tmp_path / "other.txt").write_text("not ours")
    folder.bring_to({"a/same.html": "same", "a/old.html": "old", "a/gone.html": "gone"})
    standing = (tmp_path / "a/same.html").stat().st_mtime_ns

    folder.bring_to({"a/same.html": "same", "a/old.html": b"new", "b/fresh.html": "fresh"})

    assert read_files(tmp_path) == {
        "a/old.html": b"new",
        "a/same.html": b"same",
        "b/fresh.html": b"fresh",
        "other.txt": b"not ours",
    }
    assert (tmp_path / "a/same.html").stat().st_mtime_ns == standing


def test_what_is_the_same_is_linked_and_the_published_folder_is_never_written_to(tmp_path: Path) -> None:
    site = tmp_path / "site"
    publish(site, {"same.html": "same", "other.html": "old"})
    before = (site / "same.html").stat().st_ino
    with landing(site) as fresh:
        write_files({"same.html": "same", "other.html": "new", "more.html": "more"}, fresh, published=site)
        assert tree(site) == {"other.html": "old", "same.html": "same"}
    assert tree(site) == {"more.html": "more", "other.html": "new", "same.html": "same"}
    assert (site / "same.html").stat().st_ino == before
    assert {file.stat().st_nlink for file in site.iterdir()} == {1}


def test_a_failure_leaves_the_published_folder_as_it_was(tmp_path: Path) -> None:
    site = tmp_path / "site"
    publish(site, {"old/index.html": "old"})
    with pytest.raises(RuntimeError), landing(site) as fresh:
        write_files({"half/index.html": "half"}, fresh)
        raise RuntimeError
    assert tree(site) == {"old/index.html": "old"}
    assert [path.name for path in tmp_path.iterdir()] == ["site"]
