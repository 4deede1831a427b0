"""`limberleaf init`: a clinic's own library in a new folder."""

from __future__ import annotations

from pathlib import Path

import click


@click.command(name="init")
@click.argument("folder", type=click.Path(path_type=Path, file_okay=False))
def command(folder: Path) -> None:
    """Start a clinic's own library in FOLDER.

    Writes settings, two exercises, a ladder, two cautions, a collection, a prose page, the JSON Schemas and the
    workflow files that publish it on common hosts. Nothing that exists is overwritten.
    """
    from limberleaf.commands.schema import write_schemas
    from limberleaf.publish.swap import write_files
    from limberleaf.starter import starter_files

    files = starter_files()
    taken = [path for path in files if (folder / path).exists()]
    if taken:
        raise click.ClickException(
            f"{folder / taken[0]} exists already. Choose a new folder; nothing was written."
        )
    write_files(files, folder)
    write_schemas(folder / "content" / ".schema")
    click.echo(f"A library stands in {folder}. Next:")
    click.echo(f"    cd {folder}\n    limberleaf serve\n    limberleaf check\n    limberleaf build")
    click.echo("Put your own numbers into content/clinic.yml first: those in it are invented.")
