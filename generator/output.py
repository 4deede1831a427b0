"""Where a command may write: the one place that decides it, and the two ways of writing that lose nothing.

A *folder* of ours (a site, the desk's pages, the schemas) is written to only while it is absent, empty, or carries our
mark: a small file that lists what the last run wrote. Files the mark does not know stop the run, which names them.
A *file* of ours (a handout, a list, a calendar) replaces only what is the same or what an earlier run wrote and
nobody changed since; the ledger beside the result store remembers that. Anything else is somebody's work.
"""

from __future__ import annotations

import errno
import hashlib
import json
import os
import stat
import tempfile
import time
from codecs import BOM_UTF8
from collections.abc import Callable, Iterable, Mapping
from contextlib import suppress
from pathlib import Path

from limberleaf.store import FOLDER

MARK = ".limberleaf-files"
LEDGER = "written.json"
_HEAD = "# Written by limberleaf; the next run replaces the files listed here and keeps all others.\n"
_TEMPORARY = ".tmp"
_ABANDONED = 3600
"""Seconds after which nobody can still be writing a temporary file: a write takes far less."""
_UNFINISHED = _HEAD + "# unfinished\n"
NAMED = 5
"""How many foreign files a refusal names; the rest is counted."""


class OutputError(Exception):
    """A place that must not or cannot be written to; the text says what is there and a way out."""


def explained(error: OSError, path: Path) -> OutputError:
    """Give an operating system's refusal in plain words, with the path it is about."""
    name = error.filename if isinstance(error.filename, str) else str(path)
    if error.errno in (errno.EBUSY, errno.EXDEV):
        return OutputError(f"{name} is a disk of its own and cannot be exchanged. Name a folder inside it.")
    return OutputError(f"{name}: {error.strerror or error}.")


def may_write_folder(folder: Path, *, content: Path | None = None) -> Path:
    """Give the real path of a folder that a whole set of files may go to; raise OutputError when it may not.

    `content` is the folder of entries, which must neither hold nor be inside the output. Nothing is made or changed.
    """
    real = _resolved(folder)
    if ".git" in real.parts:
        raise OutputError(f"{folder} is inside a .git folder. Name a folder beside it.")
    if content is not None:
        entries = _resolved(content)
        if real == entries or real in entries.parents:
            raise OutputError(
                f"{folder} holds the entries in {content}. Name a folder of its own, such as site."
            )
        if entries in real.parents and not any(
            part.startswith(".") for part in real.relative_to(entries).parts
        ):
            raise OutputError(
                f"{folder} is inside {content}, whose files are read as entries. Name a folder beside it."
            )
    here = Path.cwd()
    if real == here or real in here.parents:
        raise OutputError(f"{folder} is the folder this runs in. Name a folder inside it, such as site.")
    _must_be_folders(real)
    foreign = foreign_files(real)
    if foreign:
        raise OutputError(_stranger(folder, foreign, marked=(real / MARK).is_file()))
    return real


def foreign_files(folder: Path) -> list[str]:
    """Name the files in `folder` that no run of ours wrote, in order; none when it is absent."""
    if not folder.is_dir():
        return []
    known = marked_files(folder)
    try:
        return sorted(path for path in tree(folder)[0] if path != MARK and path not in known)
    except OSError as error:
        raise explained(error, folder) from None


def tree(folder: Path) -> tuple[dict[str, os.DirEntry[str]], list[str]]:
    """Give all that is no folder (links too, never followed) by its path below `folder`, and all folders, outer first.

    Raises OSError for a folder that cannot be listed: what is not seen must not be taken for absent. Sites have tens of
    thousands of files, so paths are texts here.
    """
    found: dict[str, os.DirEntry[str]] = {}
    folders: list[str] = []
    ahead = [("", os.fspath(folder))]
    while ahead:
        below, here = ahead.pop()
        with os.scandir(here) as entries:
            for entry in entries:
                if entry.is_dir(follow_symlinks=False):
                    folders.append(entry.path)
                    ahead.append((f"{below}{entry.name}/", entry.path))
                else:
                    found[below + entry.name] = entry
    return found, folders


def mark_text(files: Iterable[str]) -> str:
    """Give the text of our mark: the paths of a folder's files, one a line."""
    return _HEAD + "".join(
        f"{json.dumps(path, ensure_ascii=False)}\n" for path in sorted(files) if path != MARK
    )


def mark(folder: Path, files: Iterable[str]) -> None:
    """Write our mark into a finished folder."""
    write_atomically(folder / MARK, mark_text(files).encode("utf-8", "surrogateescape"))


