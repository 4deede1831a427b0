"""`limberleaf desk`: the editor's pages on this machine, in a folder, or as a table."""

from __future__ import annotations

import ipaddress
import logging
import socket
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from limberleaf.commands.shared import content_option, today_option
from limberleaf.output import Ledger

if TYPE_CHECKING:
    from limberleaf.desk.access import Access
    from limberleaf.desk.live_desk import LiveDesk


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
    "--listen",
    metavar="ADDRESS",
    help="For a clinic's network, behind its own reverse proxy: the one address to listen on, such as 127.0.0.1 or "
    "10.0.0.5. Needs --host and --user-header; DEVELOPERS.md tells how.",
)
@click.option(
    "--host", "hosts", multiple=True, metavar="NAME", help="With --listen: a name people open the desk under."
)
@click.option(
    "--user-header",
    metavar="NAME",
    help="With --listen: the header in which the proxy says who asks: X-Remote-User.",
)
@today_option
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
    listen: str | None,
    hosts: tuple[str, ...],
    user_header: str | None,
    today: object,
) -> None:
    """Write entries, pose figures, approve and publish in the browser; see what is hard to read, changed or due.

    The desk answers on this machine only, to whoever has the start address, and is never part of the published site. It
    follows every change of an entry.
    """
    if agreement:
        _agree(*agreement)
        return
    from limberleaf.desk.app import NoLibraryError
    from limberleaf.desk.live_desk import LiveDesk
    from limberleaf.store import Store, store_beside

    network = (listen, hosts, user_header)
    if any(network) and not all(network):
        raise click.UsageError("--listen, --host and --user-header go together.")
    listen = _one_address(listen) if listen else None
    day = today.date() if hasattr(today, "date") else None
    store = Store(store_beside(content))
    writes = bool(output or export or sheet)
    if not writes:
        click.echo(
            f"Reading the library in {content}, with its pictures and words. This can take a minute ..."
        )
    live_desk = LiveDesk(content, store, lambda: day or date.today(), live=not writes, writes=not writes)
    try:
        live_desk.desk()
    except NoLibraryError as error:
        findings = "\n".join(found.inside(content.as_posix()).line() for found in error.findings)
        raise click.ClickException(
            f"There is no library in {content} that can be read.\n{findings}"
        ) from None
    if export:
        _export(live_desk, export, Ledger(content))
    if sheet:
        _write_sheet(live_desk, sheet, Ledger(content), count, seed)
    if output:
        _write(live_desk, output, content)
    store.save()
    if not writes:
        with _listening(listen, port, hosts, user_header) as (listening, access):
            _serve(live_desk, content, day, listening, access, open_browser)


def _export(live_desk: LiveDesk, file: Path, ledger: Ledger) -> None:
    from limberleaf.desk.read.export import as_csv, as_json

    desk = live_desk.desk()
    clinic = desk.library.settings
    if file.suffix.lower() == ".csv":
        text = as_csv(desk.overview)
    elif file.suffix.lower() == ".json":
        text = as_json(desk.overview, clinic.name.in_language(clinic.language), desk.today)
    else:
        raise click.ClickException(f"{file}: the name must end in .csv or .json.")
    ledger.write(file, text)
    click.echo(f"{len(desk.overview.rows)} pages in {file}")


def _write_sheet(live_desk: LiveDesk, file: Path, ledger: Ledger, count: int, seed: str) -> None:
    from limberleaf.desk.agreement import HOW, sheet_of

    if file.suffix.lower() != ".csv":
        raise click.ClickException(f"{file}: the name must end in .csv.")
    desk = live_desk.desk()
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


def _write(live_desk: LiveDesk, folder: Path, content: Path) -> None:
    from limberleaf.publish.swap import landing, write_files

    with landing(folder, content=content) as fresh:
        write_files(live_desk.desk().files(), fresh)
    click.echo(f"The desk is in {folder / 'index.html'}")


@contextmanager
def _listening(
    listen: str | None, port: int, hosts: tuple[str, ...], user_header: str | None
) -> Iterator[tuple[socket.socket, Access]]:
    """Open the one socket of the desk and give the rules of who may come in by it."""
    import secrets

    from limberleaf.desk.access import Access

    address = listen or "127.0.0.1"
    family = socket.AF_INET6 if ":" in address else socket.AF_INET
    try:
        listening = socket.create_server((address, port), family=family)
    except OSError as error:
        raise click.ClickException(
            f"Cannot listen on port {port}: {error.strerror}. Try another --port."
        ) from None
    taken = listening.getsockname()[1]
    with listening:
        if user_header:
            yield listening, Access(taken, frozenset(hosts), user_header=user_header, scheme="https")
        else:
            yield listening, Access.local(taken, secrets.token_urlsafe(18))


def _one_address(listen: str) -> str:
    """Give the address to listen on; every address at once is refused."""
    try:
        address = ipaddress.ip_address(listen)
    except ValueError:
        raise click.BadParameter(
            "write an address such as 127.0.0.1 or 10.0.0.5", param_hint="--listen"
        ) from None
    if address.is_unspecified:
        raise click.BadParameter(
            "name the one address the proxy reaches; all addresses at once are refused", param_hint="--listen"
        )
    return str(address)


def _serve(
    live_desk: LiveDesk,
    content: Path,
    day: date | None,
    listening: socket.socket,
    access: Access,
    open_browser: bool,
) -> None:
    import waitress

    from limberleaf.desk.access import LARGEST
    from limberleaf.desk.app import DeskApp
    from limberleaf.desk.write.wire_up import write_api

    if access.key:
        start = f"http://127.0.0.1:{access.port}/?key={access.key}"
        click.echo(f"The desk is at {start} (this machine only). Ctrl+C ends it.")
    else:
        start = f"https://{sorted(access.hosts)[0]}/"
        click.echo(
            f"The desk listens on {listening.getsockname()[0]} port {access.port} for {start}. Ctrl+C ends it."
        )
    if open_browser:
        click.launch(start)
    logging.getLogger("waitress.queue").setLevel(logging.ERROR)  # a question that waits a moment is no event
    api = write_api(content, live_desk, lambda: day or date.today(), lambda: datetime.now().astimezone())
    waitress.serve(
        DeskApp(live_desk.desk, access, apis=(api,)),
        sockets=[listening],
        threads=4,
        ident="",
        max_request_body_size=2 * LARGEST,
        connection_limit=1000,  # with the usual 100 as many idle browser tabs would keep everybody else out
        asyncore_use_poll=True,
        channel_timeout=60,
    )
