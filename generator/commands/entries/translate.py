"""`limberleaf translate`: texts out to translators and in again, and how far each language is."""

from __future__ import annotations

import json
import re
from dataclasses import asdict
from pathlib import Path

import click

from limberleaf.commands.shared import content_option, print_findings, read_library

ENDS = (".xlf", ".xliff", ".po")


@click.group(name="translate")
def command() -> None:
    """Write texts for translators (XLIFF 2.1 or PO), bring their work back, and show how far each language is.

    One sentence is one unit, with a note on where it belongs. Blanks such as {hold} are protected. What the translator
    did not confirm is not taken; a new translation is a draft until a clinician who speaks the language approves it.
    """


@command.command(name="out")
@click.argument("file", type=click.Path(path_type=Path, dir_okay=False))
@click.option(
    "--to", "language", required=True, metavar="LANGUAGE", help="The language to translate into: nl, ar ..."
)
@click.option(
    "--only", multiple=True, metavar="NAME", help="Only this exercise, ladder, collection or caution."
)
@click.option(
    "--open", "open_only", is_flag=True, help="Leave out texts whose translation is there and fresh."
)
@content_option
def translate_out(file: Path, language: str, only: tuple[str, ...], open_only: bool, content: Path) -> None:
    """Write the texts with what is translated already into FILE (.xlf or .po by the end of its name)."""
    from limberleaf.exchange.translation.library_units import items, units
    from limberleaf.exchange.translation.po import po_text
    from limberleaf.exchange.translation.xliff import xliff_text
    from limberleaf.findings import did_you_mean
    from limberleaf.output import Ledger

    if file.suffix.lower() not in ENDS:
        raise click.BadParameter("write a name that ends in .xlf or .po", param_hint="FILE")
    library = read_library(content)
    first = library.settings.language
    if not re.fullmatch("[a-z]{2}", language) or language == first:
        raise click.BadParameter(
            f"two small letters, and not {first}, which the entries are in", param_hint="--to"
        )
    names = {item.name for item in items(library, language)}
    for name in only:
        if name not in names:
            raise click.BadParameter(
                f"there is no “{name}”. {did_you_mean(name, sorted(names))}", param_hint="--only"
            )
    chosen = [unit for unit in units(library, language, only) if not (open_only and unit.state == "done")]
    write = po_text if file.suffix.lower() == ".po" else xliff_text
    Ledger(content).write(file, write(chosen, first, language))
    counts = {
        state: sum(unit.state == state for unit in chosen) for state in ("done", "stale", "reused", "new")
    }
    click.echo(
        f"{len(chosen)} texts in {file}: {counts['done']} translated, {counts['stale']} to compare because the "
        f"original changed, {counts['reused']} lent by like texts, {counts['new']} new."
    )
    if language not in library.settings.languages:
        click.echo(
            f"“{language}” is not under languages in clinic.yml yet; its pages are built once it is.",
            err=True,
        )


@command.command(name="in")
@click.argument("file", type=click.Path(path_type=Path, dir_okay=False, exists=True))
@click.option("--dry-run", is_flag=True, help="Say what would change and write nothing.")
@click.option("--format", "form", type=click.Choice(("text", "json")), default="text", show_default=True)
@content_option
def translate_in(file: Path, dry_run: bool, form: str, content: Path) -> None:
    """Bring a translator's FILE back: confirmed texts go into the translation files, new ones become drafts."""
    from limberleaf.exchange.entries import write_changes
    from limberleaf.exchange.sheet import TableError
    from limberleaf.exchange.translation.bring_in import bring_in
    from limberleaf.exchange.translation.po import read_po
    from limberleaf.exchange.translation.xliff import read_xliff
    from limberleaf.findings import has_errors

    if file.suffix.lower() not in ENDS:
        raise click.BadParameter("write a name that ends in .xlf or .po", param_hint="FILE")
    library = read_library(content)
    try:
        language, found = (read_po if file.suffix.lower() == ".po" else read_xliff)(
            file.name, file.read_bytes()
        )
    except TableError as error:
        raise click.ClickException(str(error)) from None
    result = bring_in(library, language, found, file.name)
    wrong = has_errors(result.findings)
    written = not wrong and not dry_run
    if written:
        write_changes(content, result.changes)
    if form == "json":
        facts = {
            "language": language, "written": written, "changed": [change.path for change in result.changes],
            "unchanged": result.same,
            "findings": [{**vars(finding), "place": str(finding.place)} for finding in result.findings],
        }  # fmt: skip
        click.echo(json.dumps(facts, indent=2, ensure_ascii=False))
    else:
        if result.findings:
            print_findings(result.findings, folder=Path())
        for line in result.lines:
            click.echo(line)
        verb = "written" if written else "would change"
        click.echo(f"{len(result.changes)} translations {verb}, {result.same} as they were.")
        if wrong:
            click.echo("Nothing was written.")
    if wrong:
        raise click.exceptions.Exit(1)


@command.command(name="status")
@click.option("--language", multiple=True, help="Only this language; without it all of clinic.yml.")
@click.option("--format", "form", type=click.Choice(("text", "json")), default="text", show_default=True)
@content_option
def status(language: tuple[str, ...], form: str, content: Path) -> None:
    """Show by language and kind what is approved, draft, stale and missing."""
    from limberleaf.exchange.translation.coverage import coverage, coverage_text

    library = read_library(content)
    rows = coverage(library, list(language) or library.settings.languages[1:])
    if form == "json":
        click.echo(json.dumps([asdict(row) for row in rows], indent=2))
        return
    if not rows:
        click.echo("clinic.yml names one language only; add another under languages.")
        return
    click.echo(coverage_text(rows), nl=False)


@command.command(name="pseudo")
@click.argument("folder", type=click.Path(path_type=Path, file_okay=False))
@content_option
def pseudo(folder: Path, content: Path) -> None:
    """Write the library into FOLDER in pseudo-language: longer, accented, in brackets.

    Its pages show what is cut off (no closing bracket) and what does not come from an entry (no accents). It is for
    looking at, never for patients.
    """
    from limberleaf.exchange.translation.pseudo import pseudo_changes
    from limberleaf.output import write_new

    library = read_library(content)
    changed = {change.path: change.after for change in pseudo_changes(library)}
    files: dict[Path, str | bytes] = {}
    for file in sorted(content.rglob("*")):
        path = file.relative_to(content).as_posix()
        if file.is_file() and not path.startswith("."):
            files[folder / "content" / path] = changed.get(path) or file.read_bytes()
    write_new(files)
    click.echo(
        f"{len(changed)} entries in {folder}/content. See their pages: "
        f"limberleaf build --plain --content {folder}/content"
    )
