"""`limberleaf guide`: how something is done, what a key of an entry means, what a finding says."""

from __future__ import annotations

import json
import textwrap
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from limberleaf.guide.explain import Explanation
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
    """Say how something is done (publish, back-up ...), what keys mean, of a kind (exercise ...) or one (dose.hold), or
    what a finding means (dose-unusual).

    Without WORDS it lists the tasks and the kinds. `--site guide` writes everything as pages that open from disk.
    """
    from limberleaf.guide.explain import explanations
    from limberleaf.guide.site import site_files, topics

    if site is not None:
        from limberleaf.publish.swap import landing, write_files

        with landing(site) as fresh:
            write_files(site_files(), fresh)
        click.echo(f"The guide is in {site}: open {site / 'index.html'}.")
        return
    asked = " ".join(words).strip("[]")
    if asked in topics() and form == "text":
        click.echo(topics()[asked], nl=False)
    elif asked in explanations():
        _print_finding(explanations()[asked], form)
    elif asked == "findings":
        _print_codes(form)
    elif asked:
        _print_keys(asked, form)
    else:
        _print_start()


def _print_start() -> None:
    from limberleaf.guide.site import title_of, topics
    from limberleaf.library.schemas import SCHEMAS

    click.echo("Tasks:")
    for name, text in topics().items():
        click.echo(f"    {name:<18} {title_of(text)}")
    click.echo("Kinds of entry: " + ", ".join(SCHEMAS))
    click.echo(
        "limberleaf guide KIND lists its keys; limberleaf guide KEY says what one means, limberleaf guide CODE what a "
        "finding means, limberleaf guide findings lists their codes."
    )


def _print_keys(asked: str, form: str) -> None:
    from limberleaf.guide.examples import example
    from limberleaf.guide.explain import explained_at
    from limberleaf.library.guide import find_keys
    from limberleaf.library.schemas import SCHEMAS

    found = find_keys(asked)
    if not found:
        raise click.ClickException(_unknown(asked))
    if form == "json":
        rows = [
            {
                **vars(key),
                "name": key.name,
                "example": example(key),
                "findings": [one.code for one in explained_at(key)],
            }
            for key in found
        ]
        click.echo(json.dumps(rows, indent=2, ensure_ascii=False, default=str))
        return
    before = ""
    for key in found:
        if asked in SCHEMAS:  # a list to look things up in, which examples and findings would bury
            click.echo(_key(key, "", (), alone=False))
            continue
        shown = example(key)
        click.echo(_key(key, "" if shown == before else shown, explained_at(key), alone=len(found) == 1))
        before = shown


def _unknown(asked: str) -> str:
    from limberleaf.findings import did_you_mean
    from limberleaf.guide.explain import explanations
    from limberleaf.guide.site import topics
    from limberleaf.library.guide import keys
    from limberleaf.library.schemas import SCHEMAS

    known = {
        *SCHEMAS,
        *topics(),
        *explanations(),
        *(key.path.split(".")[-1].replace("[]", "") for kind in SCHEMAS for key in keys(kind)),
    }
    return f"There is no task, key, kind or finding “{asked}”. {did_you_mean(asked, sorted(known))}"


def _print_finding(one: Explanation, form: str) -> None:
    if form == "json":
        click.echo(json.dumps(vars(one), indent=2, ensure_ascii=False))
        return
    click.echo(f"{one.code}  ({' or '.join(one.severities)}; {one.topic})")
    click.echo(_lines([one.wrong, f"Way out: {one.way_out}"]))
    if one.example:
        click.echo("    For example:")
        click.echo(textwrap.indent(one.example, " " * 8))
    if one.at:
        click.echo(_lines([f"Stands at: {', '.join(one.at)}."]))


def _print_codes(form: str) -> None:
    from limberleaf.guide.explain import explanations

    if form == "json":
        click.echo(json.dumps([vars(one) for one in explanations().values()], indent=2, ensure_ascii=False))
        return
    topic = ""
    for one in explanations().values():
        if one.topic != topic:
            topic = one.topic
            click.echo(f"{topic}:")
        click.echo(f"    {one.code}")
    click.echo("limberleaf guide CODE says what one means.")


def _key(key: Key, shown: str, findings: Iterable[Explanation], *, alone: bool) -> str:
    """Write one key as a line with its form, its meaning and an example; of a key alone what each finding says too."""
    default = (
        ""
        if key.default is None or key.default == []
        else f"; by itself: {json.dumps(key.default, default=str)}"
    )
    head = f"{key.name}  ({'must be there' if key.required else 'may be left out'}{default})"
    if alone:
        said = [f"{one.code}: {one.wrong}" for one in findings]
        said = ["Findings it can cause (limberleaf guide CODE says the way out):", *said] if said else []
    else:
        codes = ", ".join(one.code for one in findings)
        said = [f"Findings: {codes}."] if codes else []
    form = f"Form: {key.form}."
    parts = [head, _lines([key.meaning, f"{form} For example:" if shown else form])]
    parts += [textwrap.indent(shown, " " * 8)] if shown else []
    return "\n".join([*parts, *([_lines(said)] if said else [])])


def _lines(lines: list[str]) -> str:
    return "\n".join(
        textwrap.fill(
            line,
            WIDTH,
            initial_indent="    ",
            subsequent_indent="    ",
            break_on_hyphens=False,
            break_long_words=False,
        )
        for line in lines
        if line
    )
