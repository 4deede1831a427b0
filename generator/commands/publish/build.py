"""`limberleaf build`: the site, through MkDocs where there is an mkdocs.yml, else written plainly."""

from __future__ import annotations

import logging
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from limberleaf.commands.shared import content_option, print_findings, stale_lock, stop_on_errors
from limberleaf.progress import ProgressForm, shown
from limberleaf.store import FOLDER

if TYPE_CHECKING:
    from mkdocs.config.defaults import MkDocsConfig

    from limberleaf.publish.unchanged import LastBuild


@click.command(name="build")
@content_option
@click.option(
    "--config",
    "-f",
    type=click.Path(path_type=Path, dir_okay=False),
    default=Path("mkdocs.yml"),
    show_default=True,
)
@click.option("--site", "-d", type=click.Path(path_type=Path, file_okay=False), help="The folder to write.")
@click.option(
    "--offline", is_flag=True, help="Write a copy that opens from disk (default folder: site-offline)."
)
@click.option(
    "--plain", is_flag=True, help="Write the pages without MkDocs even where there is an mkdocs.yml."
)
@click.option("--first", is_flag=True, help="Begin addresses.lock: this library was never published before.")
@click.option(
    "--locked", is_flag=True, help="Fail when addresses.lock would change: it was not committed (for CI)."
)
@click.option(
    "--explain",
    metavar="NAME",
    help="Say why the pages of an exercise, ladder, collection or prose page were made again or kept: kn-03.",
)
@click.option(
    "--progress",
    type=click.Choice(["auto", "json", "off"]),
    default="auto",
    show_default=True,
    help="Say what is being done and how far it is: a bar on a terminal, or lines of JSON on the error stream.",
)
def command(
    content: Path,
    config: Path,
    site: Path | None,
    *,
    offline: bool,
    plain: bool,
    first: bool,
    locked: bool,
    explain: str | None,
    progress: ProgressForm,
) -> None:
    """Build the library's site into a folder, swapped in when all went well.

    When nothing changed since the last build, the site is left as it is. A build writes to a folder that is absent,
    empty or was written by an earlier build, and removes only what that build wrote. One that fails leaves the
    published folder as it was and exits with 1.
    """
    today = date.today()
    through_mkdocs = not (offline or plain) and config.exists()
    target = site or Path("site-offline" if offline else "site")
    last = _last_build(
        content, config if through_mkdocs else None, site if through_mkdocs else target, offline
    )
    report = last.report(today) if last else None  # always asked: it also notes what this build begins with
    if last and report is not None and not (explain or first or locked):
        click.echo("".join(f"{line}\n" for line in report), nl=False, err=through_mkdocs)
        click.echo(f"Nothing changed since the last build. The site is in {last.folders.site}")
        return
    settings = _settings(config, site) if through_mkdocs else None
    if settings is not None:
        content = _content(settings, content)
    _prepare(content, first=first, locked=locked)
    with _explaining(explain), shown(progress):
        report = (
            _through_mkdocs(settings)
            if settings
            else _without_mkdocs(content, target, today, offline=offline)
        )
    if last:
        last.keep(today, report)


def _last_build(content: Path, config: Path | None, site: Path | None, offline: bool) -> LastBuild | None:
    """Give what is known of the last build into the same folder; None where files we do not know may have a say."""
    from limberleaf.publish.unchanged import Folders, LastBuild, mkdocs_folders

    if config is None:
        target = (site or Path("site")).absolute()
        folders = Folders(content.absolute(), target, content.absolute().parent / FOLDER)
        return LastBuild(folders, "offline" if offline else "plain")
    known = mkdocs_folders(config, site)
    if known is None or (_asked_for_content() and content.resolve() != known.content.resolve()):
        return None
    return LastBuild(known, "mkdocs")


def _asked_for_content() -> bool:
    source = click.get_current_context().get_parameter_source("content")
    return source is not click.core.ParameterSource.DEFAULT


