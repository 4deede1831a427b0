"""`limberleaf serve`: MkDocs' preview server, with the library's own settings when there is no mkdocs.yml."""

from __future__ import annotations

from pathlib import Path

import click


@click.command(name="serve")
@click.option(
    "--config",
    "-f",
    type=click.Path(path_type=Path, dir_okay=False),
    default=Path("mkdocs.yml"),
    show_default=True,
)
@click.option(
    "--address", "-a", default="127.0.0.1:8000", show_default=True, help="Where the preview listens."
)
@click.option("--open", "open_browser", is_flag=True, help="Open the preview in the browser.")
def command(config: Path, address: str, open_browser: bool) -> None:
    """Preview the site; it follows every change of an entry, a template or a setting.

    Entries with errors are left out of the preview and listed here; the others are shown.
    """
    import logging

    from mkdocs.commands.serve import serve
    from mkdocs.exceptions import Abort, ConfigurationError

    if not config.exists():
        raise click.ClickException(f"There is no {config}. `limberleaf init` writes one.")
    logging.basicConfig(format="%(levelname)-7s %(message)s", level=logging.INFO)
    try:
        serve(str(config), open_in_browser=open_browser, dev_addr=address)
    except ConfigurationError as error:
        raise click.ClickException(f"{config}: {error}") from None
    except OSError as error:
        raise click.ClickException(
            f"Cannot listen at {address}: {error.strerror}. Try another --address."
        ) from None
    except Abort as abort:
        raise click.exceptions.Exit(abort.code if isinstance(abort.code, int) else 1) from None
