"""A build lands whole or not at all."""

from __future__ import annotations

from pathlib import Path

import pytest

from generator.publish.swap import landing, write_files


def tree(folder: Path) -> dict[str, str]:
    return {
        file.relative_to(folder).as_posix(): file.read_text("utf-8")
        for file in sorted(folder.rglob("*"))
        if file.is_file()
    }


def test_a_finished_folder_takes_the_place_of_the_old_one(tmp_path: Path) -> None:
    site = tmp_path / "site"
    write_files({"old/index.html": "old"}, site)
    with landing(site) as fresh:
        write_files({"new/index.html": "new"}, fresh)
        assert tree(site) == {"old/index.html": "old"}
    assert tree(site) == {"new/index.html": "new"}
    assert [path.name for path in tmp_path.iterdir()] == ["site"]


def test_a_failure_leaves_the_published_folder_as_it_was(tmp_path: Path) -> None:
    site = tmp_path / "site"
    write_files({"old/index.html": "old"}, site)
    with pytest.raises(RuntimeError), landing(site) as fresh:
        write_files({"half/index.html": "half"}, fresh)
        raise RuntimeError
    assert tree(site) == {"old/index.html": "old"}
    assert [path.name for path in tmp_path.iterdir()] == ["site"]
