"""`limberleaf init`: a clinic's own library in a new folder."""

from __future__ import annotations

from pathlib import Path

import click


@click.command(name="init")
@click.argument("folder", type=click.Path(path_type=Path, file_okay=False))
def command(folder: Path) -> None:
    """Start a clinic's own library in FOLDER.

    Writes settings, two exercises, a ladder, two cautions, a collection, a prose page, the JSON Schemas and the
    workflow files that publish it on common hosts. Nothing that exists is overwritten. The entries are drafts: a
    preview shows them, and a site has them once your clinic has approved them.
    """
    from limberleaf.clinical.governance.lock import LOCK, empty_lock
    from limberleaf.commands.entries.schema import schema_files
    from limberleaf.output import MARK, mark_text, write_new
    from limberleaf.starter import starter_files

    schemas = schema_files()
    files = {folder / path: text for path, text in starter_files().items()}
    files |= {folder / "content" / ".schema" / name: text for name, text in schemas.items()}
    files[folder / "content" / ".schema" / MARK] = mark_text(schemas)
    files[folder / "content" / LOCK] = empty_lock()
    write_new(files)
    click.echo(f"A new library is in {folder}. Next:")
    click.echo(f"    cd {folder}\n    limberleaf serve\n    limberleaf check\n    limberleaf build")
    click.echo("Put your own numbers into content/clinic.yml first: those in it are invented.")
    click.echo(
        "The entries are drafts, approved by nobody: `serve` shows them, `build` publishes what you approve."
    )
    click.echo(
        "To approve: `status: approved` in the file, then `limberleaf review --record`, or at the desk."
    )
