"""`limberleaf review`: what must be reviewed soon, and the record of what was approved."""

from __future__ import annotations

from datetime import date
from fnmatch import fnmatchcase as fnmatch
from pathlib import Path
from typing import TYPE_CHECKING

import click

from limberleaf.commands.shared import content_option, stop_on_errors
from limberleaf.output import Ledger

if TYPE_CHECKING:
    from limberleaf.findings import Finding
    from limberleaf.library import Library
    from limberleaf.library.models.values import Span

_UNITS = {"d": "days", "w": "weeks", "m": "months", "y": "years"}


@click.command(name="review")
@content_option
@click.option(
    "--due", "span", default="", help="How far to look: 30d, 6w, 6m or 1y (default: the clinic's reminder)."
)
@click.option(
    "--format", "form", type=click.Choice(["text", "csv", "ics", "json"]), default="text", show_default=True
)
@click.option("--output", type=click.Path(path_type=Path, dir_okay=False), help="Write to a file instead.")
@click.option(
    "--today", type=click.DateTime(["%Y-%m-%d"]), help="Count from this day instead of the present one."
)
@click.option(
    "--record",
    "record_approvals",
    is_flag=True,
    help="Show what changed since the last approval, ask for a yes to each change, and record the approval.",
)
@click.option(
    "--confirm",
    is_flag=True,
    help="As a second person: compare old and new of each change that one person agreed to, and say yes.",
)
@click.option(
    "--only",
    multiple=True,
    metavar="NAME",
    help="With --record and --confirm: only these, such as kn-03 or *.nl.",
)
@click.option(
    "--as", "role", default="", metavar="ROLE", help="The role that approves; one of the clinic's approvers."
)
@click.option(
    "--retire", default="", metavar="NAME", help="Take away for good what was approved, such as cautions/old."
)
@click.option(
    "--because",
    default="",
    metavar="WHY",
    help="With --retire: why. With --record and one entry (--only): why its changes take no safeguard away.",
)
def command(
    content: Path,
    span: str,
    form: str,
    output: Path | None,
    today: object,
    *,
    record_approvals: bool,
    confirm: bool,
    only: tuple[str, ...],
    role: str,
    retire: str,
    because: str,
) -> None:
    """List what is overdue or due for review soon, as text, CSV or a calendar; or record approvals.

    `--record` goes through every entry that changed since its approval, shows the differences one by one with what they
    mean for a patient, and asks for a yes to each. One that can take a safeguard away (a stop line gone, a “not”
    dropped, another number, side or tier) needs a reason too, kept in the lock. Then it writes the new review into the
    entry and keeps the words in `approved.lock`. The role that keeps an entry cannot approve it. A change that matters
    for safety then waits for a second person: `--confirm` shows old and new again, and `check` warns until it is done.
    """
    from limberleaf.library import load_library

    library = load_library(content)
    stop_on_errors(_in_the_way(library, only), folder=content)
    day = today.date() if hasattr(today, "date") else date.today()
    if sum((record_approvals, confirm, bool(retire))) > 1:
        raise click.UsageError("Give one of --record, --confirm and --retire.")
    if confirm:
        from limberleaf.commands.review.review_confirm import confirm_all

        confirm_all(library, only, role, day)
        return
    if record_approvals or retire:
        from limberleaf.commands.review.review_record import record_all, retire_one

        if retire:
            retire_one(library, retire, because, role, day)
        else:
            record_all(library, only, role, day, because)
        return

    from limberleaf.clinical.governance import review

    clinic = library.settings
    items = review.coming_due(library, _span(span) if span else clinic.review.reminder, day)
    writers = {
        "text": lambda: review.coming_text(items, day),
        "csv": lambda: review.coming_csv(items, day),
        "json": lambda: review.coming_json(items, day),
        "ics": lambda: review.coming_icalendar(items, clinic, day),
    }
    text = writers[form]()
    if output:
        Ledger(content).write(output, text)
    else:
        click.echo(text, nl=False)


def _in_the_way(library: Library, only: tuple[str, ...]) -> list[Finding]:
    """Give the findings of reading that stop this: with `--only` those of the files it names, else all.

    What cannot be read keeps its lines of the lock as they are.
    """
    if not only or library.clinic is None:
        return library.findings
    return [
        one
        for one in library.findings
        if any(fnmatch(Path(one.place.path).stem, name.rpartition("/")[2]) for name in only)
    ]


def _span(text: str) -> Span:
    from limberleaf.library.models.values import Span

    number, unit = text[:-1], text[-1:].lower()
    if not number.isdigit() or unit not in _UNITS:
        raise click.BadParameter("write a number and d, w, m or y, such as 6m", param_hint="--due")
    return Span.read(f"{number} {_UNITS[unit]}")