@contextmanager
def _explaining(name: str | None) -> Iterator[None]:
    """Print why each page named `name` was made again or kept."""
    if name is None:
        yield
        return
    from limberleaf.publish.page_cache import log

    wanted = name.lower()
    found: list[str] = []

    class Printer(logging.Handler):
        def emit(self, record: logging.LogRecord) -> None:
            line = record.getMessage()
            if wanted in line.partition(":")[0].split("/"):
                found.append(line)

    log.setLevel(logging.DEBUG)
    log.propagate = False
    printer = Printer()
    log.addHandler(printer)
    try:
        yield
    finally:
        log.removeHandler(printer)
        click.echo("\n".join(found or [f"No page is named {name}."]))


class _Collector(logging.Handler):
    """Keeps what the plugin says of the library, so that a build with nothing to do can say it again."""

    def __init__(self) -> None:
        super().__init__(logging.INFO)
        self.lines: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        self.lines.append(f"{record.levelname:<7} {record.getMessage()}")


def _prepare(content: Path, *, first: bool, locked: bool) -> None:
    from limberleaf.library import load_library
    from limberleaf.pages.addresses import LockFile

    if first:
        LockFile(content).write_first()
    if locked:
        library = load_library(content)
        stop_on_errors(library.findings, folder=content)
        stop_on_errors(stale_lock(library), folder=content)


def _without_mkdocs(content: Path, site: Path, today: date, *, offline: bool) -> list[str]:
    from limberleaf.publish.plain import write_site

    pages, findings = write_site(
        content, site, today=today, cache=content.absolute().parent / FOLDER, name_files=offline
    )
    if not pages:
        stop_on_errors(findings, folder=content)
    shown = [found for found in findings if found.severity != "note"]
    print_findings(shown, folder=content)
    click.echo(f"{pages} pages in {site}")
    from limberleaf.reports import as_text

    return as_text([found.inside(content.as_posix()) for found in shown]).splitlines()


def _settings(config: Path, site: Path | None) -> MkDocsConfig:
    from mkdocs.config import load_config
    from mkdocs.exceptions import Abort, ConfigurationError

    logging.basicConfig(format="%(levelname)-7s %(message)s", level=logging.INFO)
    try:
        settings = load_config(str(config), **({"site_dir": str(site)} if site else {}))
    except ConfigurationError as error:
        raise click.ClickException(f"{config}: {error}") from None
    except Abort as abort:
        raise click.exceptions.Exit(abort.code if isinstance(abort.code, int) else 1) from None
    if "limberleaf" not in settings.plugins:
        raise click.ClickException(
            f"{config} does not list the plugin limberleaf, so the site would hold no exercises. Add it under "
            "plugins:, or build with --plain."
        )
    return settings


def _content(settings: MkDocsConfig, asked: Path) -> Path:
    """Give the content folder that mkdocs.yml names; one that is asked for on the command line must be the same."""
    base = Path(settings.config_file_path or ".").resolve().parent
    named: Path = base / settings.plugins["limberleaf"].config["content"]
    if not _asked_for_content() or asked.resolve() == named.resolve():
        return named
    raise click.UsageError(
        f"--content {asked} is not the folder mkdocs.yml names ({named}). Change it there, or add --plain."
    )


def _through_mkdocs(settings: MkDocsConfig) -> list[str]:
    from mkdocs.commands.build import build
    from mkdocs.exceptions import Abort, ConfigurationError

    collector = _Collector()
    logging.getLogger("mkdocs.plugins.limberleaf").addHandler(collector)
    try:
        settings.plugins.on_startup(command="build", dirty=False)
        try:
            build(settings)
        finally:
            settings.plugins.on_shutdown()
    except ConfigurationError as error:
        raise click.ClickException(f"{settings.config_file_path}: {error}") from None
    except Abort as abort:
        raise click.exceptions.Exit(abort.code if isinstance(abort.code, int) else 1) from None
    finally:
        logging.getLogger("mkdocs.plugins.limberleaf").removeHandler(collector)
    click.echo(f"The site is in {settings.site_dir}")
    return collector.lines
