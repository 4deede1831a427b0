"""`limberleaf guide`: what every key of an entry means."""

from __future__ import annotations

import json
import textwrap
from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from limberleaf.library.guide import Key

WIDTH = 100


@click.command(name="guide")
@click.argument("words", nargs=-1)
@click.option("--format", "form", type=click.Choice(("text", "json")), default="text", show_default=True)
@click.option(
    "--site",
    type=click.Path(path_type=Path, file_okay=False),
    help="Write the whole guide as pages into this folder.",
)
def command(words: tuple[str, ...], form: str, site: Path | None) -> None:
    """Say how something is done (publish, back-up ...) or what keys mean: of a kind (exercise ...), or one (dose.hold).

    Without WORDS it lists the tasks and the kinds. `--site guide` writes everything as pages that open from disk.
    """
    from limberleaf.findings import did_you_mean
    from limberleaf.guide.site import site_files, title_of, topics
    from limberleaf.library.guide import find_keys, keys
    from limberleaf.library.schemas import SCHEMAS

    if site is not None:
        from limberleaf.publish.swap import landing, write_files

        with landing(site) as fresh:
            write_files(site_files(), fresh)
        click.echo(f"The guide is in {site}: open {site / 'index.html'}.")
        return
    asked = " ".join(words)
    if asked in topics() and form == "text":
        click.echo(topics()[asked], nl=False)
        return
    if not asked:
        click.echo("Tasks:")
        for name, text in topics().items():
            click.echo(f"    {name:<18} {title_of(text)}")
        click.echo("Kinds of entry: " + ", ".join(SCHEMAS))
        click.echo("limberleaf guide KIND lists its keys; limberleaf guide KEY says what one means.")
        return
    found = find_keys(asked)
    if not found:
        known = {
            *SCHEMAS,
            *topics(),
            *(key.path.split(".")[-1].replace("[]", "") for kind in SCHEMAS for key in keys(kind)),
        }
        raise click.ClickException(f"There is no key or kind “{asked}”. {did_you_mean(asked, sorted(known))}")
    if form == "json":
        rows = [{**vars(key), "name": key.name} for key in found]
        click.echo(json.dumps(rows, indent=2, ensure_ascii=False, default=str))
        return
    for key in found:
        click.echo(_entry(key))


def _entry(key: Key) -> str:
    """Write one key as a line with its form, and its meaning below."""
    default = (
        ""
        if key.default is None or key.default == []
        else f"; by itself: {json.dumps(key.default, default=str)}"
    )
    head = f"{key.name}  ({'must be there' if key.required else 'may be left out'}{default})"
    lines = [key.meaning, f"Form: {key.form}."]
    body = "\n".join(
        textwrap.fill(line, WIDTH, initial_indent="    ", subsequent_indent="    ") for line in lines if line
    )
    return f"{head}\n{body}"
