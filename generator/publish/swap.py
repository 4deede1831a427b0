"""A build lands whole or not at all: files go to a fresh folder beside the published one, which is then swapped.

The swap is two renames in the same parent folder. Between them the published name is absent for an instant; when
the second rename fails, the first is undone.
"""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

from limberleaf.store import StoredText
from limberleaf.store.keys import text_key


def fresh_folder(target: Path) -> Path:
    """Make an empty folder beside `target`, on the same disk, with the rights a published folder needs."""
    target.parent.mkdir(parents=True, exist_ok=True)
    folder = Path(tempfile.mkdtemp(prefix=f".{target.name}-fresh-", dir=target.parent))
    folder.chmod(0o755)
    return folder


def swap_in(fresh: Path, target: Path) -> None:
    """Put `fresh` in the place of `target`; the old folder goes only when the new one stands."""
    if not target.exists():
        fresh.rename(target)
        return
    old = fresh.with_name(fresh.name.replace("-fresh-", "-old-"))
    target.rename(old)
    try:
        fresh.rename(target)
    except OSError:
        old.rename(target)
        raise
    shutil.rmtree(old, ignore_errors=True)


@contextmanager
def landing(target: Path) -> Iterator[Path]:
    """Give a fresh folder to write into; swap it in at the end, or remove it when anything failed."""
    fresh = fresh_folder(target)
    try:
        yield fresh
        swap_in(fresh, target)
    finally:
        shutil.rmtree(fresh, ignore_errors=True)


def write_files(
    files: Mapping[str, str | bytes | StoredText], folder: Path, *, standing: Path | None = None
) -> None:
    """Write files by their path below `folder`, in the order given.

    A file that is the same in the folder `standing` is linked from there instead: a rebuild of a large library then
    writes what changed and not hundreds of megabytes.
    """
    made: set[Path] = set()
    for path, content in files.items():
        file = folder / path
        if file.parent not in made:
            file.parent.mkdir(parents=True, exist_ok=True)
            made.add(file.parent)
        if standing is None or not _linked(standing / path, file, content):
            file.write_bytes(_bytes_of(content))


def _bytes_of(content: str | bytes | StoredText) -> bytes:
    text = content.text if isinstance(content, StoredText) else content
    return text.encode() if isinstance(text, str) else text


def _linked(old: Path, new: Path, content: str | bytes | StoredText) -> bool:
    """Tell whether the old file holds this content and could be linked to the new place."""
    try:
        if old.is_symlink():
            return False
        data = old.read_bytes()
        same = (
            text_key(data) == content.digest
            if isinstance(content, StoredText)
            else data == _bytes_of(content)
        )
        if not same:
            return False
        new.hardlink_to(old)
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
