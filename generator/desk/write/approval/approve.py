"""Approving at the desk: what changed item by item, the figure before and after, who may, and the command's own record.

With `two_people` in the settings a first yes waits beside the store until somebody in another role, under another
name, says yes to the very same text. Without it what matters for safety is recorded and waits for such a second person
(approve_second.py).
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from limberleaf.clinical.governance.approval import (
    Part,
    edit_since,
    handed_over_with_more,
    lock_of,
    now,
    recorded,
)
from limberleaf.clinical.governance.approvers import language_of, reads, roles_for
from limberleaf.clinical.governance.difference import Difference, differences
from limberleaf.clinical.governance.lock import Agreed, Lock, Reason
from limberleaf.clinical.governance.names import titled_differences
from limberleaf.clinical.governance.recording import (
    agreed_to,
    is_reason,
    review_of,
    reviewed_text,
    write_approvals,
)
from limberleaf.desk.answers import Asked
from limberleaf.desk.write.approval.approve_second import Confirming
from limberleaf.desk.write.entry_findings import findings_data, findings_of
from limberleaf.desk.write.entry_state import EntryState, marks_data, read_words, state_of
from limberleaf.desk.write.form.form_words import form_words
from limberleaf.desk.write.kinds import Target
from limberleaf.desk.write.posing.shown import drawn_panels
from limberleaf.desk.write.words import DeskWords, desk_words
from limberleaf.desk.write.workspace import RefusedToWriteError, Workspace
from limberleaf.diagrams.language.spec import FigureSpec
from limberleaf.figures import Figures
from limberleaf.library import Exercise
from limberleaf.library.models.exercise import drawn_as
from limberleaf.library.yaml.yaml_edit import edited, plain_values


class Approving:
    """The questions about the approval of an entry."""

    def __init__(self, workspace: Workspace, figures: Figures) -> None:
        self._work, self._figures = workspace, figures
        self._second = Confirming(workspace, self._state)

    @property
    def questions(self) -> Mapping[str, Callable[[Asked], Any]]:
        """Give the questions by name."""
        return {"approval": self.shown, "approve": self.approve, "confirm": self._second.confirm}

    def _state(self, asked: Asked) -> tuple[Target, EntryState, str]:
        """Give the entry as it would be once approved, and the text on disk."""
        target = self._work.target(asked.get("path"))
        text = self._work.text(target)
        if text is None:
            raise RefusedToWriteError("Save the entry first.")
        state = state_of(self._work.desk.library, target, text)
        if state.entry is None:
            raise RefusedToWriteError("The entry is not whole yet: see what is marked in it, and save again.")
        if state.entry.status == "retired":
            raise RefusedToWriteError("A retired entry is not approved.")
        if state.entry.status != "approved":
            value = plain_values(state.source.node) if state.source.node else {}
            state = state_of(self._work.desk.library, target, edited(text, {**value, "status": "approved"}))
        return target, state, text

    def shown(self, asked: Asked) -> dict[str, Any]:
        """Show what an approval would cover."""
        target, state, text = self._state(asked)
        approved = self._lock.entries.get(target.lock_name)
        changes = self._differences(target, state)
        before, after = self._figure(approved.fields if approved else {}, state)
        library = self._work.desk.library
        owner = state.entry.review.owner.casefold()
        if (
            approved
            and not changes
            and recorded(state.entry, approved)
            and edit_since(state.entry, approved).level == "none"
        ):
            if waiting := self._second.shown(target, state):
                return waiting
            raise RefusedToWriteError(f"Nothing changed since it was approved as version {approved.version}.")
        return {
            "fingerprint": _fingerprint(text),
            "never": approved is None,
            "differences": [
                {"says": one.says, "loc": list(one.loc), "safety": one.safety, "weakens": one.weakens}
                for one in changes
            ],
            "before": before,
            "after": after,
            "roles": [
                role
                for role in self._roles(target)
                if role.casefold() != owner
                and not (approved and handed_over_with_more(state.entry, approved, role))
            ],
            "open": self._open_findings(state, desk_words(str(asked.get("language") or "en"))),
            "two": library.settings.review.two_people,
            "first": self._first(target, text),
        }

    @property
    def _lock(self) -> Lock:
        return lock_of(self._work.desk.library) or Lock({})

    def _differences(self, target: Target, state: EntryState) -> list[Difference]:
        approved = self._lock.entries.get(target.lock_name)
        if approved is None:
            return []
        language = language_of(target.lock_name, self._work.desk.library.settings.language)
        changes = differences(approved.fields, now(state.entry).fields, language)
        return titled_differences(changes, self._work.desk.library)

    def _open_findings(self, state: EntryState, words: DeskWords) -> list[dict[str, Any]]:
        """Give all that is open as data, marks on the words among it."""
        value = plain_values(state.source.node) if state.source.node else {}
        marks = marks_data(
            *read_words(state, value, self._work.desk.readings), form_words(state.target.kind, words)
        )
        found = findings_of(
            state, self._work.today(), self._figures, self._work.desk.readings.store, whole=True
        )
        return [*findings_data(state.target.kind, found, words), *marks]

    def _roles(self, target: Target) -> list[str]:
        """Give the roles that may approve in the language of the entry."""
        settings = self._work.desk.library.settings
        return roles_for(language_of(target.lock_name, settings.language), settings, self._lock)

    def _figure(self, old: Mapping[str, Any], state: EntryState) -> tuple[list[str], list[str]]:
        if not isinstance(state.entry, Exercise):
            return [], []
        one_sided = state.entry.sides != "both"
        adult = self._work.desk.library.settings.adult_for(state.entry.code)
        before: list[str] = []
        if old.get("figure"):
            try:
                figure = drawn_as(str(old.get("kind", "")), FigureSpec.model_validate(old["figure"]))
                before = drawn_panels(figure, adult, one_sided=one_sided)
            except ValidationError:
                before = []
        return before, drawn_panels(state.entry.drawn, adult, one_sided=one_sided)

    # --- saying yes --------------------------------------------------------------------------------------------------

    def approve(self, asked: Asked) -> dict[str, Any]:
        """Record a yes: the first of two, or the approval itself."""
        target, state, text = self._state(asked)
        role, who = self._role(asked, target, state), str(asked.get("who") or "")
        if asked.get("fingerprint") != _fingerprint(text):
            raise RefusedToWriteError("The entry changed while you read it. Read it again.")
        if asked.get("read") is not True:
            raise RefusedToWriteError("Say that you have read the whole page.")
        changes = self._differences(target, state)
        why = self._why(asked, changes)
        found = self._open_findings(state, desk_words(str(asked.get("language") or "en")))
        broken = next((one for one in found if one.get("severity", one.get("level")) == "error"), None)
        if broken:
            where = f"{broken['where']}: " if broken["where"] else ""
            raise RefusedToWriteError(f"This needs fixing first. {where}{broken['message']}")
        library = self._work.desk.library
        second = None
        if library.settings.review.two_people:
            if not who.strip():
                raise RefusedToWriteError("Two people approve here: write your name at the start page first.")
            first = self._first(target, text)
            if first is None:
                self._keep_first(target, text, role, who)
                return {
                    "recorded": False,
                    "message": f"{role} said yes. Now a second person in another role reads it.",
                }
            if first["role"] == role or _same_person(first["who"], who):
                raise RefusedToWriteError("The second yes comes from another person, in another role.")
            second = Reason(
                "Read by two people.",
                self._work.today(),
                first["role"],
                "Read first and said yes to this text.",
            )
        old = self._lock.entries.get(target.lock_name)
        agreed = agreed_to(old, changes, (role, self._work.today()), why, second=second)
        self._record(target, state, text, role, agreed, who)
        message = f"Approved by {role}, and recorded."
        if agreed.waiting:
            message += (
                f" A second person compares old and new of {len(agreed.waiting)} changes: Approve shows them."
            )
        return {"recorded": True, "message": message}

    def _role(self, asked: Asked, target: Target, state: EntryState) -> str:
        approvers, role = self._work.desk.library.settings.review.approvers, str(asked.get("role") or "")
        if not approvers:
            raise RefusedToWriteError(
                "The clinic's settings list no roles that may approve (Review: approvers)."
            )
        if role not in approvers:
            raise RefusedToWriteError("Choose the role in which you approve.")
        if role.casefold() == state.entry.review.owner.casefold():
            raise RefusedToWriteError(f"{role} keeps this entry, so another role must approve it.")
        approved = self._lock.entries.get(target.lock_name)
        if approved and handed_over_with_more(state.entry, approved, role):
            raise RefusedToWriteError(
                f"{role} kept this entry until now: first have the new keeper approved alone and confirmed."
            )
        language = language_of(target.lock_name, self._work.desk.library.settings.language)
        if not reads(role, language, self._work.desk.library.settings):
            raise RefusedToWriteError(f"{role} does not read “{language}”, so another role must approve it.")
        return role

    def _why(self, asked: Asked, changes: list[Difference]) -> dict[Difference, str]:
        """Give the reason for each change that can take a safeguard away."""
        yes = asked.get("yes")
        answers = yes if isinstance(yes, list) else []
        if len(answers) != len(changes) or not all(
            isinstance(one, dict) and one.get("yes") is True for one in answers
        ):
            raise RefusedToWriteError("Say yes to each change, or change it first.")
        reasons = {}
        for change, answer in zip(changes, answers, strict=True):
            if change.weakens:
                why = str(answer.get("why") or "").strip()
                if not is_reason(why):
                    raise RefusedToWriteError(f"Say in a sentence why this is safe: {change.says}")
                reasons[change] = why
        return reasons

    def _record(
        self, target: Target, state: EntryState, text: str, role: str, agreed: Agreed, who: str
    ) -> None:
        library = self._work.desk.library
        part = Part(target.lock_name, state.entry, state.source)
        assert review_of(part) is not None  # noqa: S101 - every kind the desk approves carries a review
        written = reviewed_text(
            part, self._lock.entries.get(target.lock_name), role, self._work.today(), library
        )
        self._work.draft_store.keep_state(
            target.path, text, written or state.source.text, who, f"approved by {role}"
        )
        write_approvals(
            library, self._lock, {target.path: written or state.source.text}, {target.lock_name: agreed}
        )
        self._first_file(target).unlink(missing_ok=True)

    # --- the first of two --------------------------------------------------------------------------------------------

    def _first_file(self, target: Target) -> Path:
        return self._work.draft_store.folder / "first-yes" / f"{target.path.replace('/', '~')}.json"

    def _first(self, target: Target, text: str) -> dict[str, str] | None:
        """Give the first yes to this very text, or None."""
        try:
            first = json.loads(self._first_file(target).read_text("utf-8"))
        except (OSError, ValueError):
            return None
        return first if isinstance(first, dict) and first.get("fingerprint") == _fingerprint(text) else None

    def _keep_first(self, target: Target, text: str, role: str, who: str) -> None:
        first = {
            "fingerprint": _fingerprint(text),
            "role": role,
            "who": who,
            "when": self._work.today().isoformat(),
        }
        self._work.draft_store.write(self._first_file(target), first)


def _same_person(first: str, second: str) -> bool:
    """Tell whether two typed names are one person's; without a name nobody can tell, so they are."""
    names = [" ".join(name.casefold().split()) for name in (first, second)]
    return "" in names or names[0] == names[1]


def _fingerprint(text: str) -> str:
    return hashlib.blake2b(text.encode(), digest_size=16).hexdigest()
