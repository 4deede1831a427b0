"""What the desk keeps beside the library, never in it: drafts, what a save replaced, and who is writing where.

It lies in `.limberleaf/desk/` next to the content folder. Losing it loses drafts and undo, no entry.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import asdict, dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from limberleaf.output import write_atomically
from limberleaf.store import FOLDER

MAX_STATES = 50
"""States of one entry that are kept for undo; older ones go."""
LOCK_SECONDS = 90
"""A lock lasts this long after the last sign of life of the page that holds it."""


@dataclass(frozen=True)
class Draft:
    """What somebody was writing: the text it began from (None: a new entry), the values typed, by whom and when."""

    path: str
    base: str | None
    value: Any
    who: str
    when: str


@dataclass(frozen=True)
class Replaced:
    """A state of an entry that a save replaced (`text` None: there was none) and what came in its place."""

    number: int
    text: str | None
    after: str
    who: str
    when: str
    what: str


class DraftStore:
    """Drafts and earlier states of one content folder. `now` gives the present moment."""

    def __init__(self, content: Path, now: Callable[[], datetime]) -> None:
        self.folder = content.absolute().parent / FOLDER / "desk"
        self._now = now

    def draft(self, path: str) -> Draft | None:
        """Give the draft of an entry, or None; one that cannot be read is none."""
        stored = _read(self._draft_file(path))
        with suppress(TypeError):
            return Draft(**stored) if stored else None
        return None

    def drafts(self) -> Iterator[Draft]:
        """Give every draft, in the order of their paths."""
        for file in sorted((self.folder / "drafts").glob("*.json")):
            stored = _read(file)
            with suppress(TypeError):
                if stored:
                    yield Draft(**stored)

    def keep_draft(self, path: str, base: str | None, value: Any, who: str) -> None:
        """Keep what somebody is writing: whole or not at all, so that a crash leaves the last one."""
        draft = Draft(path, base, value, who, self._stamp())
        self.write(self._draft_file(path), asdict(draft))

    def drop_draft(self, path: str) -> None:
        """Forget a draft."""
        self._draft_file(path).unlink(missing_ok=True)

    def history(self, path: str) -> list[Replaced]:
        """Give the states that saves replaced, the newest first."""
        states = []
        for file in sorted(self._history(path).glob("*.json"), reverse=True):
            stored = _read(file)
            with suppress(TypeError):
                if stored:
                    states.append(Replaced(**stored))
        return states

    def paths(self) -> list[str]:
        """Name the entries of which states are kept."""
        folder = self.folder / "history"
        return sorted(one.name.replace("~", "/") for one in folder.iterdir()) if folder.is_dir() else []

    def keep_state(self, path: str, before: str | None, after: str, who: str, what: str) -> None:
        """Keep what a save replaces."""
        there = self.history(path)
        number = there[0].number + 1 if there else 1
        folder = self._history(path)
        self.write(
            folder / f"{number:06d}.json", asdict(Replaced(number, before, after, who, self._stamp(), what))
        )
        for old in there[MAX_STATES - 1 :]:
            (folder / f"{old.number:06d}.json").unlink(missing_ok=True)

    def _draft_file(self, path: str) -> Path:
        return self.folder / "drafts" / f"{path.replace('/', '~')}.json"

    def _history(self, path: str) -> Path:
        return self.folder / "history" / path.replace("/", "~")

    def _stamp(self) -> str:
        return self._now().isoformat(timespec="seconds")

    @staticmethod
    def write(file: Path, values: dict[str, Any]) -> None:
        """Write a file of the drafts, whole or not at all."""
        file.parent.mkdir(parents=True, exist_ok=True)
        write_atomically(file, json.dumps(values, ensure_ascii=False, indent=1).encode())


def _read(file: Path) -> dict[str, Any] | None:
    try:
        stored = json.loads(file.read_text("utf-8"))
    except (OSError, ValueError, RecursionError):
        return None
    return stored if isinstance(stored, dict) else None


class Locks:
    """Who is writing which entry: held by a page while it shows signs of life, in memory only."""

    def __init__(self, now: Callable[[], datetime]) -> None:
        self._now = now
        self._held: dict[str, tuple[str, str, datetime]] = {}

    def take(self, path: str, page: str, who: str) -> str:
        """Take or renew the lock of an entry for a page; give the name of whoever else holds it, or ""."""
        held = self._held.get(path)
        now = self._now()
        if held and held[0] != page and (now - held[2]).total_seconds() < LOCK_SECONDS:
            return held[1]
        self._held[path] = (page, who, now)
        return ""

    def take_over(self, path: str, page: str, who: str) -> None:
        """Take the lock from whoever holds it."""
        self._held[path] = (page, who, self._now())

    def release(self, path: str, page: str) -> None:
        """Let go of a lock."""
        if path in self._held and self._held[path][0] == page:
            del self._held[path]
