"""Publishing, killed at each change of the disk in turn, on a disk that fills byte by byte, while files and clock move.

No shim and no debugger: the calls themselves are counted in a child process, which kills itself at the n-th (SIGKILL
cannot be caught, so nothing cleans up).
"""

from __future__ import annotations

import errno
import os
from pathlib import Path
from typing import IO

import pytest
from approved import record
from conftest import tree
from faults.conftest import Call
from faults.dying import killed
from faults.test_interrupted import attempts, publish

from limberleaf.output import MARK, write_atomically
from limberleaf.publish.swap import landing, write_files

OLD: dict[str, str | bytes] = {"index.html": "old", "a/index.html": "a", "same.css": "same"}
NEW: dict[str, str | bytes] = {"index.html": "new", "b/index.html": "b", "same.css": "same"}


def make_older(folder: Path) -> None:
    """Let two hours pass for the files of a folder."""
    for path in folder.iterdir():
        state = path.stat()
        os.utime(path, (state.st_atime, state.st_mtime - 7200))


def files_of(site: Path) -> dict[str, str]:
    return {path: data.decode() for path, data in tree(site).items() if path != MARK}


@pytest.mark.parametrize("fallback", [False, True])
def test_killed_at_whatever_call_the_site_is_whole_and_its_lock_is_never_behind_it(
    tmp_path: Path, fallback: bool
) -> None:
    """The n-th call for every n. Without an exchange of names the next build puts back what lay between two renames."""
    lock, site = tmp_path / "lock", tmp_path / "site"
    seen = set()
    for allowed in attempts():
        lock.write_text("old")
        with landing(site) as fresh:
            write_files(OLD, fresh)
        died = killed(site, lock, NEW, allowed, fallback=fallback)
        if not fallback:
            assert site.is_dir(), allowed
        with landing(site) as fresh:  # the next build: it clears up before it writes
            now = files_of(site)
            write_files(OLD, fresh)
        recorded = lock.read_text()
        make_older(tmp_path)
        write_atomically(lock, recorded.encode())
        assert now in (OLD, NEW), allowed
        assert lock.read_text() in ("old", "new"), allowed
        assert now == OLD or lock.read_text() == "new", allowed
        seen.add((now["index.html"], lock.read_text()))
        assert {path.name for path in tmp_path.iterdir()} == {"lock", "site"}, allowed
        if not died:
            break
    assert allowed > 15
    assert seen == {("old", "old"), ("old", "new"), ("new", "new")}


class FullFile:
    """A file opened by its number on a disk that fills."""

    def __init__(self, file: IO[bytes], disk: Filling) -> None:
        self._file, self._disk = file, disk

    def __enter__(self) -> FullFile:
        return self

    def __exit__(self, *_: object) -> None:
        self._file.close()

    def __getattr__(self, name: str) -> object:
        return getattr(self._file, name)

    def write(self, data: bytes) -> int:
        done = self._file.write(self._disk.taken(data))
        self._disk.refuse(data, done)
        return done


