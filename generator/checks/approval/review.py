"""Review: who approved what and when, what is due, and whether it has changed since.

Reviews that are overdue are reported only when `today` is given.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import Any

from limberleaf.checks.approval.approvals import check_approvals
from limberleaf.checks.approval.lost_boxes import check_lost_boxes
from limberleaf.checks.approval.second_person import check_waiting
from limberleaf.checks.together import Check
from limberleaf.clinical.governance.approval import approvable
from limberleaf.clinical.governance.review import add_span, due_day, state
from limberleaf.findings import Finding
from limberleaf.library import Clinic, Library, Loaded
from limberleaf.store.nodes import each

UNDATED: tuple[Check, ...] = (check_approvals, check_waiting, check_lost_boxes)
"""What of a review does not depend on the day."""


def check_review(library: Library, today: date | None = None) -> Iterator[Finding]:
    """Say approvals without a name or day, edits that need a new review and what is due."""
    yield from check_due(library, today)
    for check in UNDATED:
        yield from check(library)


def check_due(library: Library, today: date | None = None) -> Iterator[Finding]:
    """Say approvals without a name or day, and what is due."""
    for _, loaded in approvable(library, each):
        yield from _approval(loaded, library.settings)
        if today:
            yield from _due(loaded, library.settings, today)


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
    elif review.approved_by.casefold() == review.owner.casefold():
        yield Finding(
            "error",
            "approved-by-owner",
            "The role that keeps the entry has approved it as well, so nobody else has read it.",
            "Have another role approve it: `limberleaf review --record --as ROLE`.",
            source.place(("review", "approved_by")),
        )
    elif clinic.review.approvers and review.approved_by not in clinic.review.approvers:
        yield Finding(
            "error",
            "approver-not-listed",
            f"“{review.approved_by}” is not a role that may approve here.",
            f"Roles that may: {', '.join(clinic.review.approvers)} (clinic.yml, `review: approvers:`).",
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
            "error",
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
    how = state(review, clinic, today)
    if how not in ("overdue", "due_soon"):
        return  # most entries; the place would cost more than all the rest
    place = source.place(("review", "due") if review.due else ("review",))
    due = due_day(review, clinic)
    if how == "overdue":
        yield Finding(
            "warning",
            "review-overdue",
            f"The review was due on {due}. The page goes on showing both dates.",
            f"{review.owner}: review it, then set `reviewed:`, `due:` and `version:`.",
            place,
        )
    else:
        yield Finding(
            "note",
            "review-due-soon",
            f"The review is due on {due}.",
            f"{review.owner}: plan it now.",
            place,
        )
