"""`limberleaf check`: all findings, as text or as a form that machines read."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from generator.commands.shared import content_option, print_findings, stop_on_errors
from generator.findings import SEVERITIES, has_errors
from generator.reports import WRITERS
from generator.store import Store, store_beside

if TYPE_CHECKING:
    from generator.library import Library


@click.command(name="check")
@content_option
@click.option("--format", "form", type=click.Choice(sorted(WRITERS)), default="text", show_default=True)
@click.option("--output", type=click.Path(path_type=Path, dir_okay=False), help="Write to a file instead.")
@click.option(
    "--level",
    type=click.Choice(SEVERITIES),
    default="note",
    show_default=True,
    help="Leave out what weighs less than this.",
)
@click.option("--strict", is_flag=True, help="Warnings make the exit code 1 too.")
@click.option("--coverage", is_flag=True, help="Print which page carries which caution, and nothing else.")
@click.option(
    "--today",
    type=click.DateTime(["%Y-%m-%d"]),
    help="Judge review dates as on this day instead of the present one.",
)
def command(
    content: Path, form: str, output: Path | None, level: str, strict: bool, today: object, coverage: bool
) -> None:
    """Check all entries: what there is to mend, where, why and how.

    Exits with 1 when there is an error (with --strict: or a warning), else with 0.
    """
    from generator.checks import check_library
    from generator.library import load_library

    library = load_library(content)
    if coverage:
        stop_on_errors(library.findings, folder=content)
        _print_coverage(library)
        return
    day = today.date() if hasattr(today, "date") else date.today()
    store = Store(store_beside(content))
    findings = check_library(library, day, store=store)
    store.save()
    shown = [found for found in findings if SEVERITIES.index(found.severity) <= SEVERITIES.index(level)]
    if form == "text" and output is None:
        print_findings(shown, folder=content)
    else:
        text = WRITERS[form]([found.inside(content.as_posix()) for found in shown])
        if output:
            output.write_text(text, "utf-8")
        else:
            click.echo(text, nl=False)
    failing = has_errors(findings) or (strict and any(found.severity == "warning" for found in findings))
    raise click.exceptions.Exit(1 if failing else 0)


def _print_coverage(library: Library) -> None:
    from generator.clinical.coverage import coverage, coverage_text

    click.echo(coverage_text(coverage(library)), nl=False)
