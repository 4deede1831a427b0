"""What tables wrote, beside the result store: one working file serves all week.

A row knows the state of its entry when the table was written. Once the row was brought in, the entry has another state,
and only this trail tells that the row itself made it. Without the trail such a row counts as older than its entry.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path

from limberleaf.output import write_atomically
from limberleaf.store import FOLDER

TRAIL = "tables.json"
MAX_STEPS = 5_000
"""Steps that are kept; the oldest go first."""


class Trail:
    """Which state of an entry a row of a table led to. A state is the one of `entries.state_of`."""

    def __init__(self, content: Path) -> None:
        """Read the trail of a content folder; one that is missing or damaged is empty."""
        self._file = content.absolute().parent / FOLDER / TRAIL
        self._steps: list[list[str]] = []
        with suppress(OSError, ValueError):
            read = json.loads(self._file.read_text("utf-8"))
            self._steps = [step for step in read if _is_step(step)] if isinstance(read, list) else []

    def leads(self, path: str, as_of: str, now: str) -> bool:
        """Whether the row of a table of the state `as_of` wrote the entry as it is `now`."""
        return any(step[:3] == [path, as_of, now] for step in self._steps)

    def made(self, path: str, as_of: str) -> bool:
        """Whether a row with the mark `as_of` began the entry as a draft."""
        return any(step[0] == path and step[1] == as_of and step[3] == "new" for step in self._steps)

    def keep(self, steps: Iterable[tuple[str, str, str, bool]]) -> None:
        """Add steps, each a path, the state a row was of, the state it led to, and whether the entry is new.

        A folder that cannot be written costs only that the next table has to be a fresh one.
        """
        rows = [[path, as_of, after, "new" if new else ""] for path, as_of, after, new in steps]
        rows = [row for row in rows if row not in self._steps]
        if not rows:
            return
        with suppress(OSError):
            self._file.parent.mkdir(parents=True, exist_ok=True)
            write_atomically(self._file, json.dumps([*self._steps, *rows][-MAX_STEPS:], indent=0).encode())


def _is_step(step: object) -> bool:
    return isinstance(step, list) and len(step) == 4 and all(isinstance(part, str) for part in step)
