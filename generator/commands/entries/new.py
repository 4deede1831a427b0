"""`limberleaf new`: a commented starter entry."""

from __future__ import annotations

import re
from pathlib import Path
from typing import get_args

import click

from limberleaf.commands.shared import content_option
from limberleaf.output import write_new

KINDS = ("exercise", "ladder", "collection", "caution")
_FORMS = {"exercise": (r"[a-z]{2,4}-[0-9]{2,3}", "a code such as kn-12")}
_OTHER_FORM = (r"[a-z][a-z0-9]*(-[a-z0-9]+)*", "small letters, digits and hyphens, such as knee-strength")


@click.command(name="new")
@click.argument("kind", type=click.Choice(KINDS))
@click.argument("name", required=False)
@click.option("--region", default="knee", show_default=True, help="The region it is for.")
@content_option
def command(kind: str, name: str | None, region: str, content: Path) -> None:
    """Write a commented starter entry of KIND, called NAME (an exercise without a name gets the next free code)."""
    from limberleaf.library.models.exercise import Region
    from limberleaf.starter import new_entry

    if region not in get_args(Region):
        raise click.BadParameter(f"choose from {', '.join(get_args(Region))}", param_hint="--region")
    if name is None:
        if kind != "exercise":
            raise click.UsageError(f"Give the {kind} a name: limberleaf new {kind} NAME")
        name = next_code(content, region)
    refuse_bad_name(kind, name, "NAME")
    path, text = new_entry(kind, name, region)
    file = content / path
    if kind == "exercise":
        there = sorted(content.glob(f"exercises/**/{name}.yml"))
        file = there[0] if there else file
    if file.exists():
        raise click.ClickException(f"{file} exists already; nothing was written.")
    if not content.is_dir():
        raise click.ClickException(
            f"There is no content folder at {content}. Run this beside `mkdocs.yml`, or start with `limberleaf init`."
        )
    write_new({file: text})
    click.echo(f"{file} is a draft. Write it, then run limberleaf check.")


def refuse_bad_name(kind: str, name: str, param_hint: str) -> None:
    """Raise BadParameter for a code or name that cannot be part of an address."""
    pattern, form = _FORMS.get(kind, _OTHER_FORM)
    if not re.fullmatch(pattern, name):
        raise click.BadParameter(f"“{name}” cannot be an address; write {form}", param_hint=param_hint)


def next_code(content: Path, region: str) -> str:
    """Give the next number after the highest one in use with the region's letters."""
    codes = [
        re.fullmatch(r"([a-z]{2,4})-(\d{2,3})", file.stem) for file in content.glob("exercises/**/*.yml")
    ]
    here = [file.stem.split("-")[0] for file in content.glob(f"exercises/{region}/*.yml")]
    letters = here[0] if here else region.replace("_", "")[:2]
    numbers = [int(code[2]) for code in codes if code and code[1] == letters]
    return f"{letters}-{max(numbers, default=0) + 1:02d}"
