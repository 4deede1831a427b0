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
    from limberleaf.publish.swap import landing, write_files

    if kind is not None:
        if kind not in SCHEMAS:
            raise click.BadParameter(f"choose from {', '.join(SCHEMAS)}", param_hint="--kind")
        click.echo(json.dumps(schema(kind), indent=2, ensure_ascii=False))
        return
    with landing(output) as fresh:
        write_files(schema_files(), fresh)
    click.echo(f"{len(SCHEMAS)} schemas in {output}")


def schema_files() -> dict[str, str]:
    """Give the schema of each kind of entry by the name of its file."""
    from limberleaf.library.schemas import SCHEMAS, schema

    return {
        f"{name}.schema.json": json.dumps(schema(name), indent=2, ensure_ascii=False) + "\n"
        for name in SCHEMAS
    }
