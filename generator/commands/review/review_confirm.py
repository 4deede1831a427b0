"""Confirming by a second person: old and new are shown one by one, and what is agreed to no longer waits."""

from __future__ import annotations

from datetime import date

import click

from limberleaf.clinical.governance.approval import Part, edit_since, lock_of, now, parts
from limberleaf.clinical.governance.approvers import language_of, roles_for, why_not_confirm, why_not_second
from limberleaf.clinical.governance.lock import LOCK, Approved, Lock
from limberleaf.clinical.governance.places import show
from limberleaf.clinical.governance.recording import confirmed_text, review_of
from limberleaf.clinical.governance.waiting import Waiting, caption_beside, titled
from limberleaf.commands.review.review_record import chosen_parts, listed_role
from limberleaf.library import Library
from limberleaf.output import write_atomically


def confirm_all(library: Library, only: tuple[str, ...], role: str, day: date) -> None:
    """Ask about each change that waits, in the entries that `only` names; nothing is written before the end."""
    lock = lock_of(library) or Lock({})
    role = listed_role(library, role)
    known = {part.name: part for part in parts(library)}
    waiting = {
        name: part for name, part in known.items() if name in lock.entries and lock.entries[name].waits
    }
    if not waiting:
        click.echo("Nothing waits for a second person.")
        return
    confirmed: dict[str, tuple[Waiting, ...]] = {}
    for part in chosen_parts(waiting, only, known):
        done = _asked(library, lock, part, role, day)
        if done is not None:
            confirmed[part.name] = done
    count = sum(map(len, confirmed.values()))
    if confirmed:
        text = confirmed_text(library, lock, confirmed, role, day)
        write_atomically(library.root / LOCK, text.encode())
    left = sum(len(lock.entries[name].waiting) for name in waiting) - count
    click.echo(f"{count} changes confirmed in {library.root / LOCK}; {left} wait for a second person.")


def _asked(library: Library, lock: Lock, part: Part, role: str, day: date) -> tuple[Waiting, ...] | None:
    """Ask about what waits in one entry; None when nothing was confirmed."""
    approved: Approved = lock.entries[part.name]
    click.echo(click.style(f"\n{part.name} ({part.source.path})", bold=True))
    if edit_since(part.entry, approved).level != "none":
        click.echo("  Its words changed since: have them recorded first (`limberleaf review --record`).")
        return None
    review = review_of(part)
    owner = review.owner if review else None
    if approved.lost:
        click.echo("  Some of what waited was taken out of the lock: read the whole entry.")
        never = ("", date.min)
        roles = roles_for(language_of(part.name, library.settings.language), library.settings, lock)
        refused = why_not_second(role, never, day, roles, owner)
        if refused or not click.confirm(f"  {role}: is all of it right?"):
            click.echo(f"  {refused or 'Left as it is.'}")
            return None
    fields = now(part.entry).fields
    # a day to come is not a later day: nobody has slept on it
    signed = (role, min(day, date.today()))
    done = [
        one
        for one in approved.waiting
        if _one(
            one,
            caption_beside(one, fields),
            why_not_confirm(one, part.name, signed, owner, library.settings, lock),
        )
    ]
    return tuple(done) if done or approved.lost else None


def _one(one: Waiting, caption: str, refused: str | None) -> bool:
    click.echo(f"  {titled(one)}: {one.says}")
    click.echo(f"    was:    {show(one.old)}")
    click.echo(f"    is now: {show(one.new)}")
    if caption:
        click.echo(f"    the picture's caption: {caption}")
    click.echo(f"    agreed: {one.agreed}")
    if refused:
        click.echo(f"  {refused}")
        return False
    return click.confirm("  Is the new one right for every patient who gets this?")
