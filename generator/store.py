"""Results kept between builds, by the content they were made from.

A key is a hash of everything that goes into a result, so an entry is either right or absent; nothing is ever
updated. The store is a convenience: when its file is broken, locked or cannot be written, work goes on without.
"""

from __future__ import annotations

import hashlib
import json
import sqlite3
from collections.abc import Iterable, Mapping
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

FOLDER = ".limberleaf"
FILE = "results.sqlite"
_SUFFIXES = {".py", ".yml", ".csv", ".html", ".css", ".js", ".typ", ".svg", ".txt"}


def store_beside(content: Path) -> Path:
    """Give the file that keeps the results of a content folder: in a folder of its own beside it."""
    return content.absolute().parent / FOLDER / FILE


def content_key(*parts: object) -> str:
    """Hash plain values (texts, numbers, lists, mappings) into 32 hexadecimal digits."""
    text = json.dumps(parts, sort_keys=True, ensure_ascii=False, default=str)
    return hashlib.blake2b(text.encode(), digest_size=16).hexdigest()


@cache
def code_key(*packages: str) -> str:
    """Hash the code and data of packages, so that a new release makes new results."""
    digest = hashlib.blake2b(digest_size=16)
    for package in packages:
        root = Path(str(files(package)))
        for file in sorted(root.rglob("*")):
            if file.suffix in _SUFFIXES and "__pycache__" not in file.parts:
                digest.update(file.relative_to(root).as_posix().encode())
                digest.update(file.read_bytes())
    return digest.hexdigest()


class Store:
    """A table of JSON values by key, in one SQLite file; without a path it lives in memory for this run."""

    def __init__(self, path: Path | None = None) -> None:
        """Open or make the file at `path`; fall back to memory when it cannot be used."""
        self._memory: dict[str, Any] = {}
        self._fresh: dict[str, Any] = {}
        self._database: sqlite3.Connection | None = None
        if path is not None:
            self._open(path)

    def _open(self, path: Path) -> None:
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            self._database = _connect(path)
        except (OSError, sqlite3.Error):
            try:
                path.unlink(missing_ok=True)  # a broken file holds nothing that cannot be made again
                self._database = _connect(path)
            except (OSError, sqlite3.Error):
                self._database = None

    def read(self, keys: Iterable[str]) -> dict[str, Any]:
        """Give the values that are kept for these keys."""
        wanted = [key for key in dict.fromkeys(keys) if key not in self._memory]
        for start in range(0, len(wanted) if self._database else 0, 500):
            some = wanted[start : start + 500]
            marks = ",".join("?" * len(some))
            try:
                rows = self._database.execute(  # type: ignore[union-attr]
                    f"SELECT key, value FROM results WHERE key IN ({marks})",  # noqa: S608 - marks only
                    some,
                ).fetchall()
            except sqlite3.Error:
                break
            self._memory.update((key, json.loads(value)) for key, value in rows)
        return {key: self._memory[key] for key in keys if key in self._memory}

    def keep(self, values: Mapping[str, Any]) -> None:
        """Remember values; they reach the file at `save`."""
        self._memory.update(values)
        self._fresh.update(values)

    def save(self) -> None:
        """Write what is new to the file."""
        if self._database is None or not self._fresh:
            return
        rows = [(key, json.dumps(value, ensure_ascii=False)) for key, value in self._fresh.items()]
        try:
            with self._database:
                self._database.executemany("INSERT OR REPLACE INTO results VALUES (?, ?)", rows)
        except sqlite3.Error:
            return
        self._fresh.clear()


def _connect(path: Path) -> sqlite3.Connection:
    database = sqlite3.connect(path, timeout=2, check_same_thread=False)
    database.execute("PRAGMA synchronous=OFF")
    database.execute("CREATE TABLE IF NOT EXISTS results (key TEXT PRIMARY KEY, value TEXT) WITHOUT ROWID")
    database.execute("SELECT key FROM results LIMIT 1").fetchall()
    return database
