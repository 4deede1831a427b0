"""`limberleaf build`: the site, through MkDocs where there is an mkdocs.yml, else written plainly."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from limberleaf.commands.shared import content_option, print_findings, stale_lock, stop_on_errors
from limberleaf.store import FOLDER

if TYPE_CHECKING:
    from mkdocs.config.defaults import MkDocsConfig


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
def command(
    content: Path, config: Path, site: Path | None, offline: bool, plain: bool, first: bool, locked: bool
) -> None:
    """Build the library's site into a folder, swapped in when all went well.

    It writes to a folder that is absent, empty or was written by an earlier build, and removes only what that build
    wrote. A build that fails leaves the published folder as it was and exits with 1.
    """
    through_mkdocs = not (offline or plain) and config.exists()
    settings = _settings(config, site) if through_mkdocs else None
    if settings is not None:
        content = _content(settings, content)
    _prepare(content, first=first, locked=locked)
    if settings is not None:
        _through_mkdocs(settings)
    else:
        _plainly(content, site or Path("site-offline" if offline else "site"), offline=offline)


def _prepare(content: Path, *, first: bool, locked: bool) -> None:
    from limberleaf.library import load_library
    from limberleaf.publish.addresses import LockFile

    if first:
        LockFile(content).write_first()
    if locked:
        library = load_library(content)
        stop_on_errors(library.findings, folder=content)
        stop_on_errors(stale_lock(library), folder=content)


def _plainly(content: Path, site: Path, *, offline: bool) -> None:
    from limberleaf.publish.plain import write_site

    today = date.today()
    pages, findings = write_site(
        content, site, today=today, cache=content.absolute().parent / FOLDER, name_files=offline
    )
    if not pages:
        stop_on_errors(findings, folder=content)
    print_findings([found for found in findings if found.severity != "note"], folder=content)
    click.echo(f"{pages} pages in {site}")


def _settings(config: Path, site: Path | None) -> MkDocsConfig:
    import logging

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
    source = click.get_current_context().get_parameter_source("content")
    if source is click.core.ParameterSource.DEFAULT or asked.resolve() == named.resolve():
        return named
    raise click.UsageError(
        f"--content {asked} is not the folder mkdocs.yml names ({named}). Change it there, or add --plain."
    )


def _through_mkdocs(settings: MkDocsConfig) -> None:
    from mkdocs.commands.build import build
    from mkdocs.exceptions import Abort, ConfigurationError

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
    click.echo(f"The site stands in {settings.site_dir}")
