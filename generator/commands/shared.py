"""What several commands share: the content folder, how findings reach the terminal, a library read but not built."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

import click

from limberleaf.findings import Finding, has_errors
from limberleaf.reports import summary

if TYPE_CHECKING:
    from limberleaf.library import Library
    from limberleaf.pages import SitePage

Function = TypeVar("Function", bound=Callable[..., object])

_STYLES = {"error": "red", "warning": "yellow", "note": "blue"}


def content_option(function: Function) -> Function:
    """Add `--content`, the folder the clinic writes in."""
    return click.option(
        "--content",
        type=click.Path(path_type=Path, file_okay=False),
        default=Path("content"),
        show_default=True,
        help="The folder of entries.",
    )(function)


def print_findings(findings: Sequence[Finding], *, folder: Path) -> None:
    """Print findings with colour where the terminal has it; paths are told from where the user stands."""
    for finding in (found.inside(folder.as_posix()) for found in findings):
        click.echo(
            click.style(str(finding.place), bold=True)
            + " "
            + click.style(finding.severity, fg=_STYLES[finding.severity])
            + f" [{finding.code}] {finding.message}"
        )
        click.echo(f"    {finding.hint}")
    click.echo(summary(findings))


def stop_on_errors(findings: Sequence[Finding], *, folder: Path) -> None:
    """Print findings and leave with exit code 1 when one of them is an error."""
    if has_errors(findings):
        print_findings([found for found in findings if found.severity == "error"], folder=folder)
        raise click.exceptions.Exit(1)


def read_library(content: Path) -> Library:
    """Read a library; stop with plain words when it has no settings."""
    from limberleaf.library import load_library

    library = load_library(content)
    if library.clinic is None:
        raise click.ClickException(f"There is no library in {content}: clinic.yml is missing or has errors.")
    return library


def pages_of(library: Library) -> list[SitePage]:
    """Give the pages a build would make; nothing inside them is made."""
    from limberleaf.figures import Figures
    from limberleaf.pages import SiteContext, site_pages
    from limberleaf.publish.figure_source import FigureShelf

    return site_pages(SiteContext(library, FigureShelf(Figures())))
