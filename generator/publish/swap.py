"""A build lands whole or not at all: files go to a fresh folder beside the published one, which is then swapped.

Where the system can exchange two names in one step (`renameat2` of Linux) there is no instant without a site.
Elsewhere the swap is two renames; when a run dies between them, the next one puts the old site back and says so.
One build at a time works on a folder: a lock, which the system lets go when its holder dies, keeps the second out.
"""

from __future__ import annotations

import ctypes
import errno
import logging
import os
import re
import shutil
import stat
import tempfile
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path
from types import TracebackType
from typing import Any

from limberleaf import output
from limberleaf.output import OutputError
from limberleaf.progress import counted
from limberleaf.store import StoredText
from limberleaf.store.keys import Stamped, text_key

try:
    import fcntl
except ImportError:  # a system without advisory locks: two builds at once are not noticed there
    fcntl = None  # type: ignore[assignment]

log = logging.getLogger("limberleaf.publish")

_AT_FDCWD = -100
_RENAME_EXCHANGE = 2  # linux/fs.h


class Landing:
    """One build on its way into its folder. Nothing at `target` changes before `land`."""

    def __init__(self, target: Path, *, content: Path | None = None) -> None:
        """Check that `target` may be written to, keep other builds out, and clear up after one that died."""
        self.target = output.may_write_folder(target, content=content)
        self._stated_target = target
        self._lock = _Lock(self.target)
        self._fresh: Path | None = None
        try:
            for note in _clear_up(self.target):
                log.warning(note)
        except BaseException:
            self._lock.release()
            raise

    def __enter__(self) -> Landing:
        """Give the landing itself."""
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        """Remove what did not land."""
        self.close()

    @property
    def fresh(self) -> Path:
        """Give the fresh folder to write into, made at the first call on the same disk as the target."""
        if self._fresh is None:
            folder = Path(tempfile.mkdtemp(prefix=f".{self.target.name}-fresh-", dir=self.target.parent))
            self._fresh = folder
            output.mark_unfinished(folder)
        return self._fresh

    def land(self, before: Callable[[], Callable[[], None]] | None = None) -> None:
        """Swap the fresh folder in.

        `before` writes what must be on the disk before the site is (the locks) and gives the way to undo it, which
        is taken when the swap fails.
        """
        fresh = self.fresh
        files, folders = output.tree(fresh)
        _readable(files.values(), [str(fresh), *folders])
        output.mark(fresh, files)
        output.may_write_folder(self._stated_target)  # files may have come while the site was made
        undo = before() if before else None
        try:
            _swap(fresh, self.target)
        except BaseException:
            if undo:
                undo()
            raise
        self._fresh = None
        output.sync_folder(self.target.parent)

    def close(self) -> None:
        """Remove what did not land and let other builds in."""
        fresh, self._fresh = self._fresh, None
        if fresh is not None:
            shutil.rmtree(fresh, ignore_errors=True)
        self._lock.release()


@contextmanager
def landing(target: Path, *, content: Path | None = None) -> Iterator[Path]:
    """Give a fresh folder to write into; swap it in at the end, or remove it when anything failed."""
    try:
        with Landing(target, content=content) as one:
            yield one.fresh
            one.land()
    except OSError as error:
        raise output.explained(error, target) from None


class _Lock:
    """Keeps a second build of the same folder out; a lock file of a dead process holds nobody up."""

    def __init__(self, target: Path) -> None:
        target.parent.mkdir(parents=True, exist_ok=True)
        self._file = target.parent / f".{target.name}-build.lock"
        self._handle = self._taken()

    def _taken(self) -> int:
        while True:
            handle = os.open(self._file, os.O_RDWR | os.O_CREAT | getattr(os, "O_NOFOLLOW", 0), 0o644)
            try:
                if fcntl is not None:
                    fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
                if not self._is_at_its_name(handle):
                    os.close(handle)  # its holder removed the file while we waited for it
                    continue
                os.ftruncate(handle, 0)
                os.write(handle, f"{os.getpid()}\n".encode())
            except BlockingIOError:
                number = os.read(handle, 20).decode("ascii", "replace").strip()
                os.close(handle)
                raise OutputError(
                    f"Another build (process {number or 'unknown'}) is writing to the same folder. Wait for it to end, "
                    "then run this again; nothing was changed."
                ) from None
            except BaseException:
                os.close(handle)
                raise
            return handle

    def _is_at_its_name(self, handle: int) -> bool:
        try:
            return os.path.samestat(os.fstat(handle), self._file.stat())
        except FileNotFoundError:
            return False

    def release(self) -> None:
        if self._handle >= 0:
            with suppress(OSError):  # an empty lock file that stays holds nobody up
                self._file.unlink(missing_ok=True)
            os.close(self._handle)
            self._handle = -1


def _swap(fresh: Path, target: Path) -> None:
    """Put `fresh` in the place of `target`; of the old folder only what we wrote is removed."""
    if not target.exists():
        fresh.rename(target)
        return
    old = fresh
    if not _exchange(fresh, target):
        old = fresh.with_name(fresh.name.replace("-fresh-", "-old-"))
        target.rename(old)
        try:
            fresh.rename(target)
        except BaseException:
            old.rename(target)
            raise
    try:
        gone = output.remove_ours(old)
    except OSError:
        gone = False
    if not gone:
        log.warning("The new site is in place. The old one could not be removed whole: see %s.", old)