def mark_unfinished(folder: Path) -> None:
    """Mark a folder as one that a run of ours has begun to fill."""
    write_atomically(folder / MARK, _UNFINISHED.encode())


def is_unfinished(folder: Path) -> bool:
    """Tell whether a run began to fill this folder and never finished it; it may have died while it wrote the mark."""
    if _mark_text(folder) == _UNFINISHED:
        return True
    names = [path.name for path in folder.iterdir()]
    return names != [] and all(name.startswith(f".{MARK}") and name.endswith(_TEMPORARY) for name in names)


def marked_files(folder: Path) -> frozenset[str]:
    """Give the paths our mark lists; none when there is no mark or it is not one of ours."""
    text = _mark_text(folder)
    if not text.startswith(_HEAD):
        return frozenset()
    lines = [line for line in text.splitlines() if line.startswith('"')]
    try:
        return frozenset(map(str, json.loads(f"[{','.join(lines)}]")))
    except ValueError:  # somebody edited it
        return frozenset(filter(None, map(_path_in, lines)))


def _path_in(line: str) -> str:
    try:
        return str(json.loads(line))
    except ValueError:
        return ""


def remove_ours(folder: Path) -> bool:
    """Remove what our mark lists, the mark, and folders left empty; return whether nothing was left."""
    known = marked_files(folder)
    files, folders = tree(folder)
    for path, entry in files.items():
        if path in known:
            os.unlink(entry.path)  # noqa: PTH108 - tens of thousands of them
    for inner in reversed(folders):
        with suppress(OSError):
            os.rmdir(inner)  # noqa: PTH106
    if any(path.name != MARK for path in folder.iterdir()):
        return False
    (folder / MARK).unlink(
        missing_ok=True
    )  # last, so that a removal that was cut short can be taken up again
    with suppress(OSError):
        folder.rmdir()
    return not folder.exists()


def write_atomically(path: Path, data: bytes) -> None:
    """Replace `path` with `data` in one step: a reader, and a power cut, meet the old bytes or the new ones."""
    path = _resolved(path)
    handle, temporary = _temporary(path)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        temporary.chmod(_rights(path))
        temporary.replace(path)
        sync_folder(path.parent)
    except BaseException:
        temporary.unlink(missing_ok=True)
        raise


def _temporary(path: Path) -> tuple[int, Path]:
    """Open the file that will replace `path`, beside it: always the same one, so that a killed run leaves no more.

    What a killed run left is used up once nobody can still be writing it; until then, and beside another writer, the
    file has a name of its own.
    """
    usual = path.with_name(f".{path.name[:40]}{_TEMPORARY}")
    with suppress(OSError):
        if time.time() - usual.stat().st_mtime > _ABANDONED:
            usual.unlink()
    try:
        return os.open(usual, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600), usual
    except FileExistsError:
        handle, name = tempfile.mkstemp(prefix=f".{path.name[:40]}-", suffix=_TEMPORARY, dir=path.parent)
        return handle, Path(name)


def text_bytes(path: Path, text: str) -> bytes:
    """Give the bytes of a text that replaces a file: its byte order mark, when it has one, stays."""
    marked = path.exists() and path.read_bytes().startswith(BOM_UTF8)
    return (BOM_UTF8 if marked else b"") + text.encode()


def write_new(files: Mapping[Path, str | bytes]) -> None:
    """Write new files, all of them or none; raise OutputError when one of them exists already."""
    for path in files:
        if os.path.lexists(path):
            raise OutputError(f"{path} exists already; nothing was written.")
        _must_be_folders(_resolved(path.parent))
    written: list[Path] = []
    created: list[Path] = []
    try:
        for path, text in files.items():
            missing = [folder for folder in path.parents if not folder.exists()]
            path.parent.mkdir(parents=True, exist_ok=True)
            created += reversed(missing)
            with path.open("xb") as file:
                written.append(path)
                file.write(text.encode() if isinstance(text, str) else text)
    except BaseException as error:
        for path in written:
            path.unlink(missing_ok=True)
        for folder in reversed(created):
            with suppress(OSError):
                folder.rmdir()
        if isinstance(error, OSError):
            raise explained(error, path) from None
        raise


def sync_folder(folder: Path) -> None:
    """Ask the disk to keep the names in `folder`, where the system lets a folder be opened for that."""
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


