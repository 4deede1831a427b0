"""Review: who approved what and when, what is due, and whether it has changed since.

Nothing is said about days that have passed unless the day is given.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import Any

from limberleaf.clinical.approval import LOCK, Approved, approvable, edit_since, lock_of, reviewed_anew
from limberleaf.clinical.review import add_span, due_day, state
from limberleaf.findings import Finding, Place
from limberleaf.library import Clinic, Library, Loaded


def check_review(library: Library, today: date | None = None) -> Iterator[Finding]:
    """Say approvals without a name or day, edits that need a new review and what is due."""
    for _, loaded in approvable(library):
        yield from _approval(loaded, library.settings)
        if today:
            yield from _due(loaded, library.settings, today)
    yield from _edits(library)


def _approval(loaded: Loaded[Any], clinic: Clinic) -> Iterator[Finding]:
    review, source = loaded.entry.review, loaded.source
    if not review.approved_by:
        yield Finding(
            "error",
            "approved-by-nobody",
            "The entry is approved, but nobody is named who approved it.",
            "Add `approved_by:` with a role, or set `status: in_review`.",
            source.place(("review",)),
        )
    elif review.approved_by == review.owner:
        yield Finding(
            "note",
            "approved-by-owner",
            "The role that keeps the entry has approved it as well.",
            "A second pair of eyes is common practice; name another role where you can.",
            source.place(("review", "approved_by")),
        )
    if not review.reviewed:
        yield Finding(
            "error",
            "approved-not-reviewed",
            "The entry is approved, but has no day of review.",
            "Add `reviewed:` with the day, or set `status: in_review`.",
            source.place(("review",)),
        )
    elif review.due and review.due > add_span(review.reviewed, clinic.review.interval):
        latest = add_span(review.reviewed, clinic.review.interval)
        yield Finding(
            "warning",
            "due-too-late",
            f"The next review is later than the clinic's interval allows; that would be {latest}.",
            f"Write `due: {latest}` or leave `due:` out.",
            source.place(("review", "due")),
        )


def _due(loaded: Loaded[Any], clinic: Clinic, today: date) -> Iterator[Finding]:
    review, source = loaded.entry.review, loaded.source
    if review.reviewed and review.reviewed > today:
        yield Finding(
            "error",
            "reviewed-in-future",
            f"The day of review, {review.reviewed}, is still to come.",
            "Correct the day.",
            source.place(("review", "reviewed")),
        )
    place = source.place(("review", "due") if review.due else ("review",))
    due = due_day(review, clinic)
    if state(review, clinic, today) == "overdue":
        yield Finding(
            "warning",
            "review-overdue",
            f"The review was due on {due}. The page goes on showing both dates.",
            f"{review.owner}: review it, then set `reviewed:`, `due:` and `version:`.",
            place,
        )
    elif state(review, clinic, today) == "due_soon":
        yield Finding(
            "note",
            "review-due-soon",
            f"The review is due on {due}.",
            f"{review.owner}: plan it now.",
            place,
        )


def _edits(library: Library) -> Iterator[Finding]:
    lock = lock_of(library)
    if lock is None:
        return
    for number in lock.bad_lines:
        yield Finding(
            "error",
            "lock-not-readable",
            "This line cannot be read as an approval.",
            "Take the file back from your version history, or delete the line and record the approval again.",
            Place(LOCK, number, 1),
        )
    for name, loaded in approvable(library):
        approved = lock.entries.get(name)
        if approved is None:
            yield Finding(
                "note",
                "approval-not-recorded",
                f"The approval is not in {LOCK} yet, so later edits cannot be told minor or major.",
                "Record approvals with `limberleaf review --record`.",
                loaded.source.place(("status",)),
            )
        else:
            yield from _edit(loaded, approved)


def _edit(loaded: Loaded[Any], approved: Approved) -> Iterator[Finding]:
    entry, source = loaded.entry, loaded.source
    edit = edit_since(entry, approved)
    if edit.level == "major" and not reviewed_anew(entry, approved):
        fields = ", ".join(edit.fields)
        yield Finding(
            "error",
            "major-edit-not-reviewed",
            f"Changed since the approval of version {approved.version}: {fields}. That is a major edit.",
            "Have it reviewed: set a new `reviewed:` day and the next `version:`; until then `status: in_review`.",
            source.place((edit.fields[0],), key=True),
        )
    elif (
        edit.level != "major"
        and entry.review.reviewed != approved.reviewed
        and (entry.review.version == approved.version)
    ):
        yield Finding(
            "note",
            "reviewed-without-change",
            f"Reviewed again without a major edit; the version stays {approved.version}.",
            "Record it with `limberleaf review --record`.",
            source.place(("review", "reviewed")),
        )