def _exchange(one: Path, other: Path) -> bool:
    """Exchange two names in one step; give False where the system or its disk cannot."""
    try:
        renameat2 = ctypes.CDLL(None, use_errno=True).renameat2
    except (OSError, AttributeError, TypeError):
        return False
    if renameat2(_AT_FDCWD, os.fsencode(one), _AT_FDCWD, os.fsencode(other), _RENAME_EXCHANGE) == 0:
        return True
    number = ctypes.get_errno()
    if number in (errno.ENOSYS, errno.EINVAL, errno.ENOTSUP):
        return False
    raise OSError(number, os.strerror(number), str(other))


def _clear_up(target: Path) -> list[str]:
    """Put back or remove what a run that died left beside `target`; say what was done."""
    notes = []
    left = re.compile(rf"\.{re.escape(target.name)}-(fresh|old)-[a-z0-9_]{{8}}")
    for folder in sorted(target.parent.iterdir()):
        match = left.fullmatch(folder.name)
        if not match or folder.is_symlink() or not folder.is_dir():
            continue
        ours = (folder / output.MARK).is_file()
        if match[1] == "old" and ours and not target.exists():
            folder.rename(target)
            notes.append(
                f"A build was interrupted while it put the new site in place; {target} is back as it was."
            )
        elif output.is_unfinished(folder):
            shutil.rmtree(folder)
            notes.append(f"What an interrupted build left in {folder.name} was removed.")
        elif ours or not any(folder.iterdir()):
            gone = output.remove_ours(folder)
            outcome = "was removed" if gone else "was removed, but for files that are not ours; look there"
            notes.append(f"What an interrupted build left in {folder.name} {outcome}.")
    return notes


def _readable(files: Iterable[os.DirEntry[str]], folders: Iterable[str]) -> None:
    """Let everybody read what is published, whatever the rights a new file gets here (umask)."""
    modes = [(one.path, one.stat(follow_symlinks=False).st_mode, 0o444) for one in files]
    modes += [(folder, os.stat(folder).st_mode, 0o555) for folder in folders]  # noqa: PTH116 - many
    for path, mode, rights in modes:
        if not stat.S_ISLNK(mode) and mode & rights != rights:
            Path(path).chmod(stat.S_IMODE(mode) | rights)


def write_files(
    files: Mapping[str, str | bytes | StoredText],
    folder: Path,
    *,
    published: Path | None = None,
    known: Stamped | None = None,
) -> None:
    """Write files by their path below `folder`, in the order given.

    A file that is the same in the folder `published` is linked from there instead: a rebuild of a large library then
    writes what changed and not hundreds of megabytes. It is read to compare it, but where `known`, by path, has the
    hash of a file with its present stamp.
    """
    created: set[str] = set()
    for path, content in counted("Writing files", list(files.items())):
        file = f"{folder}/{path}"
        parent = file.rpartition("/")[0]
        if parent not in created:
            Path(parent).mkdir(parents=True, exist_ok=True)
            created.add(parent)
        stamped = known.get(path) if known else None
        if published is None or not _linked(f"{published}/{path}", file, content, stamped):
            Path(file).write_bytes(_bytes_of(content))


def _bytes_of(content: str | bytes | StoredText) -> bytes:
    text = content.text if isinstance(content, StoredText) else content
    return text.encode() if isinstance(text, str) else text


def _linked(old: str, new: str, content: str | bytes | StoredText, stamped: list[Any] | None) -> bool:
    """Tell whether the old file holds this content and could be linked to the new place."""
    try:
        state = os.lstat(old)
        if not stat.S_ISREG(state.st_mode):
            return False
        stamp = [state.st_mtime_ns, state.st_size, state.st_ino]
        before = stamped[1] if stamped and stamped[0] == stamp else text_key(Path(old).read_bytes())
        if before != (content.digest if isinstance(content, StoredText) else text_key(content)):
            return False
        os.link(old, new)
    except OSError:  # no such file, or a file system without links
        return False
    return True


def read_files(folder: Path) -> dict[str, str | bytes]:
    """Give every file below `folder` by its path, in the order of names."""
    found = sorted(file for file in folder.rglob("*") if file.is_file())
    return {file.relative_to(folder).as_posix(): file.read_bytes() for file in found}


class KeptFolder:
    """A folder that goes from one set of files to the next by writing only what differs: a preview's."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._files: dict[str, str | bytes | StoredText] = {}

    def bring_to(self, files: Mapping[str, str | bytes | StoredText]) -> None:
        """Write what is new or changed and remove what is gone; other files of the folder stay."""
        before, self._files = self._files, dict(files)
        write_files({path: text for path, text in files.items() if before.get(path) != text}, self._folder)
        for path in before.keys() - files.keys():
            (self._folder / path).unlink(missing_ok=True)
