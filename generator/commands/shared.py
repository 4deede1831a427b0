"""What several commands share: the content folder, how findings reach the terminal, a library read but not built."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

import click

from limberleaf.findings import Finding, Place, has_errors
from limberleaf.reports import summary

if TYPE_CHECKING:
    from limberleaf.library import Library
    from limberleaf.pages import SitePage
    from limberleaf.pages.addresses import Addresses

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


def today_option(function: Function) -> Function:
    """Add `--today`, the day that review dates are judged on."""
    return click.option(
        "--today",
        type=click.DateTime(["%Y-%m-%d"]),
        help="Judge review dates as on this day instead of the present one.",
    )(function)


def counted(number: int, one: str, several: str = "") -> str:
    """Say a number of things: `1 entry`, `2 entries`."""
    return f"{number} {one if number == 1 else several or f'{one}s'}"


def print_findings(findings: Sequence[Finding], *, folder: Path) -> None:
    """Print findings with colour where the terminal has it; paths are relative to the working folder."""
    for finding in (found.inside(folder.as_posix()) for found in findings):
        click.echo(
            click.style(str(finding.place), bold=True)
            + " "
            + click.style(finding.severity, fg=_STYLES[finding.severity])
            + f" [{finding.code}] {finding.message}"
        )
        click.echo(f"    {finding.hint}")
    click.echo(summary(findings))
    if findings:
        click.echo(f"What a code means: limberleaf guide CODE, such as limberleaf guide {findings[0].code}")


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


def address_findings(library: Library) -> list[Finding]:
    """Say what a build would refuse because addresses would die; a library with errors is not asked."""
    from limberleaf.pages.addresses import compare_file

    if library.clinic is None:
        return []
    comparison, _ = compare_file(library.root, _addresses(library))
    return list(comparison.findings)


def _addresses(library: Library) -> Addresses:
    """Give the addresses a build would make: kept until an entry comes, goes or changes its status or sides."""
    from limberleaf.checks.kept_checks import ITEMS, KIND, beside
    from limberleaf.pages.addresses import Address, addresses_of
    from limberleaf.store import content_key
    from limberleaf.store.trace import text_of

    store = library.read_cache.store
    if not store.outlives_the_run:
        return addresses_of(pages_of(library))
    items = [
        (text_of(name), loaded.address_facts)
        for one in ITEMS
        for name, loaded in getattr(library, one).items()
    ]
    row = f"addresses {library.root.absolute()}"
    key = content_key(beside(library, store), items)
    kept = store.read([row], KIND).get(row)
    if isinstance(kept, list) and kept[0] == key:
        return {url: Address(*one) for url, one in kept[1].items()}
    found = addresses_of(pages_of(library))
    store.keep({row: [key, {url: [one.state, one.target] for url, one in found.items()}]}, KIND)
    return found


def stale_lock(library: Library) -> list[Finding]:
    """Say that `addresses.lock` would change with a build: it was not committed after the last one."""
    from limberleaf.pages.addresses import LOCK_FILE, addresses_of, compare_file

    comparison, before = compare_file(library.root, addresses_of(pages_of(library)))
    if before is None or has_errors(comparison.findings) or before == comparison.new_lock.encode():
        return list(comparison.findings)
    known = set(before.decode("utf-8", "replace").splitlines())
    new = [line for line in comparison.new_lock.splitlines() if line not in known and line.startswith("/")]
    named = "; ".join(new[:3]) + (f" and {len(new) - 3} more" if len(new) > 3 else "")
    return [
        Finding(
            "error",
            "address-lock-stale",
            f"{LOCK_FILE} is not what this build would write{f': it lacks {named}' if named else ''}.",
            f"Run `limberleaf build` on your machine and commit {library.root.name}/{LOCK_FILE}; otherwise nothing "
            "would keep these addresses alive when an entry gets another name.",
            Place(LOCK_FILE),
        )
    ]


def pages_of(library: Library) -> list[SitePage]:
    """Give the pages a build would make; nothing inside them is made."""
    from limberleaf.figures import Figures
    from limberleaf.pages import SiteContext, site_pages
    from limberleaf.pages.page_figures import PageFigures

    return site_pages(SiteContext(library, PageFigures(Figures())))
