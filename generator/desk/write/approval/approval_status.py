"""How an entry stands: approved as it is, changed since, or never approved; form and preview say it alike."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import NamedTuple

from limberleaf.clinical.governance.approval import edit_since, lock_of, recorded
from limberleaf.desk.write.entry_state import EntryState
from limberleaf.desk.write.kinds import overlaid
from limberleaf.desk.write.words import DeskWords
from limberleaf.library import Library
from limberleaf.words import interface_words


class ApprovalStatus(NamedTuple):
    """`state` is approved, minor (approved, and only what is minor changed), changed, never, or "" for what has none.

    `by` and `on` are who approved it last, and when.
    """

    state: str
    by: str = ""
    on: date | None = None

    def data(self, words: DeskWords) -> dict[str, str]:
        """Give it as data, with the sentence to show."""
        day = interface_words(words.language).day
        on = day(self.on) if self.on else ""
        sentence = words.say(f"standing.{self.state}", by=self.by, on=on) if self.state else ""
        return {"state": self.state, "says": sentence}


def approval_status_of(state: EntryState) -> ApprovalStatus:
    """Tell how an entry stands as it is typed."""
    if state.target.kind == "clinic":
        return ApprovalStatus("")
    lock = lock_of(state.library)
    approved = lock.entries.get(state.target.lock_name) if lock else None
    if approved is None:
        return ApprovalStatus("never")
    who = (approved.approved_by or "", approved.reviewed)
    entry = state.entry
    if entry is None or entry.status != "approved" or not recorded(entry, approved):
        return ApprovalStatus("changed", *who)
    names: Mapping[str, str] = {"none": "approved", "minor": "minor", "major": "changed"}
    return ApprovalStatus(names[edit_since(entry, approved).level], *who)


def marked_with_status(state: EntryState, standing: ApprovalStatus) -> Library:
    """Give the library for the preview: a page nobody approved as it is says so, and names no reviewer.

    A translation has a page only while it is approved: it stays so, and the banner beside the page says what it is.
    """
    entry = state.shown
    if entry is None or standing.state in ("approved", "minor", "") or entry.status == "retired":
        return state.library
    review = entry.review.model_copy(update={"approved_by": None, "reviewed": None, "due": None})
    source = state.partial[0].source if state.partial else state.source
    status = "approved" if state.target.language else "in_review"
    open_one = entry.model_copy(update={"status": status, "review": review})
    return overlaid(state.library, state.target, source, open_one)
