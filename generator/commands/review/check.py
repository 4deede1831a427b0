"""`limberleaf check`: all findings, as text or as a form that machines read."""

from __future__ import annotations

import os
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from limberleaf.commands.shared import (
    address_findings,
    content_option,
    print_findings,
    stop_on_errors,
    today_option,
)
from limberleaf.findings import SEVERITIES, has_errors, in_order
from limberleaf.library.walk import ASKED_FILE
from limberleaf.output import Ledger
from limberleaf.reports import WRITERS, as_sarif
from limberleaf.store import Store, store_beside
from limberleaf.store.data import read_data_through

if TYPE_CHECKING:
    from limberleaf.findings import Finding
    from limberleaf.library import Library


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
    "--baseline",
    type=click.Path(path_type=Path, dir_okay=False),
    help="A file of known findings: they are left out, and only new ones fail.",
)
@click.option(
    "--write-baseline",
    type=click.Path(path_type=Path, dir_okay=False),
    help="Write all present findings to this file, to begin from, and exit with 0.",
)
@today_option
def command(
    content: Path,
    form: str,
    output: Path | None,
    level: str,
    *,
    strict: bool,
    today: object,
    coverage: bool,
    baseline: Path | None,
    write_baseline: Path | None,
) -> None:
    """Check all entries: what needs fixing, where, why and how.

    Exits with 1 when there is an error (with --strict: or a warning), else with 0. With --baseline only what is not in
    that file counts.
    """
    from limberleaf.checks import check_library
    from limberleaf.library import load_library
    from limberleaf.library.load import ReadCache
    from limberleaf.publish.mkdocs_file import FILE as MKDOCS_FILE
    from limberleaf.publish.mkdocs_file import host_findings, read_mkdocs_file

    store = Store(store_beside(content))
    read_data_through(store)
    library = load_library(content, ReadCache(store))
    if coverage:
        stop_on_errors(library.findings, folder=content)
        _print_coverage(library)
        return
    day = today.date() if hasattr(today, "date") else date.today()
    findings = check_library(library, day, store=store)
    file = content.absolute().parent / MKDOCS_FILE
    findings = in_order([*findings, *host_findings(library, read_mkdocs_file(file)), *_asked(library)])
    if not has_errors(findings):
        findings = in_order([*findings, *address_findings(library)])
    store.save()
    if write_baseline:
        _write_baseline(findings, content, write_baseline)
        return
    if baseline:
        findings = _only_new(findings, content, baseline)
    shown = [found for found in findings if SEVERITIES.index(found.severity) <= SEVERITIES.index(level)]
    if form == "text" and output is None:
        print_findings(shown, folder=content)
    else:
        text = _report(form, [found.inside(content.as_posix()) for found in shown])
        if output:
            Ledger(content).write(output, text)
        else:
            click.echo(text, nl=False)
    failing = has_errors(findings) or (strict and any(found.severity == "warning" for found in findings))
    raise click.exceptions.Exit(1 if failing else 0)


def _report(form: str, findings: list[Finding]) -> str:
    if form != "sarif":
        return WRITERS[form](findings)
    from limberleaf.guide.explain import rule_words

    return as_sarif(findings, rule_words())


def _asked(library: Library) -> list[Finding]:
    """Say what of the kept answers to `limberleaf ask` cannot be read: these results are not counted."""
    if not os.path.lexists(library.root / ASKED_FILE):
        return []
    from limberleaf.comprehension.kept import read_kept

    return read_kept(library.root)[1]


def _write_baseline(findings: list[Finding], content: Path, file: Path) -> None:
    from limberleaf.checks.baseline import baseline_text

    text = baseline_text(findings, content)
    head = text.partition("\n")[0].encode()
    Ledger(content).write(file, text, ours=lambda before: before.startswith(head))
    click.echo(
        f"{len(findings)} findings in {file}. `limberleaf check --baseline {file}` fails only on new ones."
    )


def _only_new(findings: list[Finding], content: Path, file: Path) -> list[Finding]:
    """Leave out what the baseline knows; how many it knows is printed beside the findings, on the error stream."""
    from limberleaf.checks.baseline import new_findings, read_baseline

    try:
        known = read_baseline(file.read_text("utf-8", errors="replace"))
    except OSError as error:
        raise click.ClickException(
            f"{file}: {error.strerror}. `limberleaf check --write-baseline {file}` makes it."
        ) from None
    if known.bad_lines:
        raise click.ClickException(
            f"{file}: line {known.bad_lines[0]} is no finding. Write the file again with --write-baseline."
        )
    fresh, gone = new_findings(findings, known, content)
    fixed = f", {gone} of it fixed since" if gone else ""
    click.echo(f"{len(findings) - len(fresh)} findings are in the baseline{fixed}.", err=True)
    return fresh


def _print_coverage(library: Library) -> None:
    from limberleaf.clinical.coverage import coverage, coverage_text

    click.echo(coverage_text(coverage(library)), nl=False)
