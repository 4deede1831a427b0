"""Recording approvals: every change is shown and asked for, and the review is written into the entry by rule."""

from __future__ import annotations

from datetime import date
from fnmatch import fnmatchcase as fnmatch

import click
import yaml

from limberleaf.checks.approvals import language_of
from limberleaf.clinical.approval import (
    LOCK,
    Approved,
    Lock,
    Part,
    Retired,
    edit_since,
    lock_of,
    lock_text,
    now,
    parts,
    recorded,
)
from limberleaf.clinical.difference import Difference, differences
from limberleaf.clinical.review import add_span
from limberleaf.library import Library, load_library
from limberleaf.library.record import Review
from limberleaf.output import write_atomically


def record_all(library: Library, only: tuple[str, ...], role: str, day: date) -> None:
    """Ask for a yes to each change of each entry, then write reviews and lock; nothing is written before the end."""
    before = lock_of(library) or Lock({})
    role = _role(library, role)
    known = {part.name: part for part in parts(library)}
    chosen = _chosen(known, only)
    confirmed: set[str] = set()
    texts: dict[str, str] = {}
    for part in chosen:
        old = before.entries.get(part.name)
        if not _asked(part, old, role, library.settings.language):
            continue
        confirmed.add(part.name)
        review = _review(part)
        needs_review = (
            old is None or edit_since(part.entry, old).level == "major" or not recorded(part.entry, old)
        )
        if review is not None and needs_review:
            texts[part.source.path] = _with_review(part, _next(review, old, part, role, day, library))
    if not confirmed:
        click.echo("Nothing to record.")
        if before.whole:
            return
    for path, text in texts.items():
        write_atomically(library.root / path, text.encode())
    after = lock_text(load_library(library.root), before, confirmed=frozenset(confirmed))
    write_atomically(library.root / LOCK, after.encode())
    click.echo(f"{len(confirmed)} approvals recorded in {library.root / LOCK}")


def retire_one(library: Library, name: str, because: str, role: str, day: date) -> None:
    """Keep in the lock that something approved was taken away for good, by whom and why."""
    before = lock_of(library) or Lock({})
    role = _role(library, role)
    found = [known for known in before.entries if name in (known, known.partition("/")[2])]
    if len(found) != 1:
        raise click.ClickException(
            f"{LOCK} knows no “{name}”, or several. Names look like cautions/back-emergency."
        )
    if len(because.split()) < 3:
        raise click.ClickException('Say why in a sentence: --because "Replaced by ...".')
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


def _asked(part: Part, old: Approved | None, role: str, first: str) -> bool:
    """Show what changed and ask; True when every change was said yes to."""
    review = _review(part)
    if old is not None and edit_since(part.entry, old).level == "none" and recorded(part.entry, old):
        return False
    click.echo(click.style(f"\n{part.name} ({part.source.path})", bold=True))
    if review is not None and review.owner.casefold() == role.casefold():
        click.echo(f"  {role} keeps this entry, so another role must approve it. Left as it is.")
        return False
    if old is None:
        click.echo("  never recorded before: read the whole page.")
        return click.confirm(f"  {role}: approve it as it stands?")
    told = differences(old.fields, now(part.entry).fields, language_of(part.name, first))
    reason = getattr(part.entry, "dose_reason", None)
    if reason and any(one.loc[0] == "dose" for one in told):
        click.echo(f"  reason given for the dose: {reason}")
    agreed = [_one(difference) for difference in told]
    if not told:
        agreed = [click.confirm("  Nothing differs but the review itself. Reviewed anew?")]
    if not all(agreed):
        click.echo("  Not every change was said yes to: nothing is recorded for it.")
    return all(agreed)


def _review(part: Part) -> Review | None:
    review = getattr(part.entry, "review", None)
    return review if isinstance(review, Review) else None


def _one(difference: Difference) -> bool:
    mark = click.style("SAFETY", fg="red") if difference.safety else "wording"
    click.echo(f"  [{mark}] {'.'.join(map(str, difference.loc))}: {difference.says}")
    return click.confirm("  Is that right?")


def _next(review: Review, old: Approved | None, part: Part, role: str, day: date, library: Library) -> Review:
    """Give the review by rule: a major edit raises the version, and it never goes down."""
    version = review.version
    if old is not None:
        version = old.version + (edit_since(part.entry, old).level == "major")
    interval = library.settings.review.interval
    same_due = old is None and review.due and review.due > day and review.due <= add_span(day, interval)
    return review.model_copy(
        update={
            "approved_by": role,
            "reviewed": day,
            "due": review.due if same_due else add_span(day, interval),
            "version": version,
        }
    )


def _with_review(part: Part, review: Review) -> str:
    """Give the file's text with another review; all else stays as it was typed."""
    text, root = part.source.text, part.source.node
    assert isinstance(root, yaml.MappingNode)  # noqa: S101 - an entry that was read is a mapping
    node = next(value for key, value in root.value if key.value == "review")
    flow = (
        f"{{owner: {_scalar(review.owner)}, approved_by: {_scalar(review.approved_by or '')}, "
        f"reviewed: {review.reviewed}, due: {review.due}, version: {review.version}}}"
    )
    start, end = node.start_mark.index, node.end_mark.index
    if node.flow_style:
        return text[:start] + flow + text[end:]
    start = text.rindex("review:", 0, start) + len("review:")
    return text[:start] + " " + flow + "\n" + text[end:].lstrip("\n")


def _scalar(text: str) -> str:
    plain = text.replace(" ", "").isalnum()
    return text if plain else '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'
