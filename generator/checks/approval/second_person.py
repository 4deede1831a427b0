"""Changes that one person agreed to: each is reported at its line until a second person has confirmed it."""

from __future__ import annotations

from collections.abc import Iterator

from limberleaf.checks.approval.places import place_of
from limberleaf.clinical.governance.approval import Part, lock_of, now, parts
from limberleaf.clinical.governance.approvers import language_of, roles_for
from limberleaf.clinical.governance.lock import LOCK, Approved, Lock
from limberleaf.clinical.governance.recording import review_of
from limberleaf.clinical.governance.waiting import is_first, place_now
from limberleaf.findings import Finding, Place
from limberleaf.library import Library
from limberleaf.store.nodes import each


def check_waiting(library: Library) -> Iterator[Finding]:
    """Say what waits for a second person, and what waited and was taken out of the lock by hand."""
    lock = lock_of(library)
    if lock is None or not any(one.waits for one in lock.entries.values()):
        return
    for part in parts(library, each):
        approved = lock.entries.get(part.name)
        if approved is None or not approved.waits:
            continue
        hint = _hint(library, lock, part, approved)
        for one in approved.waiting:
            yield Finding(
                "warning",
                "read-by-one" if is_first(one) else "approved-by-one",
                f"Only one person has agreed to this ({one.agreed}). {one.says}",
                hint,
                place_of(part, place_now(one, now(part.entry).fields), one.new),
            )
        if approved.lost:
            yield Finding(
                "error",
                "waiting-cut-out",
                f"{len(approved.lost)} changes of “{part.name}” that wait for a second person were taken out of {LOCK} "
                "or edited in it, so nobody can compare old and new.",
                f"Take {LOCK} back from your version history. Is there none? A second person reads the whole entry: "
                f"`limberleaf review --confirm --only {part.name}`.",
                Place(LOCK),
            )


def _hint(library: Library, lock: Lock, part: Part, approved: Approved) -> str:
    review = review_of(part)
    keeps = review.owner.casefold() if review else ""
    first = {one.by for one in approved.waiting}
    language = language_of(part.name, library.settings.language)
    roles = [one for one in roles_for(language, library.settings, lock) if one.casefold() != keeps]
    others = [one for one in roles if one not in first]
    who = " or ".join(others) if others else f"{' or '.join(roles) or 'the same role'}, on a later day"
    return (
        f"A second person compares old and new ({who}): `limberleaf review --confirm --only {part.name}`, or at the "
        "desk. Is the new one wrong? Put the old one back and have it recorded."
    )
