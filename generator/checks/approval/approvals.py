"""Approvals: what was approved is unchanged, word for word, and whatever has changed or gone is named.

The lock (clinical/governance/approval.py) keeps every approved text, so an edit is reported item by item.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from limberleaf.checks.approval.places import place_of
from limberleaf.checks.together import together
from limberleaf.clinical.governance.approval import (
    Part,
    edit_since,
    everything,
    is_minor,
    lock_of,
    now,
    parts,
    recorded,
)
from limberleaf.clinical.governance.approvers import language_of
from limberleaf.clinical.governance.difference import Difference, differences
from limberleaf.clinical.governance.lock import LOCK, Approved, Lock
from limberleaf.clinical.governance.names import with_titles
from limberleaf.clinical.governance.waiting import retirement
from limberleaf.findings import Finding, Place
from limberleaf.library import Library
from limberleaf.library.models.record import Entry
from limberleaf.store.nodes import each

MOST = 12
"""The most differences reported for one entry; a rewritten one is read as a whole."""

RECORD = "Have it reviewed: `limberleaf review --record` shows each change and asks for a yes to each."


def _lock(library: Library) -> Iterator[Finding]:
    lock = lock_of(library)
    yield from _no_lock(library) if lock is None else _readable(lock)


def _changed(library: Library) -> Iterator[Finding]:
    lock = lock_of(library)
    if lock is None:
        return
    begun = bool(lock.entries) or any(isinstance(part.entry, Entry) for part in parts(library))
    for part in parts(library, each):
        approved = lock.entries.get(part.name)
        if approved is None:
            if begun:
                yield _not_recorded(part)
        else:
            given = (part.entry, approved)
            found = library.read_cache.cached(
                ("approval", part.name), given, _edits, part, approved, library.settings.language
            )
            yield from (replace(one, message=with_titles(one.message, library)) for one in found)


def _no_lock(library: Library) -> Iterator[Finding]:
    if not any(isinstance(part.entry, Entry) for part in parts(library)):
        return
    yield Finding(
        "error",
        "lock-missing",
        f"{LOCK} is missing: nothing shows what was approved, so a box or a stop rule could vanish unseen.",
        "Take it back from your version history. Is there none? List the roles that may approve in clinic.yml "
        "(`review: approvers: [...]`) and record every approval: `limberleaf review --record`.",
        Place(LOCK),
    )


def _readable(lock: Lock) -> Iterator[Finding]:
    for number in lock.bad_lines:
        yield Finding(
            "error",
            "lock-not-readable",
            "This line cannot be read as an approval.",
            "Take the file back from your version history; after a merge keep both sides' entries and run "
            "`limberleaf review --record`.",
            Place(LOCK, number, 1),
        )
    if not lock.whole:
        yield Finding(
            "error",
            "lock-cut-short",
            "The last line does not fit the lines above it: approvals were cut out, or two versions were merged.",
            "Compare it with your version history. Once all is there, `limberleaf review --record` mends the end.",
            Place(LOCK),
        )


def _not_recorded(part: Part) -> Finding:
    return Finding(
        "error",
        "approval-not-recorded",
        f"Nobody's approval of this is recorded in {LOCK}, whatever `status:` and `reviewed:` say.",
        "A role of the clinic's approvers records it: `limberleaf review --record`.",
        part.source.place(("status",)),
    )


def _edits(part: Part, approved: Approved, first: str) -> Iterator[Finding]:
    edit = edit_since(part.entry, approved)
    stated = now(part.entry)
    if edit.level != "none":
        listed = [
            one
            for one in differences(approved.fields, stated.fields, language_of(part.name, first))
            if one.loc[0] in edit.fields
        ]
        for difference in listed[:MOST]:
            yield _finding(part, approved, difference)
        if len(listed) > MOST:
            yield Finding(
                "error",
                "major-edit-not-reviewed",
                f"{len(listed) - MOST} more lines differ from what was approved as version {approved.version}.",
                RECORD,
                part.source.place(),
            )
    if not recorded(part.entry, approved):
        down = stated.version < approved.version
        wrote = f"version {stated.version}, {stated.reviewed}, {stated.approved_by}"
        yield Finding(
            "error",
            "version-went-down" if down else "review-typed",
            f"This review ({wrote}) is not the recorded one (version {approved.version}, {approved.reviewed}, "
            f"{approved.approved_by}).",
            "A review is not typed but recorded: `limberleaf review --record` writes it here.",
            part.source.place(("review", "version" if down else "reviewed"), key=True),
        )


def _finding(part: Part, approved: Approved, difference: Difference) -> Finding:
    minor = is_minor(str(difference.loc[0])) and not difference.weakens
    code = (
        "major-edit-not-reviewed"
        if difference.kind in ("wording", "value", "line-added", "record")
        else f"changed-{difference.kind}"
    )
    return Finding(
        "warning" if minor else "error",
        "edit-not-recorded" if minor else code,
        f"Changed since the approval of version {approved.version}: {difference.loc[0]}. {difference.says}",
        RECORD,
        place_of(part, difference.loc, difference.new),
    )


def _gone(library: Library) -> Iterator[Finding]:
    lock, there = lock_of(library), {part.name for part in parts(library)}
    known = dict(everything(library))
    if lock is None:
        return
    for name in lock.entries:
        if name in there or _is_unread(library, name):
            continue
        loaded = known.get(name)
        first = retirement(lock.entries[name].waiting)
        if first is not None:
            yield Finding(
                "warning",
                "retired-by-one",
                f"Only one person has agreed to take “{name}” away for good ({first.agreed}){_meant(name, lock)}.",
                f"A second person says the same yes: `limberleaf review --retire {name}`. Was it wrong? Put the file "
                "back.",
                loaded.source.place(("status",)) if loaded else Place(f"{name}.yml"),
            )
        elif loaded is None:
            yield Finding(
                "error",
                "approved-gone",
                f"“{name}” was approved and its file is gone{_meant(name, lock)}.",
                "Put the file back. To take it away for good: "
                f'`limberleaf review --retire {name} --because "..."`.',
                Place(f"{name}.yml"),
            )
        elif loaded.entry.status != "retired":
            yield Finding(
                "error",
                "approved-withdrawn",
                f"“{name}” was approved and is on no page any more: its status is {loaded.entry.status}"
                f"{_meant(name, lock)}.",
                "Approve the new words (`limberleaf review --record`), or take it away for good with `status: retired` "
                "and `retired_because:`.",
                loaded.source.place(("status",)),
            )
        elif name.startswith(
            "cautions/"
        ):  # what takes nothing from what people are warned of needs no approval
            yield Finding(
                "warning",
                "retirement-not-recorded",
                f"“{name}” was approved, and nobody's yes to take it away is recorded{_meant(name, lock)}.",
                f'Two people say it: `limberleaf review --retire {name} --because "..."`.',
                loaded.source.place(("status",)),
            )


def _is_unread(library: Library, name: str) -> bool:
    """Tell whether the file of a name in the lock is there and could not be read, or has no search words any more."""
    folder, _, stem = name.partition("/")
    if name == "settings/words" and library.words:
        return True
    if folder == "settings":
        return any(one.place.path == f"{stem}.yml" for one in library.findings if one.severity == "error")
    return stem in library.unread("exercises" if folder == "translations" else folder)


def _meant(name: str, lock: Lock) -> str:
    fields = lock.entries[name].fields
    if "signs" in fields:
        return f". Patients are no longer warned of: {' '.join(fields['signs'])}"[:300]
    return ""


check_approvals = together(_lock, _changed, _gone)
"""Say what was approved and has changed or gone, and a lock that is missing, cut short or cannot be read."""
