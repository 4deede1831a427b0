"""The one store of results: typed, checksummed values by key, in one SQLite file beside the content folder.

A key is a hash of everything that goes into a result, so a value is either right or absent; nothing is updated. Each
value is written with a checksum over its key, its kind and its bytes, and read back only when that agrees: a
damaged store costs time and never a wrong page. When the file is broken, locked, read-only or cannot be written,
work goes on without it.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import sqlite3
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path
from typing import Any

from limberleaf.store.keys import text_key

FOLDER = ".limberleaf"
FILE = "results.sqlite"
FORM = 1
"""The form of the file. A file of another form is begun again."""
MOST_BYTES = 1 << 30
"""The size from which on a store drops what was used longest ago."""
TEXT = "text"
"""The kind of texts kept by their own hash: documents, scripts, pictures of pages."""
_REFRESH = 10
"""Saves after which the use of a value is noted again: not at each, which would write a row for each value read."""
_BATCH = 500
_PASSING = {
    sqlite3.SQLITE_PERM, sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED, sqlite3.SQLITE_READONLY,
    sqlite3.SQLITE_IOERR, sqlite3.SQLITE_FULL, sqlite3.SQLITE_CANTOPEN,
}  # fmt: skip
"""What is wrong with the place and not with the file."""


def store_beside(content: Path) -> Path:
    """Give the file that keeps the results of a content folder: in a folder of its own beside it."""
    return content.absolute().parent / FOLDER / FILE


class Store:
    """A table of JSON values by key, in one SQLite file; without a path it lives in memory for this run.

    `kind` separates values of different products: a value is found only under the kind it was kept with.
    """

    def __init__(self, path: Path | None = None, *, most_bytes: int = MOST_BYTES) -> None:
        """Open or make the file at `path`; fall back to memory when it cannot be used."""
        self._path = path
        self._most_bytes = most_bytes
        self._fresh: dict[tuple[str, str], Any] = {}
        self._old: set[tuple[str, str]] = set()
        self._save = 0
        self._database: sqlite3.Connection | None = None
        if path is not None:
            self._open(path)

    @property
    def outlives_the_run(self) -> bool:
        """Tell whether what is kept can be read by the next run."""
        return self._database is not None

    def _open(self, path: Path) -> None:
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            self._database, self._save = _connect(path)
        except OSError:
            self._database = None
        except (sqlite3.Error, ValueError) as error:
            self._recover(error)

    def _recover(self, error: Exception) -> None:
        """Go on without a file that is locked, full or not ours to write; begin a broken one again."""
        if getattr(error, "sqlite_errorcode", 0) & 0xFF in _PASSING and "short read" not in str(error):
            self._close()
        else:
            self._begin_again()

    def _begin_again(self) -> None:
        """Remove a broken file, which holds nothing that cannot be made again, and begin a new one."""
        self._close()
        try:
            assert self._path is not None  # noqa: S101 - only a file can be broken
            for end in ("", "-journal", "-wal", "-shm"):
                self._path.with_name(self._path.name + end).unlink(missing_ok=True)
            self._database, self._save = _connect(self._path)
        except (OSError, sqlite3.Error, ValueError):
            self._database = None

    def _close(self) -> None:
        if self._database is not None:
            with contextlib.suppress(sqlite3.Error):
                self._database.close()
            self._database = None

    def read(self, keys: Iterable[str], kind: str = "") -> dict[str, Any]:
        """Give the values of a kind that are kept for these keys and are whole."""
        found: dict[str, Any] = {}
        wanted: list[str] = []
        for key in dict.fromkeys(keys):
            if (kind, key) in self._fresh:
                found[key] = self._fresh[kind, key]
            else:
                wanted.append(key)
        for start in range(0, len(wanted) if self._database else 0, _BATCH):
            for key, value, check, used in self._rows(wanted[start : start + _BATCH], kind):
                with contextlib.suppress(ValueError, TypeError, RecursionError):
                    if check == _checksum(key, kind, value):
                        found[key] = json.loads(value)
                        if not isinstance(used, int) or used < self._save - _REFRESH:
                            self._old.add((kind, key))
        return found

    def all_of(self, kind: str) -> dict[str, Any]:
        """Give all values of a kind that are whole: for kinds whose values are few and wanted together."""
        return self.read(self._keys_of(kind), kind)

    def _keys_of(self, kind: str) -> list[str]:
        found = [key for one, key in self._fresh if one == kind]
        if self._database is not None:
            try:
                rows = self._database.execute("SELECT key FROM results WHERE kind = ?", [kind]).fetchall()
                found += [key for (key,) in rows if isinstance(key, str)]
            except sqlite3.Error as error:
                self._recover(error)
        return sorted(set(found))

    def _rows(self, keys: list[str], kind: str) -> list[tuple[str, bytes, bytes, int]]:
        if self._database is None:
            return []
        marks = ",".join("?" * len(keys))
        try:
            return self._database.execute(
                f"SELECT key, value, checksum, used FROM results WHERE kind = ? AND key IN ({marks})",  # noqa: S608 - marks only
                [kind, *keys],
            ).fetchall()
        except sqlite3.Error as error:
            self._recover(error)
            return []

    def keep(self, values: Mapping[str, Any], kind: str = "") -> None:
        """Remember values; they reach the file at `save`."""
        self._fresh.update({(kind, key): value for key, value in values.items()})

    def save(self) -> None:
        """Write what is new to the file in one transaction, and drop what nobody asked for in a long time."""
        if self._database is None or not (self._fresh or self._old):
            return
        now = self._save + 1
        rows = []
        for (kind, key), value in self._fresh.items():
            data = json.dumps(value, ensure_ascii=False, separators=(",", ":")).encode(
                "utf-8", "surrogatepass"
            )
            rows.append((kind, key, data, _checksum(key, kind, data), now))
        try:
            with self._database:
                self._database.executemany("INSERT OR REPLACE INTO results VALUES (?, ?, ?, ?, ?)", rows)
                self._database.executemany(
                    "UPDATE results SET used = ? WHERE kind = ? AND key = ?",
                    [(now, kind, key) for kind, key in self._old],
                )
                self._database.execute("UPDATE saves SET number = ?", [now])
            self._prune(now)
        except sqlite3.Error as error:  # the next run makes these values again
            self._recover(error)
            return
        self._save = now
        self._old.clear()
        self._fresh.clear()

    def text(self, digest: str, again: Callable[[], str]) -> StoredText:
        """Give a text by its hash: read from the store when somebody wants it, or made by `again` when it is gone."""
        return StoredText(self, digest, again)

    def keep_text(self, text: str) -> str:
        """Keep a text by its hash, and give that."""
        digest = text_key(text)
        self.keep({digest: text}, TEXT)
        return digest

    def _prune(self, now: int) -> None:
        """Drop what was used longest ago until the file is small enough; what this run used stays."""
        if self._database is None:
            return
        (page,), (pages,), (free,) = (
            self._database.execute(f"PRAGMA {name}").fetchone()
            for name in ("page_size", "page_count", "freelist_count")
        )
        over = page * (pages - free) - self._most_bytes
        if over > 0:
            rows = self._database.execute(
                "SELECT rowid, length(value) FROM results WHERE used < ? ORDER BY used", [now - _REFRESH]
            )
            drop = []
            for rowid, length in rows:
                if over <= 0:
                    break
                drop.append((rowid,))
                over -= length
            with self._database:
                self._database.executemany("DELETE FROM results WHERE rowid = ?", drop)
        self._database.execute("PRAGMA incremental_vacuum").fetchall()


class StoredText:
    """A text that is read only when it has to be written or shown; two with the same hash are the same text."""

    __slots__ = ("_again", "_store", "digest")

    def __init__(self, store: Store, digest: str, again: Callable[[], str]) -> None:
        self._store, self.digest, self._again = store, digest, again

    @property
    def text(self) -> str:
        """Give the text."""
        stored = self._store.read([self.digest], TEXT).get(self.digest)
        return stored if isinstance(stored, str) and text_key(stored) == self.digest else self._again()

    def __eq__(self, other: object) -> bool:
        """Compare by content."""
        return isinstance(other, StoredText) and self.digest == other.digest

    def __hash__(self) -> int:
        """Hash by content."""
        return hash(self.digest)


def _checksum(key: str, kind: str, value: bytes) -> bytes:
    digest = hashlib.blake2b(f"{kind}\n{key}\n".encode("utf-8", "surrogatepass"), digest_size=16)
    digest.update(value)
    return digest.digest()


def _connect(path: Path) -> tuple[sqlite3.Connection, int]:
    """Open a file, making its tables when it is new; give it with the number of its last save."""
    database = sqlite3.connect(path, timeout=2, check_same_thread=False)
    try:
        database.execute("PRAGMA synchronous=OFF")
        return database, _last_save(database)
    except BaseException:
        database.close()
        raise


def _last_save(database: sqlite3.Connection) -> int:
    (form,) = database.execute("PRAGMA user_version").fetchone()
    if form != FORM:
        if database.execute("SELECT count(*) FROM sqlite_master").fetchone() != (0,):
            raise ValueError("a store of another form")
        _make_tables(database)
    (save,) = database.execute("SELECT number FROM saves").fetchone() or (None,)
    if not isinstance(save, int):
        raise ValueError("a store without its count of saves")  # noqa: TRY004 - another writer's file
    database.execute("SELECT kind, key, value, checksum, used FROM results LIMIT 1").fetchall()
    return save


def _make_tables(database: sqlite3.Connection) -> None:
    database.execute("PRAGMA auto_vacuum=INCREMENTAL")
    with database:
        database.execute(
            "CREATE TABLE results (kind TEXT, key TEXT, value BLOB, checksum BLOB, used INTEGER, "
            "PRIMARY KEY (kind, key))"
        )
        database.execute("CREATE TABLE saves (number INTEGER)")
        database.execute("INSERT INTO saves VALUES (0)")
        database.execute(f"PRAGMA user_version={FORM}")