class Ledger:
    """What runs before wrote as single files, by path, with a hash of their bytes.

    It is beside the result store, `.limberleaf/` next to the content folder. When it is lost the next run refuses
    to replace its own files, which costs a deletion by hand and nothing else.
    """

    def __init__(self, content: Path) -> None:
        """Read the ledger of a content folder; it need not exist."""
        self._file = content.absolute().parent / FOLDER / LEDGER

    def may_write(self, path: Path, data: bytes, *, ours: Callable[[bytes], bool] | None = None) -> None:
        """Raise OutputError when there is a file at `path` that no run of ours wrote.

        `ours` recognises by its bytes a file that is ours although the ledger does not know it.
        """
        real = _resolved(path)
        _must_be_folders(real.parent)
        try:
            state = real.stat()
        except FileNotFoundError:
            return
        except OSError as error:
            raise explained(error, path) from None
        if stat.S_ISDIR(state.st_mode):
            raise OutputError(f"{path} is a folder. Name a file.")
        if not stat.S_ISREG(state.st_mode):
            return  # a pipe or a device loses nothing
        try:
            before = real.read_bytes()
        except OSError as error:
            raise explained(error, path) from None
        if before in (data, b"") or self._read().get(str(real)) == _hash(before) or (ours and ours(before)):
            return
        raise OutputError(
            f"{path} exists already and is not what an earlier run wrote. Move it away, or name another file; "
            "nothing was written there."
        )

    def write(
        self,
        path: Path,
        data: str | bytes,
        *,
        ours: Callable[[bytes], bool] | None = None,
        make: bool = False,
    ) -> None:
        """Write a file whole or not at all and remember it; raise OutputError when it must not or cannot be written.

        `make` makes the folder it goes to; without it a missing folder is an error that says so.
        """
        raw = data.encode() if isinstance(data, str) else data
        self.may_write(path, raw, ours=ours)
        real = _resolved(path)
        try:
            if make:
                real.parent.mkdir(parents=True, exist_ok=True)
            elif not real.parent.is_dir():
                raise OutputError(f"There is no folder {path.parent}. Make it first, or name another.")
            if real.exists() and not real.is_file():
                real.write_bytes(raw)
                return
            write_atomically(real, raw)
        except OSError as error:
            raise explained(error, path) from None
        self._remember({str(real): _hash(raw)})

    def _read(self) -> dict[str, str]:
        try:
            known = json.loads(self._file.read_text("utf-8"))
        except (OSError, ValueError, RecursionError):
            return {}
        return known if isinstance(known, dict) else {}

    def _remember(self, written: Mapping[str, str]) -> None:
        known = {path: digest for path, digest in self._read().items() if Path(path).exists()} | dict(written)
        with suppress(OSError):  # a read-only project folder costs only the memory
            self._file.parent.mkdir(parents=True, exist_ok=True)
            write_atomically(self._file, json.dumps(known, indent=0, sort_keys=True).encode())


def _hash(data: bytes) -> str:
    return hashlib.blake2b(data, digest_size=16).hexdigest()


def _resolved(path: Path) -> Path:
    try:
        return path.resolve()
    except (OSError, RuntimeError):  # a loop of links
        raise OutputError(f"{path} is a link that leads round in a circle. Name another place.") from None


def _must_be_folders(folder: Path) -> None:
    """Refuse a path that is, or leads through, something other than a folder."""
    for part in (folder, *folder.parents):
        try:
            state = part.stat()
        except FileNotFoundError:
            continue
        except NotADirectoryError:
            continue
        except OSError as error:
            raise explained(error, part) from None
        if not stat.S_ISDIR(state.st_mode):
            raise OutputError(f"{part} is a file, not a folder. Name another place.")
        return


def _rights(path: Path) -> int:
    """Give the rights of the file that is replaced, or those a new file gets."""
    try:
        return stat.S_IMODE(path.stat().st_mode)
    except OSError:
        umask = os.umask(0)
        os.umask(umask)
        return 0o666 & ~umask


def _mark_text(folder: Path) -> str:
    file = folder / MARK
    try:
        return "" if file.is_symlink() else file.read_bytes().decode("utf-8", "surrogateescape")
    except OSError:
        return ""


def _stranger(folder: Path, foreign: list[str], *, marked: bool) -> str:
    named = ", ".join(foreign[:NAMED]) + (f" and {len(foreign) - NAMED} more" if len(foreign) > NAMED else "")
    if marked:
        return (
            f"{folder} holds files that no build wrote: {named}. Move them away (files of your own for the site "
            "belong into content/pages); nothing was changed."
        )
    return (
        f"{folder} is not empty and was not written by limberleaf: {named}. Name a new or an empty folder. If it is "
        "an old copy of the site that you no longer need, remove it yourself first; nothing was changed."
    )
