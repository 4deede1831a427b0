"""Recording approvals: every change is shown and asked for, and the review is written into the entry by rule."""

from __future__ import annotations

from datetime import date
from fnmatch import fnmatchcase as fnmatch
from typing import NamedTuple

import click

from limberleaf.checks.approval.approvals import language_of
from limberleaf.clinical.approval import (
    LOCK,
    Approved,
    Lock,
    Part,
    Reason,
    Retired,
    edit_since,
    lock_of,
    lock_text,
    now,
    parts,
    recorded,
)
from limberleaf.clinical.difference import Difference, differences, name_of
from limberleaf.clinical.recording import is_reason, review_of, reviewed_text, write_approvals
from limberleaf.library import Library
from limberleaf.output import write_atomically

NO_REASON = (
    'A “y” is no reason. Say why in a sentence, at the question or once for all: --because "Replaced by ...".'
)


class Signs(NamedTuple):
    """Who signs and when, the reason given for all changes (empty: ask), and the library's first language."""

    role: str
    day: date
    because: str
    first: str


def record_all(library: Library, only: tuple[str, ...], role: str, day: date, because: str) -> None:
    """Ask for a yes to each change of each entry, then write reviews and lock; nothing is written before the end.

    A change that can take a safeguard away asks for a reason as well, and `because` gives the same to all of them.
    """
    if because and not is_reason(because):
        raise click.ClickException(NO_REASON)
    if library.settings.review.two_people:
        raise click.ClickException(
            "This clinic asks two people for each approval: approve at the desk (`limberleaf desk`)."
        )
    before = lock_of(library) or Lock({})
    role = _role(library, role)
    known = {part.name: part for part in parts(library)}
    chosen = _chosen(known, only)
    texts: dict[str, str] = {}
    reasons: dict[str, tuple[Reason, ...]] = {}
    for part in chosen:
        old = before.entries.get(part.name)
        given = _asked(part, old, Signs(role, day, because, library.settings.language))
        if given is None:
            continue
        reasons[part.name] = given
        text = reviewed_text(part, old, role, day, library)
        if text is not None:
            texts[part.source.path] = text
    if not reasons:
        click.echo("Nothing to record.")
        if before.whole:
            return
    write_approvals(library, before, texts, reasons)
    click.echo(f"{len(reasons)} approvals recorded in {library.root / LOCK}")


def retire_one(library: Library, name: str, because: str, role: str, day: date) -> None:
    """Keep in the lock that something approved was taken away for good, by whom and why."""
    before = lock_of(library) or Lock({})
    role = _role(library, role)
    found = [known for known in before.entries if name in (known, known.partition("/")[2])]
    if len(found) != 1:
        raise click.ClickException(
            f"{LOCK} knows no “{name}”, or several. Names look like cautions/back-emergency."
        )
    if not is_reason(because):
        raise click.ClickException(NO_REASON)
    if any(part.name == found[0] for part in parts(library)):
        raise click.ClickException(f"{found[0]} is still there and approved. Take the file away first.")
    for sign in before.entries[found[0]].fields.get("signs", []):
        click.echo(f"  no longer warned of: {sign}")
    click.confirm(f"{role}: take {found[0]} away for good?", abort=True)
    gone = {found[0]: Retired(day, role, because)}
    after = lock_text(library, before, confirmed=frozenset(), retired=gone)
    write_atomically(library.root / LOCK, after.encode())
    click.echo(f"{found[0]} is retired.")


def _role(library: Library, role: str) -> str:
    approvers = library.settings.review.approvers
    if not approvers:
        raise click.ClickException(
            "clinic.yml lists no roles that may approve: write `review: {approvers: [...]}`."
        )
    role = role or click.prompt("Your role", type=click.Choice(approvers), default=approvers[0])
    if role not in approvers:
        raise click.ClickException(f"“{role}” may not approve here. Roles that may: {', '.join(approvers)}.")
    return role


def _chosen(known: dict[str, Part], only: tuple[str, ...]) -> list[Part]:
    if not only:
        return list(known.values())
    chosen = [
        part
        for name, part in known.items()
        if any(fnmatch(name, one) or fnmatch(name.partition("/")[2], one) for one in only)
    ]
    if not chosen:
        raise click.ClickException(f"There is no approved entry called {' or '.join(only)}.")
    return chosen


def _asked(part: Part, old: Approved | None, signs: Signs) -> tuple[Reason, ...] | None:
    """Show what changed and ask; give the reasons when every change was agreed to, else None."""
    review, role = review_of(part), signs.role
    if old is not None and edit_since(part.entry, old).level == "none" and recorded(part.entry, old):
        return None
    click.echo(click.style(f"\n{part.name} ({part.source.path})", bold=True))
    if review is not None and review.owner.casefold() == role.casefold():
        click.echo(f"  {role} keeps this entry, so another role must approve it. Left as it is.")
        return None
    if old is None:
        click.echo("  never recorded before: read the whole page.")
        return () if click.confirm(f"  {role}: approve it as it is?") else None
    changes = differences(old.fields, now(part.entry).fields, language_of(part.name, signs.first))
    reason = getattr(part.entry, "dose_reason", None)
    if reason and any(one.loc[0] == "dose" for one in changes):
        click.echo(f"  reason given for the dose: {reason}")
    if not changes:
        return () if click.confirm("  Nothing differs but the review itself. Reviewed again?") else None
    reasons: list[Reason] = []
    agreed = [_one(difference, signs, reasons) for difference in changes]
    if not all(agreed):
        click.echo("  Not every change was agreed to: nothing is recorded for it.")
        return None
    return tuple(reasons)


def _one(difference: Difference, signs: Signs, reasons: list[Reason]) -> bool:
    """Ask about one change; one that can take a safeguard away adds its reason to `reasons`."""
    mark = click.style("SAFETY", fg="red") if difference.safety else "wording"
    click.echo(f"  [{mark}] {name_of(difference.loc)}: {difference.says}")
    if not click.confirm("  Is that right?"):
        return False
    if not difference.weakens:
        return True
    because = signs.because or click.prompt("  Why is it safe? It is kept with the approval", default="")
    if not is_reason(because):
        click.echo(f"  {NO_REASON}")
        return False
    reasons.append(Reason(difference.says, signs.day, signs.role, because))
    return True
