"""The present state of a content folder: read again when a file or the day has changed, else as it was."""

from __future__ import annotations

import os
from collections.abc import Callable
from datetime import date
from pathlib import Path

from limberleaf.checks import check_library
from limberleaf.desk.app import NoLibraryError
from limberleaf.desk.read.readings import Readings
from limberleaf.desk.site import Desk
from limberleaf.figures import Figures
from limberleaf.library import load_library
from limberleaf.library.load import ReadCache
from limberleaf.store import Store
from limberleaf.store.keys import Stamp, file_stamp

FolderStamp = tuple[date, tuple[tuple[str, Stamp], ...]]


class LiveDesk:
    """One content folder over many requests."""

    def __init__(
        self,
        content: Path,
        store: Store,
        today: Callable[[], date],
        *,
        live: bool = True,
        writes: bool = False,
    ) -> None:
        self._content, self._store, self._today, self._live = content, store, today, live
        self._writes = writes
        self._read_cache, self.figures, self._readings = ReadCache(store), Figures(store), Readings(store)
        self._desk: Desk | None = None
        self._stamp: FolderStamp | None = None

    def desk(self) -> Desk:
        """Give the desk over the folder as it is now; raises NoLibraryError when its settings cannot be read."""
        stamp = (self._today(), tuple(_files(self._content)))
        if self._desk is None or stamp != self._stamp:
            self._desk = self._read(stamp[0])
            self._stamp = stamp
            self._store.save()
        return self._desk

    def _read(self, today: date) -> Desk:
        library = load_library(self._content, self._read_cache)
        if library.clinic is None:
            self._desk = self._stamp = None
            raise NoLibraryError(library.findings)
        findings = check_library(library, today, store=self._store, figures=self.figures)
        return Desk(library, findings, today, self._readings, live=self._live, writes=self._writes)


def _files(folder: Path) -> list[tuple[str, Stamp]]:
    """List all files with what shows whether they changed."""
    found = []
    for root, folders, names in os.walk(folder):
        folders[:] = sorted(name for name in folders if not name.startswith("."))
        for path in (f"{root}{os.sep}{name}" for name in sorted(names)):
            stamp = file_stamp(path)
            if stamp is not None:
                found.append((path, stamp))
    return found
