"""One content folder as people write in it: open an entry, look at what is typed, save, take back, all of it safely.

What is typed is kept as a draft beside the store at every look. A save writes the file in one step, and only when it
still says what the writer began from; otherwise the three texts are laid side by side and nothing is written.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from typing import Any

from limberleaf.desk.read.changes import written_fields
from limberleaf.desk.site import Desk
from limberleaf.desk.write.drafts import Draft, DraftStore, Locks
from limberleaf.desk.write.entry_state import EntryState, state_of
from limberleaf.desk.write.form.fields import typed
from limberleaf.desk.write.kinds import Target, target_of, values_of
from limberleaf.library.files import read_text
from limberleaf.library.yaml.yaml_edit import CannotEditError, edited
from limberleaf.output import OutputError, explained, text_bytes, write_atomically, write_new


class RefusedToWriteError(Exception):
    """What was asked is not done; the text says why and a way out."""


@dataclass(frozen=True)
class Opened:
    """An entry to write in: the text on disk (None: not there yet), its values, and a draft that was left."""

    target: Target
    text: str | None
    value: Any
    draft: Draft | None
    unreadable: str = ""


@dataclass(frozen=True)
class Conflict:
    """One part of an entry that differs: as it was, as it is on disk now, and as it was typed."""

    key: str
    base: str
    theirs: str
    mine: str
    both: bool


class Workspace:
    """Reads and writes entries below one content folder; `desk` gives its present state."""

    def __init__(
        self, content: Path, desk: Callable[[], Desk], today: Callable[[], date], now: Callable[[], datetime]
    ) -> None:
        self.content, self._desk, self.today = content, desk, today
        self.draft_store, self.locks = DraftStore(content, now), Locks(now)

    @property
    def desk(self) -> Desk:
        """Give the desk over the folder as it is now."""
        return self._desk()

    def target(self, path: object) -> Target:
        """Give what a path names; refuse what the desk does not write."""
        target = target_of(path) if isinstance(path, str) else None
        if target is None:
            raise RefusedToWriteError("The desk does not write this file.")
        return target

    def text(self, target: Target) -> str | None:
        """Give the text on disk; None when there is no such file."""
        file = self.content / target.path
        if not file.exists():
            return None
        text, finding = read_text(file, self.content, target.path)
        if finding:
            raise RefusedToWriteError(f"{finding.message} {finding.hint}")
        return text

    def open(self, path: object) -> Opened:
        """Open an entry or a draft of one."""
        target = self.target(path)
        text, draft = self.text(target), self.draft_store.draft(target.path)
        if text is None and draft is None:
            raise RefusedToWriteError("There is no such entry.")
        base = text if text is not None else (draft.base if draft and draft.base is not None else "{}")
        value, why = values_of(base)
        return Opened(target, text, value, draft, why)

    def written(self, target: Target, base: str | None, value: Any) -> str:
        """Give the text that `value` makes of the text it began from; refuse what cannot be written."""
        if not isinstance(value, Mapping):
            raise RefusedToWriteError("Send the entry as keys and values.")
        try:
            written = typed(target.model, value, by_line=bool(target.language))
            return edited(base or _empty(target), written)
        except CannotEditError as error:
            raise RefusedToWriteError(str(error)) from None

    def state(self, target: Target, base: str | None, value: Any) -> EntryState:
        """Give the entry as it is typed, in the library."""
        return state_of(self.desk.library, target, self.written(target, base, value))

    def conflicts(self, target: Target, base: str | None, value: Any) -> list[Conflict]:
        """Lay side by side what differs when the file changed on disk meanwhile; nothing when it did not."""
        theirs = self.text(target)
        if theirs == base:
            return []
        mine = self.written(target, base, value)
        three = [written_fields(one) for one in (base or "", theirs or "", mine)]
        keys = [key for key in dict.fromkeys(key for one in three for key in one) if key]
        return [
            Conflict(key, was, there, typed_now, len({was, there, typed_now}) == 3)
            for key in keys
            for was, there, typed_now in [tuple(one.get(key, "") for one in three)]
            if not was == there == typed_now
        ]

    def save(self, target: Target, base: str | None, value: Any, who: str, what: str = "") -> str:
        """Write the entry, and give its new text; raises RefusedToWriteError when the file is not what `base` says."""
        text = self.written(target, base, value)
        if self.text(target) != base:
            raise RefusedToWriteError("The file changed meanwhile.")
        if text != base:
            self.write(target, base, text, who, what)
        self.draft_store.drop_draft(target.path)
        return text

    def write(self, target: Target, before: str | None, text: str, who: str, what: str) -> None:
        """Write a text in place of `before`, and keep `before` for taking it back."""
        file = self.content / target.path
        self.draft_store.keep_state(target.path, before, text, who, what)
        try:
            if before is None:
                write_new({file: text})
            else:
                write_atomically(file, text_bytes(file, text))
        except OutputError as error:
            raise RefusedToWriteError(str(error)) from None
        except OSError as error:
            raise RefusedToWriteError(str(explained(error, file))) from None

    def take_back(self, target: Target, who: str) -> str:
        """Put back the text the last save replaced, and give it; the file must still be what that save wrote."""
        states = self.draft_store.history(target.path)
        present = self.text(target)
        if not states or present is None:
            raise RefusedToWriteError("There is nothing to take back.")
        last = states[0]
        if last.after != present:
            raise RefusedToWriteError("The file changed since the last save here, so nothing is taken back.")
        if last.text is None:
            raise RefusedToWriteError("This was the first save. To take the entry away, retire it.")
        self.write(target, present, last.text, who, "taken back")
        return last.text


def _empty(target: Target) -> str:
    """Give the text a new entry begins from: the key that names it."""
    if target.language:
        return f"translates: {{{'code' if target.kind == 'translation' else 'id'}: {target.name}}}\n"
    return f"{'code' if target.kind == 'exercise' else 'id'}: {target.name}\n"
