"""A build that is stopped, refused by the disk, or run beside another loses nothing and says what is true."""

from __future__ import annotations

import errno
import multiprocessing
import os
import signal
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from approved import record
from conftest import tree
from faults.conftest import TODAY, Call

from limberleaf.cli import main
from limberleaf.output import MARK, OutputError
from limberleaf.publish import plain, swap
from limberleaf.publish.plain import write_site
from limberleaf.publish.swap import Landing, landing, write_files


def build(folder: Path, site: str = "site") -> list[str]:
    _, findings = write_site(folder / "content", folder / site, today=TODAY, cache=folder / ".limberleaf")
    return [found.code for found in findings if found.severity == "error"]


def beside(folder: Path) -> list[str]:
    """Name what lies beside the site that a person did not put there."""
    return sorted(path.name for path in folder.iterdir() if path.name.startswith(".site"))


def edit(folder: Path) -> None:
    """Make the next build differ: a page and a new address."""
    about = folder / "content/pages/about.md"
    about.with_name("more.md").write_text(
        about.read_text("utf-8").replace("title: ", "title: More, "), "utf-8"
    )
    record(folder / "content")


# --- the disk refuses: every call of the publishing step in turn ------------------------------------------------


class Refusing:
    """Lets `allowed` changes of the disk through and refuses the next with `number`; counts them all."""

    CALLS = ("open", "write", "fsync", "rename", "replace", "mkdir", "link", "chmod", "unlink", "rmdir")

    def __init__(self, monkeypatch: pytest.MonkeyPatch, allowed: int, number: int, *, lasting: bool) -> None:
        self.count, self.refused = 0, ""
        self._allowed, self._number, self._lasting = allowed, number, lasting
        for name in self.CALLS:
            monkeypatch.setattr(os, name, self._wrapped(name, getattr(os, name)))
        real = swap._exchange

        def exchange(one: Path, other: Path) -> bool:
            self._ask("exchange")
            return real(one, other)

        monkeypatch.setattr(swap, "_exchange", exchange)
        write_bytes = Path.write_bytes

        def written(path: Path, data: bytes) -> int:
            self._ask("write_bytes")
            return write_bytes(path, data)

        monkeypatch.setattr(Path, "write_bytes", written)

    def _ask(self, name: str) -> None:
        self.count += 1
        if self.count == self._allowed + 1 or (self._lasting and self.count > self._allowed):
            self.refused = self.refused or name
            raise OSError(self._number, os.strerror(self._number))

    def _wrapped(self, name: str, real: Callable[..., object]) -> Callable[..., object]:
        def call(*given: object, **more: object) -> object:
            if name == "open" and not (int(given[1]) & (os.O_WRONLY | os.O_RDWR)):  # type: ignore[call-overload]
                return real(*given, **more)
            self._ask(name)
            return real(*given, **more)

        return call


def attempts() -> Iterator[int]:
    """Count up; the test ends it by returning when nothing was refused any more."""
    yield from range(100_000)


@pytest.mark.parametrize("fallback", [False, True])
@pytest.mark.parametrize("number", [errno.ENOSPC, errno.EACCES])
def test_whatever_call_the_disk_refuses_site_and_lock_are_both_old_or_both_new(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, number: int, fallback: bool
) -> None:
    """A small site: each call that changes the disk is refused once, the n-th for every n until none is left."""
    lock, site = tmp_path / "lock", tmp_path / "site"
    old: dict[str, str | bytes] = {"index.html": "old", "a/index.html": "a", "same.css": "same"}
    new: dict[str, str | bytes] = {"index.html": "new", "b/index.html": "b", "same.css": "same"}
    refused = set()
    for allowed in attempts():
        lock.write_text("old")
        with landing(site) as fresh:
            write_files(old, fresh)
        with monkeypatch.context() as patched:
            if fallback:
                patched.setattr(swap, "_exchange", lambda *_: False)
            disk = Refusing(patched, allowed, number, lasting=False)
            failed = publish(site, lock, new)
        refused.add(disk.refused)
        published = {path: data.decode() for path, data in tree(site).items() if path != MARK}
        state = (lock.read_text(), published)
        assert state == (("old", old) if failed else ("new", new)), (allowed, disk.refused)
        with landing(site) as fresh:  # and the next build gets through and leaves nothing beside it
            write_files(new, fresh)
        assert sorted(path.name for path in tmp_path.iterdir()) == ["lock", "site"], (allowed, disk.refused)
        if not disk.refused:
            break
    assert {"exchange", "fsync", "replace", "write_bytes", "mkdir"} <= refused


def publish(site: Path, lock: Path, files: dict[str, str | bytes]) -> bool:
    """Publish with a lock as a build does; tell whether it failed."""
    from limberleaf.output import write_atomically

    def replaced() -> Callable[[], None]:
        write_atomically(lock, b"new")
        return lambda: write_atomically(lock, b"old")

    try:
        with Landing(site) as one:
            write_files(files, one.fresh, published=one.target)
            one.land(replaced)
    except (OSError, OutputError):
        return True
    return False


# --- locks before the site --------------------------------------------------------------------------------------


