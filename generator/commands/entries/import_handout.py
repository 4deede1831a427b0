"""`limberleaf import`: a clinic's own handout as a draft entry."""

from __future__ import annotations

from pathlib import Path
from typing import get_args

import click

from limberleaf.commands.shared import content_option


@click.command(name="import")
@click.argument("file", type=click.Path(path_type=Path, dir_okay=False, exists=True))
@click.option("--region", required=True, help="The part of the body it is for: knee, hip ...")
@click.option("--code", help="The code of the new entry; without it the next free one of the region.")
@click.option(
    "--output", "-o", type=click.Path(path_type=Path, file_okay=False), default=Path("drafts"), show_default=True,
    help="The folder for the draft and its pictures, beside the content folder.",
)  # fmt: skip
@content_option
def command(file: Path, region: str, code: str | None, output: Path, content: Path) -> None:
    """Read a handout (.docx or .html) into a draft entry.

    Headings say where lines belong. What the program guessed is marked UNSURE, what the handout does not say is marked
    MISSING, what found no place is at the end; nothing is made up. Pictures are kept beside the draft. Complete it,
    then move it into content/exercises/REGION and run limberleaf check.
    """
    from limberleaf.commands.entries.new import next_code, refuse_bad_name
    from limberleaf.exchange.draft import MISSING, UNSURE, draft_of, draft_text
    from limberleaf.exchange.handout import HandoutReadError, read_handout
    from limberleaf.library.models.exercise import Region
    from limberleaf.output import write_new

    if region not in get_args(Region):
        raise click.BadParameter(f"choose from {', '.join(get_args(Region))}", param_hint="--region")
    code = code or next_code(content, region)
    refuse_bad_name("exercise", code, "--code")
    try:
        handout = read_handout(file)
    except HandoutReadError as error:
        raise click.ClickException(str(error)) from None
    names = [f"{code}/{name}" for name in handout.pictures] + [
        f"{one} (not in the file)" for one in handout.elsewhere
    ]
    text = draft_text(draft_of(handout), code=code, region=region, file=file.name, pictures=names)
    files: dict[Path, str | bytes] = {output / f"{code}.yml": text}
    files |= {output / code / name: data for name, data in handout.pictures.items()}
    write_new(files)
    click.echo(
        f"{output / f'{code}.yml'} is a draft: {text.count(UNSURE)} places to compare, "
        f"{text.count(MISSING)} to write, {len(handout.pictures)} pictures kept beside it."
    )
    click.echo(
        f"Complete it and move it to {content}/exercises/{region}/{code}.yml, then run limberleaf check."
    )