class Filling:
    """A disk with room for so many bytes: what fits is written, then it is full. A replaced file frees nothing."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, room: int) -> None:
        self.room, self.full = room, False
        write_bytes, write = Path.write_bytes, os.write

        def written(path: Path, data: bytes) -> int:
            done = write_bytes(path, self.taken(data))
            self.refuse(data, done)
            return done

        def wrote(handle: int, data: bytes) -> int:
            done = write(handle, self.taken(data))
            self.refuse(data, done)
            return done

        fdopen = os.fdopen

        def opened(handle: int, mode: str) -> IO[bytes]:
            file: IO[bytes] = fdopen(handle, mode, buffering=0)
            return FullFile(file, self)  # type: ignore[return-value]

        monkeypatch.setattr(Path, "write_bytes", written)
        monkeypatch.setattr(os, "write", wrote)
        monkeypatch.setattr(os, "fdopen", opened)

    def taken(self, data: bytes) -> bytes:
        fits = data[: self.room]
        self.room -= len(fits)
        return fits

    def refuse(self, data: bytes, done: int) -> None:
        if done < len(data):
            self.full = True
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


def test_a_disk_that_fills_at_whatever_byte_leaves_the_old_site(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    lock, site = tmp_path / "lock", tmp_path / "site"
    lock.write_text("old")
    with landing(site) as fresh:
        write_files(OLD, fresh)
    for room in attempts():
        with monkeypatch.context() as patched:
            disk = Filling(patched, room)
            failed = publish(site, lock, NEW)
        assert failed == disk.full
        assert (lock.read_text(), files_of(site)) == (("old", OLD) if failed else ("new", NEW)), room
        if not failed:
            break
        with landing(site) as fresh:  # the next build gets through and leaves nothing beside it
            write_files(OLD, fresh)
        assert sorted(path.name for path in tmp_path.iterdir()) == ["lock", "site"], room
    assert room > 10


# --- files and a clock that move --------------------------------------------------------------------------------

ENTRY = "content/exercises/knee/kn-02.yml"
PAGE = "site/kn-02/index.html"


def changed(text: str) -> str:
    assert "Lower your foot slowly." in text
    return text.replace("Lower your foot slowly.", "Lower your foot gently.")


def test_a_file_that_changes_while_it_is_read_is_published_by_the_next_build(
    clinic_folder: Path, call: Call, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Changed right after it was opened: what this build shows is one of the two texts, the next one shows the new."""
    from limberleaf.library import files

    entry = clinic_folder / ENTRY
    real = files._without_waiting

    def opened(path: str, flags: int) -> int:
        handle = real(path, flags)
        if Path(path).resolve() == entry.resolve() and "slowly." in entry.read_text("utf-8"):
            moved = entry.with_suffix(".new")
            moved.write_text(changed(entry.read_text("utf-8")), "utf-8")
            moved.replace(entry)
        return handle

    with monkeypatch.context() as patched:
        patched.setattr(files, "_without_waiting", opened)
        assert call("build", "--plain").exit_code == 0
    first = (clinic_folder / PAGE).read_text("utf-8")
    assert ("slowly." in first) != ("gently." in first)
    assert "gently." in entry.read_text("utf-8")
    record(clinic_folder / "content")
    assert call("build", "--plain").exit_code == 0
    assert "gently." in (clinic_folder / PAGE).read_text("utf-8")


def test_a_file_cut_short_in_mid_read_is_a_finding_or_whole_and_never_half_a_page(
    clinic_folder: Path, call: Call, monkeypatch: pytest.MonkeyPatch
) -> None:
    """An editor that empties a file before it fills it: the read meets what is there, at every tenth byte."""
    from limberleaf.library import load_library

    entry = clinic_folder / ENTRY
    text = entry.read_bytes()
    whole = load_library(clinic_folder / "content").exercises["kn-02"].entry
    for size in range(0, len(text), max(1, len(text) // 40)):
        entry.write_bytes(text[:size])
        library = load_library(clinic_folder / "content")
        said = [found for found in library.findings if found.place.path.endswith("kn-02.yml")]
        read = library.exercises.get("kn-02")
        assert said or (read is not None and read.entry.steps == whole.steps[: len(read.entry.steps)]), size


@pytest.mark.parametrize("clock", ["a day back", "the very time it had", "a year ahead"])
def test_an_edit_is_seen_whatever_the_clock_says(clinic_folder: Path, call: Call, clock: str) -> None:
    """A copy may keep the time of writing (cp -p, a backup, a clock set back); the new text is as long as the old."""
    page = clinic_folder / "content/pages/about.md"
    before = page.stat()
    assert call("build").exit_code == 0
    text = page.read_text("utf-8")
    word = next(word for word in text.split() if len(word) == 6 and word.isalpha() and word.islower())
    page.write_text(text.replace(word, "zzzzzz"), "utf-8")
    assert page.stat().st_size == before.st_size
    day = 86_400 * 10**9
    moved = (
        before.st_mtime_ns + {"a day back": -day, "the very time it had": 0, "a year ahead": 365 * day}[clock]
    )
    os.utime(page, ns=(moved, moved))
    record(clinic_folder / "content")
    assert call("build").exit_code == 0
    assert "zzzzzz" in (clinic_folder / "site/about/index.html").read_text("utf-8")
