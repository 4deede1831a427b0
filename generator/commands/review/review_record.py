"""Recording approvals: every change is shown and asked for, and the review is written into the entry by rule."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from fnmatch import fnmatchcase as fnmatch
from typing import NamedTuple

import click

from limberleaf.clinical.governance.approval import (
    Part,
    edit_since,
    everything,
    handed_over_with_more,
    lock_of,
    lock_text,
    now,
    parts,
    recorded,
)
from limberleaf.clinical.governance.approvers import language_of, reads, roles_for, why_not_second
from limberleaf.clinical.governance.change_kinds import KEPT_BY
from limberleaf.clinical.governance.difference import Difference, differences
from limberleaf.clinical.governance.lock import LOCK, Agreed, Approved, Lock, Retired
from limberleaf.clinical.governance.names import titled_differences
from limberleaf.clinical.governance.places import place_in_words
from limberleaf.clinical.governance.recording import (
    agreed_to,
    is_reason,
    review_of,
    reviewed_text,
    write_approvals,
)
from limberleaf.clinical.governance.waiting import Waiting, keeper_before, retirement, waits_to_go
from limberleaf.library import Library
from limberleaf.output import write_atomically

NO_REASON = (
    "A “y” is no reason. Say why in a sentence, at the question or, for one entry, "
    'with --only kn-03 --because "Replaced by ...".'
)


class Signs(NamedTuple):
    """Who signs and when, the reason given for the changes (empty: ask), and the library."""

    role: str
    day: date
    because: str
    library: Library


def record_all(library: Library, only: tuple[str, ...], role: str, day: date, because: str) -> None:
    """Ask for a yes to each change of each entry, then write reviews and lock; nothing is written before the end.

    A change that can take a safeguard away asks for a reason as well; `because` gives it for the changes of one entry.
    """
    if because and not is_reason(because):
        raise click.ClickException(NO_REASON)
    if library.settings.review.two_people:
        raise click.ClickException(
            "This clinic asks two people for each approval: approve at the desk (`limberleaf desk`)."
        )
    before = lock_of(library) or Lock({})
    role = listed_role(library, role)
    known = {part.name: part for part in parts(library)}
    chosen = chosen_parts(known, only)
    texts: dict[str, str] = {}
    if because:
        _only_one(chosen, before)
    agreed: dict[str, Agreed] = {}
    for part in chosen:
        old = before.entries.get(part.name)
        given = _asked(part, old, Signs(role, day, because, library))
        if given is None:
            continue
        agreed[part.name] = given
        text = reviewed_text(part, old, role, day, library)
        if text is not None:
            texts[part.source.path] = text
    back = [name for name in known if (old := before.entries.get(name)) and retirement(old.waiting)]
    for name in back:
        click.echo(f"{name} is there again: nobody waits any more to take it away.")
    if not agreed and not back:
        click.echo("Nothing to record.")
        if before.whole:
            return
    write_approvals(library, before, texts, agreed)
    click.echo(f"{len(agreed)} approvals recorded in {library.root / LOCK}")
    if waiting := sum(len(one.waiting) for one in agreed.values()):
        others = [one for one in library.settings.review.approvers if one != role]
        second = f'"{others[0]}"' if len(others) == 1 else "ROLE"
        click.echo(
            f"{waiting} changes wait for a second person: `limberleaf review --confirm --as {second}`."
        )


def _only_one(chosen: list[Part], before: Lock) -> None:
    """Refuse one reason for several entries: nobody has the same reason for all that changed."""
    changed = [part.name for part in chosen if _edited(part, before.entries.get(part.name))]
    if len(changed) > 1:
        raise click.ClickException(
            f"One reason cannot serve {len(changed)} entries ({', '.join(changed[:6])}{' ...' * (len(changed) > 6)}). "
            f'Give it for one (--only {changed[0]} --because "..."), or leave it out and say why at each question.'
        )


def _edited(part: Part, old: Approved | None) -> bool:
    return old is not None and edit_since(part.entry, old).level != "none"


def retire_one(library: Library, name: str, because: str, role: str, day: date) -> None:
    """Keep in the lock that something approved was taken away for good, by whom and why.

    The first yes waits under the entry, and a second person in another role says the same yes. Neither may be the role
    that keeps the entry, by the lock or by its file, where that is still there.
    """
    before = lock_of(library) or Lock({})
    role = listed_role(library, role)
    found = [known for known in before.entries if name in (known, known.partition("/")[2])]
    if len(found) != 1:
        raise click.ClickException(
            f"{LOCK} knows no “{name}”, or several. Names look like cautions/back-emergency."
        )
    old = before.entries[found[0]]
    first = retirement(old.waiting)
    if first is None and not is_reason(because):
        raise click.ClickException(NO_REASON)
    if any(part.name == found[0] for part in parts(library)):
        raise click.ClickException(f"{found[0]} is still there and approved. Take the file away first.")
    kept_by = old.fields.get(KEPT_BY)
    owner = next((one.entry.review.owner for known, one in everything(library) if known == found[0]), kept_by)
    if role.casefold() in {
        str(one).casefold() for one in (owner, kept_by, keeper_before(old.waiting)) if one
    }:
        raise click.ClickException(f"{role} keeps {found[0]}, so other roles agree to take it away.")
    if first is not None:
        _refuse_the_same(library, before, found[0], first, (role, day), owner)
    if owner is None:
        click.echo(
            f"  Nothing says who kept {found[0]}: an older version approved it. Leave this to others if that was you."
        )
    for sign in old.fields.get("signs", []):
        click.echo(f"  no longer warned of: {sign}")
    click.confirm(f"{role}: take {found[0]} away for good?", abort=True)
    if first is None:
        one = replace(old, waiting=(*old.waiting, waits_to_go(role, day, because)))
        before = replace(before, entries={**before.entries, found[0]: one})
    gone = {found[0]: Retired(day, f"{first.by} and {role}", first.because)} if first else {}
    after = lock_text(library, before, confirmed=frozenset(), retired=gone)
    write_atomically(library.root / LOCK, after.encode())
    click.echo(
        f"{found[0]} is retired."
        if gone
        else f"{found[0]} waits for a second person: `limberleaf review --retire {found[0]}`."
    )


def _refuse_the_same(
    library: Library, lock: Lock, name: str, first: Waiting, signed: tuple[str, date], owner: str | None
) -> None:
    """Show who agreed first, and stop when the second yes would be the same person's."""
    click.echo(f"  agreed: {first.agreed}")
    roles = roles_for(language_of(name, library.settings.language), library.settings, lock)
    # a day to come is not a later day: nobody has slept on it
    role, day = signed
    refused = why_not_second(role, (first.by, first.day), min(day, date.today()), roles, owner)
    if refused:
        raise click.ClickException(refused)


