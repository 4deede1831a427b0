"""`limberleaf build`: the site, through MkDocs where there is an mkdocs.yml, else written plainly."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from limberleaf.commands.shared import content_option, print_findings, stop_on_errors
from limberleaf.store import FOLDER


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
def command(content: Path, config: Path, site: Path | None, offline: bool, plain: bool) -> None:
    """Build the library's site into a folder, swapped in when all went well.

    A build that fails leaves the published folder as it was and exits with 1.
    """
    if offline or plain or not config.exists():
        _plainly(content, site or Path("site-offline" if offline else "site"), offline=offline)
    else:
        _through_mkdocs(config, site)


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


def _through_mkdocs(config: Path, site: Path | None) -> None:
    import logging

    from mkdocs.commands.build import build
    from mkdocs.config import load_config
    from mkdocs.exceptions import Abort, ConfigurationError

    logging.basicConfig(format="%(levelname)-7s %(message)s", level=logging.INFO)
    try:
        settings = load_config(str(config), **({"site_dir": str(site)} if site else {}))
        settings.plugins.on_startup(command="build", dirty=False)
        try:
            build(settings)
        finally:
            settings.plugins.on_shutdown()
    except ConfigurationError as error:
        raise click.ClickException(f"{config}: {error}") from None
    except Abort as abort:
        raise click.exceptions.Exit(abort.code if isinstance(abort.code, int) else 1) from None
    click.echo(f"The site stands in {settings.site_dir}")
