"""`limberleaf table`: the exercises as a spreadsheet, and a spreadsheet back into the exercises."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

import click

from limberleaf.commands.shared import content_option, counted, read_library

if TYPE_CHECKING:
    from limberleaf.exchange.sheet import Sheet
    from limberleaf.exchange.table_in import Plan

FORMS = click.Choice(("text", "json"))


@click.group(name="table")
def command() -> None:
    """Take the exercises out as a spreadsheet (.xlsx or .csv), and bring a changed one back in.

    One row an exercise, one column a key, lists with one line for each item. Nothing is lost on the way: a table
    that comes back unchanged changes no file, and one changed cell changes one value; comments and order stay.
    """


@command.command(name="out")
@click.argument("file", type=click.Path(path_type=Path, dir_okay=False))
@click.option(
    "--only", multiple=True, metavar="CODE", help="Only these exercises; may be given more than once."
)
@content_option
def table_out(file: Path, only: tuple[str, ...], content: Path) -> None:
    """Write the exercises into FILE, a workbook (.xlsx) or CSV (.csv) by the end of its name."""
    from limberleaf.exchange.columns import AS_OF, columns
    from limberleaf.exchange.csv_table import csv_text
    from limberleaf.exchange.sheet import TableError
    from limberleaf.exchange.table import ABOUT, table_rows
    from limberleaf.exchange.workbook import workbook_bytes
    from limberleaf.findings import did_you_mean
    from limberleaf.output import Ledger

    if file.suffix.lower() not in (".xlsx", ".csv"):
        raise click.BadParameter("write a name that ends in .xlsx or .csv", param_hint="FILE")
    library = read_library(content)
    for code in only:
        if code not in library.exercises:
            near = did_you_mean(code, sorted(library.exercises))
            raise click.BadParameter(f"there is no exercise “{code}”. {near}", param_hint="--only")
    rows = table_rows(library, only)
    names = [*(column.name for column in columns()), AS_OF]
    try:
        data = (
            csv_text(names, rows).encode()
            if file.suffix.lower() == ".csv"
            else workbook_bytes(columns(), rows, ABOUT)
        )
    except TableError as error:
        raise click.ClickException(str(error)) from None
    Ledger(content).write(file, data)
    click.echo(f"{len(rows)} exercises in {file}. Change cells, then: limberleaf table in {file}")
    broken = sum(finding.severity == "error" for finding in library.findings)
    if broken:
        click.echo(
            f"Entries with errors are not in it ({broken} errors in the library); limberleaf check names them.",
            err=True,
        )


@command.command(name="in")
@click.argument("file", type=click.Path(path_type=Path, dir_okay=False, exists=True))
@click.option(
    "--dry-run",
    is_flag=True,
    help="Say what would change and write no entry; wrong cells are marked in a copy.",
)
@click.option(
    "--over-newer", is_flag=True, help="Also change entries that were edited since the table was written."
)
@click.option("--marked", type=click.Path(path_type=Path, dir_okay=False), help="Where the marked copy goes.")
@click.option("--format", "form", type=FORMS, default="text", show_default=True, help="json: for scripts.")
@content_option
def table_in(
    file: Path, dry_run: bool, over_newer: bool, marked: Path | None, form: str, content: Path
) -> None:
    """Bring FILE back: cells that differ change their entries, rows with a new code become drafts.

    Every cell is checked first. When one is wrong no entry is written, and a copy (NAME.marked.xlsx) shows which
    and why; mend FILE or the copy and bring that in. Nothing is ever deleted: a row or a column that is missing
    leaves things as they are. FILE can be used again for the next change.
    """
    from limberleaf.exchange.entries import write_changes
    from limberleaf.exchange.sheet import TableError
    from limberleaf.exchange.table_in import plan_import, read_table
    from limberleaf.exchange.trail import Trail
    from limberleaf.findings import has_errors

    library = read_library(content)
    try:
        sheet, data = read_table(file)
        plan = plan_import(library, sheet, over_newer=over_newer)
    except TableError as error:
        raise click.ClickException(str(error)) from None
    wrong = [finding for finding in sheet.findings if has_errors([finding])]
    written = not wrong and not dry_run
    copy = _marked(file, marked, data, sheet, content) if wrong else None
    if written:
        write_changes(content, plan.changes)
        Trail(content).keep(plan.steps)
    if form == "json":
        facts = {
            "written": written, "changed": [change.path for change in plan.changes], "changes": plan.lines,
            "unchanged": plan.same, "not_in_table": plan.left_out,
            "columns_not_in_table": plan.without, "marked_copy": copy and str(copy),
            "findings": [
                {**vars(finding), "place": str(finding.place)} for finding in sheet.findings
            ],
        }  # fmt: skip
        click.echo(json.dumps(facts, indent=2, ensure_ascii=False))
    else:
        for finding in sheet.findings:
            click.echo(f"{finding.line()}\n    {finding.hint}")
        _tell(plan, written=written, wrong=len(sheet.wrong))
        if copy:
            click.echo(f"No entry was written: {counted(len(wrong), 'thing')} to fix, marked in {copy}.")
    if wrong:
        raise click.exceptions.Exit(1)


def _marked(file: Path, marked: Path | None, data: bytes, sheet: Sheet, content: Path) -> Path:
    from limberleaf.exchange.workbook import marked_copy
    from limberleaf.output import Ledger

    target = marked or file.with_name(f"{file.stem.removesuffix('.marked')}.marked.xlsx")
    raw = data if file.suffix.lower() == ".xlsx" else None
    Ledger(content).write(target, marked_copy(raw, sheet))
    return target


def _tell(plan: Plan, *, written: bool, wrong: int) -> None:
    for line in plan.lines:
        click.echo(line)
    verb = "written" if written else "would be written"
    more = f", {counted(wrong, 'row')} with something to fix" if wrong else ""
    click.echo(f"{counted(len(plan.changes), 'entry', 'entries')} {verb}, {plan.same} as they were{more}.")
    for what, names in (("Not in the table", plan.left_out), ("No column for", plan.without)):
        if names:
            click.echo(f"{what}, left as it is: {', '.join(names[:8])}{' …' if len(names) > 8 else ''}")
    if written and any(change.before is not None for change in plan.changes):
        click.echo(
            "Words that changed need a new approval before the site is built again: limberleaf check, then "
            "limberleaf review --record."
        )
