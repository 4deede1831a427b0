"""`limberleaf review`: what must be reviewed soon, and the record of what was approved."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from limberleaf.commands.shared import content_option, stop_on_errors

if TYPE_CHECKING:
    from limberleaf.library.values import Span

_UNITS = {"d": "days", "w": "weeks", "m": "months", "y": "years"}


@click.command(name="review")
@content_option
@click.option(
    "--due", "span", default="", help="How far to look: 30d, 6w, 6m or 1y (default: the clinic's reminder)."
)
@click.option(
    "--format", "form", type=click.Choice(["text", "csv", "ics"]), default="text", show_default=True
)
@click.option("--output", type=click.Path(path_type=Path, dir_okay=False), help="Write to a file instead.")
@click.option(
    "--today", type=click.DateTime(["%Y-%m-%d"]), help="Count from this day instead of the present one."
)
@click.option(
    "--record",
    "record_approvals",
    is_flag=True,
    help="Write approved.lock: what stands in the approved entries now is what was approved.",
)
def command(
    content: Path, span: str, form: str, output: Path | None, today: object, record_approvals: bool
) -> None:
    """List what is overdue or due for review soon, as text, CSV or a calendar; or record approvals.

    A minor edit keeps the review date; a major one needs a new review. `--record` keeps a fingerprint of every
    approved entry in `approved.lock`, by which the next check tells the two apart. A changed entry is recorded only
    with a new day of review and a new version.
    """
    from limberleaf.library import load_library

    library = load_library(content)
    stop_on_errors(library.findings, folder=content)
    if record_approvals:
        from limberleaf.clinical.approval import LOCK, lock_of, lock_text

        text = lock_text(library, lock_of(library))
        (content / LOCK).write_text(text, "utf-8")
        click.echo(f"{len(text.splitlines()) - 2} approvals in {content / LOCK}")
        return

    from limberleaf.clinical import review

    clinic = library.settings
    day = today.date() if hasattr(today, "date") else date.today()
    items = review.coming_due(library, _span(span) if span else clinic.review.reminder, day)
    writers = {
        "text": lambda: review.coming_text(items, day),
        "csv": lambda: review.coming_csv(items, day),
        "ics": lambda: review.coming_icalendar(items, clinic, day),
    }
    text = writers[form]()
    if output:
        output.write_bytes(text.encode())
    else:
        click.echo(text, nl=False)


def _span(text: str) -> Span:
    from limberleaf.library.values import Span

    number, unit = text[:-1], text[-1:].lower()
    if not number.isdigit() or unit not in _UNITS:
        raise click.BadParameter("write a number and d, w, m or y, such as 6m", param_hint="--due")
    return Span.read(f"{number} {_UNITS[unit]}")
