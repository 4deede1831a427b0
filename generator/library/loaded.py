"""A typed entry with its file, and the same for a file that is as it was when it was read without a finding.

Such a file is known by its stamp (store/keys.py). Its values lie in the store under the hash of its text, so neither
its bytes nor its entry are read before somebody asks for them: an edit of one entry of a thousand reads one.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import Any, Generic, TypeVar

from pydantic import BaseModel

from limberleaf.library.files import read_text
from limberleaf.library.yaml.source import Source
from limberleaf.output import OutputError
from limberleaf.store import Store, text_key
from limberleaf.store.keys import JUST_NOW, Stamp

Record = TypeVar("Record", bound=BaseModel)

KIND = "files"


@dataclass(frozen=True)
class Loaded(Generic[Record]):
    """A typed entry and the file it came from."""

    entry: Record
    source: Source

    @property
    def content_key(self) -> str:
        """Name the file and what it says; the entry is what is read from it."""
        return self.source.content_key

    @property
    def is_published(self) -> bool:
        """Tell whether the entry goes out."""
        return bool(getattr(self.entry, "is_published", False))

    @property
    def address_facts(self) -> list[str]:
        """Give what decides at which addresses an entry is and whether it is retired there: its status and sides."""
        return [str(getattr(self.entry, name, "")) for name in ("status", "sides")]

    @property
    def step_codes(self) -> list[str]:
        """Name the exercises of a ladder's steps; of other entries none."""
        steps = getattr(self.entry, "steps", ())
        return [one.exercise for one in steps if hasattr(one, "exercise")]


class LazySource(Source):
    """A file that was read by an earlier run: its text is read when somebody asks for it."""

    digest: str
    _file: Path
    _root: Path

    def __init__(self, path: str, file: Path, root: Path, digest: str) -> None:
        """Know a file by its path below `root` and the hash of its text."""
        vars(self).update(path=path, composed=None, known=True, digest=digest, _file=file, _root=root)

    @cached_property
    def text(self) -> str:
        """Read the text; raises OutputError when it is no longer the one that is known."""
        text, finding = read_text(self._file, self._root, self.path)
        if finding or text_key(text) != self.digest:
            raise OutputError(f"{self.path} was changed while it was being read. Run this again.")
        return text

    @property
    def content_key(self) -> str:
        """Name the file and what it says."""
        return f"{self.path} {self.digest}"

    def __eq__(self, other: object) -> bool:
        """Compare by path and text, without reading it."""
        return isinstance(other, Source) and self.content_key == other.content_key

    def __hash__(self) -> int:
        """Hash by path and text, without reading it."""
        return hash(self.content_key)

    def __repr__(self) -> str:
        """Show the path."""
        return f"LazySource({self.path!r})"


@dataclass(frozen=True)
class Known:
    """What is known of a file without reading it: the hash of its text, and of its entry what others ask for."""

    digest: str
    name: str
    """Its code or id; of a translation, what it translates."""
    is_published: bool = False
    address_facts: list[str] = field(default_factory=list)
    step_codes: list[str] = field(default_factory=list)


class LazyLoaded(Loaded[Any]):
    """An entry that an earlier run read without a finding: it is made when somebody asks for it."""

    known: Known
    _make: Callable[[], Any]

    def __init__(self, known: Known, source: LazySource, make: Callable[[], Any]) -> None:
        """Know an entry by what is kept of it."""
        vars(self).update(known=known, source=source, _make=make)

    @property
    def is_published(self) -> bool:
        """Tell whether the entry goes out."""
        return self.known.is_published

    @property
    def address_facts(self) -> list[str]:
        """Give what decides at which addresses an entry is and whether it is retired there: its status and sides."""
        return self.known.address_facts

    @property
    def step_codes(self) -> list[str]:
        """Name the exercises of a ladder's steps; of other entries none."""
        return self.known.step_codes

    @cached_property
    def entry(self) -> Any:
        """Make the entry."""
        return self._make()

    def __eq__(self, other: object) -> bool:
        """Compare by the file, without reading it: the entry is what is read from it."""
        if isinstance(other, LazyLoaded):
            return bool(self.source == other.source)
        return isinstance(other, Loaded) and bool(self.source == other.source and self.entry == other.entry)

    def __hash__(self) -> int:
        """Hash by the file."""
        return hash(self.source)

    def __repr__(self) -> str:
        """Show the file."""
        return f"LazyLoaded({self.source.path!r})"


class CleanFiles:
    """The files of entries that were read without a finding, with their stamps and names, over many runs."""

    def __init__(self, store: Store, program: str) -> None:
        """Begin with what the store keeps for the same program."""
        self._store, self._key = store, program
        self._changed = False

    @cached_property
    def _rows(self) -> dict[str, list[Any]]:
        rows = self._store.read([self._key], KIND).get(self._key)
        return rows if isinstance(rows, dict) else {}

    def known(self, file: Path, stamp: Stamp) -> Known | None:
        """Give what is known of a file that is as it was."""
        row = self._rows.get(str(file))
        return Known(*row[1:]) if row is not None and row[0] == list(stamp) else None

    def keep(self, file: Path, stamp: Stamp, name: str, loaded: Loaded[Any]) -> None:
        """Keep that a file was read without a finding; one changed just now may change again without a new time."""
        if max(stamp[0], stamp[3]) < time.time_ns() - JUST_NOW:
            digest = text_key(loaded.source.text)
            self._rows[str(file)] = [
                list(stamp), digest, name, loaded.is_published, loaded.address_facts, loaded.step_codes,
            ]  # fmt: skip
            self._changed = True

    def save(self, there: set[str]) -> None:
        """Hand what is new to the store; files that are gone are forgotten."""
        if self._changed:
            self._store.keep(
                {self._key: {file: row for file, row in self._rows.items() if file in there}}, KIND
            )
            self._changed = False