def listed_role(library: Library, role: str) -> str:
    """Give the role that signs, asked for when none was given; it must be one of the clinic's approvers."""
    approvers = library.settings.review.approvers
    if not approvers:
        raise click.ClickException(
            "clinic.yml lists no roles that may approve: write `review: {approvers: [...]}`."
        )
    role = role or click.prompt("Your role", type=click.Choice(approvers), default=approvers[0])
    if role not in approvers:
        raise click.ClickException(f"“{role}” may not approve here. Roles that may: {', '.join(approvers)}.")
    return role


def chosen_parts(
    known: dict[str, Part], only: tuple[str, ...], there: dict[str, Part] | None = None
) -> list[Part]:
    """Give the parts that `only` names; a name that is none of those `there` (None: of the known) is refused."""
    if not only:
        return list(known.values())
    chosen = [
        part
        for name, part in known.items()
        if any(fnmatch(name, one) or fnmatch(name.partition("/")[2], one) for one in only)
    ]
    if not chosen and not (there and chosen_parts(there, only)):
        raise click.ClickException(f"There is no approved entry called {' or '.join(only)}.")
    return chosen


def _asked(part: Part, old: Approved | None, signs: Signs) -> Agreed | None:
    """Show what changed and ask; give what is recorded when every change was agreed to, else None."""
    review, role = review_of(part), signs.role
    if old is not None and edit_since(part.entry, old).level == "none" and recorded(part.entry, old):
        return None
    click.echo(click.style(f"\n{part.name} ({part.source.path})", bold=True))
    if review is not None and review.owner.casefold() == role.casefold():
        click.echo(f"  {role} keeps this entry, so another role must approve it. Left as it is.")
        return None
    if old is not None and handed_over_with_more(part.entry, old, role):
        click.echo(
            f"  {role} kept this entry until now: first have the new keeper recorded alone and confirmed. Not recorded."
        )
        return None
    settings = signs.library.settings
    language = language_of(part.name, settings.language)
    if not reads(role, language, settings):
        click.echo(f"  {role} does not read “{language}” (clinic.yml, `review: reads:`). Left as it is.")
        return None
    if old is None:
        click.echo("  never recorded before: read the whole page.")
        yes = click.confirm(f"  {role}: approve it as it is?")
        return agreed_to(None, [], (role, signs.day), {}) if yes else None
    changes = titled_differences(differences(old.fields, now(part.entry).fields, language), signs.library)
    reason = getattr(part.entry, "dose_reason", None)
    if reason and any(one.loc[0] == "dose" for one in changes):
        click.echo(f"  reason given for the dose: {reason}")
    if not changes and not click.confirm("  Nothing differs but the review itself. Reviewed again?"):
        return None
    why: dict[Difference, str] = {}
    agreed = [_one(difference, signs, why) for difference in changes]
    if not all(agreed):
        click.echo("  Not every change was agreed to: nothing is recorded for it.")
        return None
    return agreed_to(old, changes, (role, signs.day), why)


def _one(difference: Difference, signs: Signs, why: dict[Difference, str]) -> bool:
    """Ask about one change; one that can take a safeguard away adds its reason to `why`."""
    mark = click.style("SAFETY", fg="red") if difference.safety else "wording"
    click.echo(f"  [{mark}] {place_in_words(difference.loc)}: {difference.says}")
    if not click.confirm("  Is that right?"):
        return False
    if not difference.weakens:
        return True
    because = signs.because or click.prompt("  Why is it safe? It is kept with the approval", default="")
    if not is_reason(because):
        click.echo(f"  {NO_REASON}")
        return False
    why[difference] = because
    return True
