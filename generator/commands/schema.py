"""`limberleaf schema`: JSON Schemas of every kind of entry, for completion and checks while typing."""

from __future__ import annotations

import json
from pathlib import Path

import click


@click.command(name="schema")
@click.option(
    "--output",
    type=click.Path(path_type=Path, file_okay=False),
    default=Path("content/.schema"),
    show_default=True,
    help="The folder to write them into.",
)
@click.option("--kind", help="Print the schema of one kind (exercise, ladder ...) instead.")
def command(output: Path, kind: str | None) -> None:
    """Write the JSON Schemas that editors complete and check entries with.

    The starter entries carry the line `# yaml-language-server: $schema=...`, which common editors read.
    """
    from limberleaf.library.schemas import SCHEMAS, schema

    if kind is not None:
        if kind not in SCHEMAS:
            raise click.BadParameter(f"choose from {', '.join(SCHEMAS)}", param_hint="--kind")
        click.echo(json.dumps(schema(kind), indent=2, ensure_ascii=False))
        return
    write_schemas(output)
    click.echo(f"{len(SCHEMAS)} schemas in {output}")


def write_schemas(folder: Path) -> None:
    """Write one schema a kind of entry into `folder`."""
    from limberleaf.library.schemas import SCHEMAS, schema

    folder.mkdir(parents=True, exist_ok=True)
    for name in SCHEMAS:
        text = json.dumps(schema(name), indent=2, ensure_ascii=False) + "\n"
        (folder / f"{name}.schema.json").write_text(text, "utf-8")