def test_a_lock_that_cannot_be_written_stops_the_build_before_the_site_changes(
    clinic_folder: Path, call: Call, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert build(clinic_folder) == []
    edit(clinic_folder)
    before = tree(clinic_folder / "site"), tree(clinic_folder / "content")
    real = os.replace

    def refuse(source: str | Path, target: str | Path) -> None:
        if Path(target).name == "addresses.lock":
            raise PermissionError(errno.EACCES, "Permission denied", str(target))
        real(source, target)

    monkeypatch.setattr(os, "replace", refuse)
    result = call("build")
    assert result.exit_code == 1
    assert "addresses.lock: Permission denied" in result.output
    assert (tree(clinic_folder / "site"), tree(clinic_folder / "content")) == before


def test_a_lock_that_changes_while_the_site_is_made_is_not_overwritten(
    clinic_folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert build(clinic_folder) == []
    edit(clinic_folder)
    lock = clinic_folder / "content/addresses.lock"
    before = tree(clinic_folder / "site")

    def meanwhile(*given: object, **more: object) -> None:
        lock.write_text(lock.read_text("utf-8") + "/old/ redirect /kn-01/\n", "utf-8")

    monkeypatch.setattr("limberleaf.publish.plain.write_files", meanwhile)
    with pytest.raises(OutputError, match="changed while"):
        build(clinic_folder)
    assert lock.read_text("utf-8").endswith("/old/ redirect /kn-01/\n")
    assert tree(clinic_folder / "site") == before


# --- another build, a dead build --------------------------------------------------------------------------------


def test_a_second_build_is_refused_with_the_number_of_the_first(clinic_folder: Path, call: Call) -> None:
    with Landing(clinic_folder / "site"):
        result = call("build")
    assert result.exit_code == 1
    assert f"process {os.getpid()}" in result.output
    assert call("build").exit_code == 0


def dying(folder: Path, when: str, number: signal.Signals) -> int:
    """Run a build in a child process that is sent a signal at a point of it; give the child's exit code."""

    def child() -> None:
        def die(*given: object, **more: object) -> None:
            os.kill(os.getpid(), number)

        if when == "writing":
            plain.write_files = die  # type: ignore[assignment]
        elif when == "swapped":
            swap.output.remove_ours = die  # type: ignore[attr-defined]
        else:
            swap._exchange = lambda *_: False  # type: ignore[assignment]
            real = Path.rename

            def rename(path: Path, target: Path) -> Path:
                if "-fresh-" in path.name:
                    die()
                return real(path, target)

            Path.rename = rename  # type: ignore[method-assign, assignment]
        main(["build", "--plain"])

    process = multiprocessing.get_context("fork").Process(target=child)
    process.start()
    process.join()
    assert process.exitcode is not None
    return process.exitcode


@pytest.mark.parametrize("when", ["writing", "between", "swapped"])
def test_after_a_kill_the_next_build_clears_up_and_says_so(
    clinic_folder: Path, call: Call, when: str
) -> None:
    assert build(clinic_folder) == []
    edit(clinic_folder)
    old = tree(clinic_folder / "site")
    assert dying(clinic_folder, when, signal.SIGKILL) == -signal.SIGKILL
    assert beside(clinic_folder) != []
    assert (clinic_folder / "site").exists() == (when != "between")
    broken = clinic_folder / "content/clinic.yml"
    text = broken.read_text("utf-8")
    broken.write_text("", "utf-8")
    assert call("build").exit_code == 1, "even a build that fails puts the site back"
    if when != "swapped":
        assert tree(clinic_folder / "site") == old
    assert beside(clinic_folder) == []
    broken.write_text(text, "utf-8")
    assert call("build").exit_code == 0
    assert (clinic_folder / "site/more/index.html").is_file()


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT])
@pytest.mark.parametrize("when", ["writing", "between"])
def test_a_build_that_is_asked_to_stop_leaves_no_trace(
    clinic_folder: Path, number: signal.Signals, when: str
) -> None:
    assert build(clinic_folder) == []
    edit(clinic_folder)
    before = tree(clinic_folder / "site"), tree(clinic_folder / "content")
    assert dying(clinic_folder, when, number) in (1, 128 + number)
    assert beside(clinic_folder) == []
    assert (tree(clinic_folder / "site"), tree(clinic_folder / "content")) == before


def test_somebody_elses_folders_with_such_names_stay(clinic_folder: Path) -> None:
    for name in (".site-fresh-abcdefgh", ".site-old-abcdefgh", ".site-old-of-mine"):
        (clinic_folder / name).mkdir()
        (clinic_folder / name / "diary.txt").write_text("mine", "utf-8")
    assert build(clinic_folder) == []
    assert len(beside(clinic_folder)) == 3


def test_a_mean_umask_makes_no_site_that_a_web_server_cannot_read(clinic_folder: Path) -> None:
    before = os.umask(0o077)
    try:
        assert build(clinic_folder) == []
    finally:
        os.umask(before)
    for path in (clinic_folder / "site", *(clinic_folder / "site").rglob("*")):
        wanted = 0o555 if path.is_dir() else 0o444
        assert path.stat().st_mode & wanted == wanted, path


def test_there_is_no_instant_without_a_site_where_names_can_be_exchanged(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """renameat2(2), RENAME_EXCHANGE: both names exist throughout; a plain rename of the site is never asked for."""
    site = tmp_path / "site"
    for text in ("one", "two"):
        with landing(site) as fresh:
            write_files({"index.html": text}, fresh)
        monkeypatch.setattr(Path, "rename", lambda *_: pytest.fail("a rename"))
    assert (site / "index.html").read_text() == "two"
