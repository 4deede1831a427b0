"""Confirming at the desk: a second person compares old and new of what one person agreed to.

It does what `limberleaf review --confirm` does, by the same code.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from limberleaf.clinical.governance.approval import edit_since, lock_of, now
from limberleaf.clinical.governance.approvers import why_not_confirm
from limberleaf.clinical.governance.lock import LOCK, Lock
from limberleaf.clinical.governance.places import show
from limberleaf.clinical.governance.recording import confirmed_text
from limberleaf.clinical.governance.waiting import Waiting, caption_beside, titled
from limberleaf.desk.answers import Asked
from limberleaf.desk.write.entry_state import EntryState
from limberleaf.desk.write.kinds import Target
from limberleaf.desk.write.workspace import RefusedToWriteError, Workspace
from limberleaf.output import write_atomically


class Confirming:
    """What waits for a second person in an entry, and the yes to it."""

    def __init__(
        self, workspace: Workspace, state_of_asked: Callable[[Asked], tuple[Target, EntryState, str]]
    ) -> None:
        self._work, self._state = workspace, state_of_asked

    def shown(self, target: Target, state: EntryState) -> dict[str, Any] | None:
        """Give what waits as data; None when nothing does, or when the words changed again since."""
        waiting = self._waiting(target, state)
        if not waiting:
            return None
        library = self._work.desk.library
        lock = lock_of(library) or Lock({})
        may = [
            role
            for role in library.settings.review.approvers
            if any(self._refused(one, target, state, role, lock) is None for one in waiting)
        ]
        fields = now(state.entry).fields
        rows = [
            {
                "key": one.key,
                "where": titled(one),
                "loc": list(one.loc),
                "says": one.says,
                "was": show(one.old),
                "now": show(one.new),
                "agreed": one.agreed,
                "caption": caption_beside(one, fields),
            }
            for one in waiting
        ]
        return {"waiting": rows, "roles": may}

    def confirm(self, asked: Asked) -> dict[str, Any]:
        """Take a second person's yes to the changes with the given keys."""
        target, state, _ = self._state(asked)
        role, keys = str(asked.get("role") or ""), asked.get("keys")
        if role not in self._work.desk.library.settings.review.approvers:
            raise RefusedToWriteError("Choose the role in which you confirm.")
        chosen = [one for one in self._waiting(target, state) if isinstance(keys, list) and one.key in keys]
        if not chosen:
            raise RefusedToWriteError("Say yes to the changes you compared, or change the entry first.")
        library, today = self._work.desk.library, self._work.today()
        lock = lock_of(library) or Lock({})
        for one in chosen:
            refused = self._refused(one, target, state, role, lock)
            if refused:
                raise RefusedToWriteError(refused)
        done = {target.lock_name: tuple(chosen)}
        text = confirmed_text(library, lock, done, role, today)
        write_atomically(library.root / LOCK, text.encode())
        return {"recorded": True, "message": f"Confirmed by {role}: {len(chosen)}."}

    def _waiting(self, target: Target, state: EntryState) -> tuple[Waiting, ...]:
        lock = lock_of(self._work.desk.library)
        approved = lock.entries.get(target.lock_name) if lock else None
        if approved is None or edit_since(state.entry, approved).level != "none":
            return ()
        return approved.waiting

    def _refused(self, one: Waiting, target: Target, state: EntryState, role: str, lock: Lock) -> str | None:
        signed, settings = (role, self._work.today()), self._work.desk.library.settings
        return why_not_confirm(one, target.lock_name, signed, state.entry.review.owner, settings, lock)
