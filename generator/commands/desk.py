"""`limberleaf desk`: the editor's pages on this machine, in a folder, or as a table."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from limberleaf.commands.shared import content_option
from limberleaf.output import Ledger

if TYPE_CHECKING:
    from limberleaf.desk.keeper import Keeper


@click.command(name="desk")
@content_option
@click.option(
    "--port", default=8321, show_default=True, type=click.IntRange(0, 65535), help="0 takes a free one."
)
@click.option("--open", "open_browser", is_flag=True, help="Open the desk in the browser.")
@click.option(
    "--output",
    type=click.Path(path_type=Path, file_okay=False),
    help="Write the pages to this folder instead (without the try-out box), for reading from disk.",
)
@click.option(
    "--export",
    type=click.Path(path_type=Path, dir_okay=False),
    help="Write the overview to this .csv or .json file instead.",
)
@click.option(
    "--marks",
    "sheet",
    type=click.Path(path_type=Path, dir_okay=False),
    help="Write a sheet (.csv) of random reading marks for two editors to judge instead.",
)
@click.option(
    "--count",
    default=60,
    show_default=True,
    type=click.IntRange(1, 10_000),
    help="With --marks: how many marks.",
)
@click.option("--seed", default="1", show_default=True, help="With --marks: another word draws other marks.")
@click.option(
    "--agreement",
    nargs=2,
    type=click.Path(path_type=Path, dir_okay=False),
    help="Read two judged sheets and say how far the editors agree, and which rules serve them.",
)
@click.option(
    "--today",
    type=click.DateTime(["%Y-%m-%d"]),
    help="Judge review dates as on this day instead of the present one.",
)
def command(
    *,
    content: Path,
    port: int,
    open_browser: bool,
    output: Path | None,
    export: Path | None,
    sheet: Path | None,
    count: int,
    seed: str,
    agreement: tuple[Path, Path] | None,
    today: object,
) -> None:
    """Show how hard each page is to read and why, what changed, and what is due for review.

    The desk answers on this machine only and is never part of the published site. It follows every change of an entry.
    """
    if agreement:
        _agree(*agreement)
        return
    from limberleaf.desk.app import NoLibraryError
    from limberleaf.desk.keeper import Keeper
    from limberleaf.store import Store, store_beside

    day = today.date() if hasattr(today, "date") else None
    store = Store(store_beside(content))
    writes = bool(output or export or sheet)
    keeper = Keeper(content, store, lambda: day or date.today(), live=not writes)
    try:
        keeper.desk()
    except NoLibraryError as error:
        findings = "\n".join(found.inside(content.as_posix()).line() for found in error.findings)
        raise click.ClickException(
            f"There is no library in {content} that can be read.\n{findings}"
        ) from None
    if export:
        _export(keeper, export, Ledger(content))
    if sheet:
        _write_sheet(keeper, sheet, Ledger(content), count, seed)
    if output:
        _write(keeper, output, content)
    store.save()
    if not writes:
        _serve(keeper, port, open_browser)


def _export(keeper: Keeper, file: Path, ledger: Ledger) -> None:
    from limberleaf.desk.export import as_csv, as_json

    desk = keeper.desk()
    clinic = desk.library.settings
    if file.suffix.lower() == ".csv":
        text = as_csv(desk.overview)
    elif file.suffix.lower() == ".json":
        text = as_json(desk.overview, clinic.name.in_language(clinic.language), desk.today)
    else:
        raise click.ClickException(f"{file}: the name must end in .csv or .json.")
    ledger.write(file, text)
    click.echo(f"{len(desk.overview.rows)} pages in {file}")


def _write_sheet(keeper: Keeper, file: Path, ledger: Ledger, count: int, seed: str) -> None:
    from limberleaf.desk.agreement import HOW, sheet_of

    if file.suffix.lower() != ".csv":
        raise click.ClickException(f"{file}: the name must end in .csv.")
    desk = keeper.desk()
    text = sheet_of([entry.wording for entry in desk.entries], desk.readings, count, seed)
    ledger.write(file, text)
    drawn = text.count("\r\n") - 1
    click.echo(f"{drawn} marks in {file}. Give each editor a copy; the column “verdict” takes {HOW}.")


def _agree(first: Path, second: Path) -> None:
    from limberleaf.desk.agreement import SheetError, report

    try:
        click.echo(report(first, second))
    except SheetError as error:
        raise click.ClickException("\n".join(error.problems)) from None


def _write(keeper: Keeper, folder: Path, content: Path) -> None:
    from limberleaf.publish.swap import landing, write_files

    with landing(folder, content=content) as fresh:
        write_files(keeper.desk().files(), fresh)
    click.echo(f"The desk is in {folder / 'index.html'}")


def _serve(keeper: Keeper, port: int, open_browser: bool) -> None:
    import socket

    import waitress

    from limberleaf.desk.app import LARGEST, DeskApp

    try:
        listening = socket.create_server(("127.0.0.1", port))
    except OSError as error:
        raise click.ClickException(
            f"Cannot listen on port {port}: {error.strerror}. Try another --port."
        ) from None
    taken = listening.getsockname()[1]
    click.echo(f"The desk is at http://127.0.0.1:{taken}/ (this machine only). Ctrl+C ends it.")
    if open_browser:
        click.launch(f"http://127.0.0.1:{taken}/")
    waitress.serve(
        DeskApp(keeper.desk, taken),
        sockets=[listening],
        threads=4,
        ident="",
        max_request_body_size=2 * LARGEST,
    )
