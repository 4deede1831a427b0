"""`limberleaf ask`: whether people see in the figures what is meant: pictures, tables to fill in, what came out."""

from __future__ import annotations

import json
from collections.abc import Sequence
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from limberleaf.commands.shared import content_option, counted, read_library

if TYPE_CHECKING:
    from limberleaf.comprehension.score import FigureScore, Score
    from limberleaf.exchange.sheet import Sheet
    from limberleaf.findings import Finding

FORMS = click.Choice(("text", "json"))
_FILE = click.Path(path_type=Path, dir_okay=False, exists=True)


@click.group(name="ask")
def command() -> None:
    """Ask people what they see in the figures, and count how many see what is meant.

    Write pictures and forms (`out`), write down what people say, let two raters sort the answers (`rate`), and count
    (`count`). `limberleaf guide ask` tells the whole way, its source and its limits.
    """


@command.command(name="out")
@click.argument("folder", type=click.Path(path_type=Path, file_okay=False))
@click.option("--seed", type=click.IntRange(0, 999_999), default=1, show_default=True,
              help="Decides order and sides; another number for another round.")  # fmt: skip
@click.option(
    "--people", type=click.IntRange(5, 30), default=12, show_default=True, help="How many are asked."
)
@click.option(
    "--only", multiple=True, metavar="CODE", help="Only these exercises; may be given more than once."
)
@click.option("--language", help="The language of the papers (default: the library's first).")
@content_option
def ask_out(
    folder: Path, seed: int, people: int, only: tuple[str, ...], language: str | None, content: Path
) -> None:
    """Write picture sheets, a form for each person, a table for the answers and, apart, the key into FOLDER.

    Pictures are figures alone: no title, no caption, left and right mixed, in an order that the seed decides. Every
    second person sees them at 150 pixels in grey. Show nobody the folder `key`.
    """
    from limberleaf.comprehension.answers import ANSWERS, KEY, empty_answers, key_rows, table_bytes
    from limberleaf.comprehension.papers import form_html, sheets_html
    from limberleaf.comprehension.shown import chosen, picture
    from limberleaf.findings import did_you_mean
    from limberleaf.progress import counted as progress
    from limberleaf.publish.swap import landing, write_files

    if folder.exists() and any(folder.iterdir()):
        raise click.ClickException(
            f"{folder} is not empty; answers in it must not be lost. Name another folder."
        )
    library = read_library(content)
    for code in only:
        if code not in library.exercises:
            near = did_you_mean(code, sorted(library.exercises))
            raise click.BadParameter(f"there is no exercise “{code}”. {near}", param_hint="--only")
    known = library.settings.languages
    if language is not None and language not in known:
        raise click.BadParameter(f"choose from {', '.join(known)}", param_hint="--language")
    shown = chosen(library, seed, only)
    if not shown:
        raise click.ClickException("There is no exercise to ask about.")
    spoken = language or library.settings.language
    files: dict[str, str | bytes] = {}
    for one in progress("Drawing pictures", shown):
        files[f"pictures/{one.number}.png"] = picture(one, "full")
        files[f"small/{one.number}.png"] = picture(one, "small")
    rows = empty_answers(shown, people, seed)
    files |= {
        "sheets.html": sheets_html(shown, spoken),
        "form.html": form_html(shown, spoken, people, seed),
        "answers.xlsx": table_bytes(ANSWERS, rows, ".xlsx"),
        "answers.csv": table_bytes(ANSWERS, rows, ".csv"),
        "key/key.csv": table_bytes(KEY, key_rows(shown, seed), ".csv"),
    }
    with landing(folder, content=content) as fresh:
        write_files(files, fresh)
    click.echo(
        f"{counted(len(shown), 'picture')} in {folder}. Print sheets.html and form.html, ask {people} people and write "
        f"what they say into answers.xlsx. Then: limberleaf ask rate {folder / 'answers.xlsx'}"
    )


@command.command(name="rate")
@click.argument("answers", type=_FILE)
@click.option("--key", "key_file", type=_FILE, help="The key (default: key/key.csv beside the answers).")
@click.option("--output", "-o", type=click.Path(path_type=Path, file_okay=False), default=Path(), show_default=True,
              help="The folder for the two tables.")  # fmt: skip
@content_option
def ask_rate(answers: Path, key_file: Path | None, output: Path, content: Path) -> None:
    """Write from ANSWERS one table for each of two raters, with what each figure means beside what was said."""
    from limberleaf.comprehension.answers import RATED, read_answers, read_key, table_bytes, to_rate
    from limberleaf.exchange.sheet import TableError
    from limberleaf.output import Ledger

    try:
        key = read_key(_key(answers, key_file))
        found, sheet = read_answers(answers, key, rated=False)
        _stop(sheet)
        data = table_bytes(RATED, list(to_rate(found, key)), ".xlsx")
    except TableError as error:
        raise click.ClickException(str(error)) from None
    ledger = Ledger(content)
    for rater in (1, 2):
        ledger.write(output / f"rater-{rater}.xlsx", data, make=True)
    click.echo(
        f"{counted(len(found), 'answer')} in {output / 'rater-1.xlsx'} and {output / 'rater-2.xlsx'}. Two people sort "
        "them, each alone. Then: limberleaf ask count"
    )


@command.command(name="count")
@click.argument("one", type=_FILE)
@click.argument("two", type=_FILE)
@click.option("--key", "key_file", type=_FILE, help="The key (default: key/key.csv beside the first table).")
@click.option(
    "--keep", is_flag=True, help="Keep the result in content/asked.csv, for the desk and the next round."
)
@click.option("--day", type=click.DateTime(["%Y-%m-%d"]), help="The day that is kept (default: today).")
@click.option("--format", "form", type=FORMS, default="text", show_default=True, help="json: for scripts.")
@content_option
def ask_count(
    one: Path, two: Path, key_file: Path | None, keep: bool, day: datetime | None, form: str, content: Path
) -> None:
    """Count what raters ONE and TWO sorted: their agreement, the share right of each figure, dangerous misreadings.

    Where they differ, the worse category counts until they settle it in both tables.
    """
    from limberleaf.comprehension.answers import read_answers, read_key
    from limberleaf.comprehension.kept import FILE, changes, kept_text, latest, read_kept
    from limberleaf.comprehension.score import ScoreError, score
    from limberleaf.exchange.sheet import TableError
    from limberleaf.output import write_atomically

    library = read_library(content)
    try:
        key = read_key(_key(one, key_file))
        first, sheet = read_answers(one, key, rated=True)
        second, other = read_answers(two, key, rated=True)
        _stop(sheet, other)
        result = score(first, second, key)
    except (TableError, ScoreError) as error:
        raise click.ClickException(str(error)) from None
    before, findings = read_kept(library.root)
    _say(findings)
    if keep and findings:
        raise click.ClickException(
            f"Nothing was kept: what cannot be read in {FILE} would be lost. Mend it first."
        )
    counted_on = day.date() if day else date.today()
    seed = next(iter(key.values()))["seed"]
    earlier = latest(one for one in before if (one.day, one.seed) != (counted_on, seed))
    moved = list(changes(result.figures, earlier))
    if keep:
        text = kept_text(before, counted_on, seed, result.figures)
        write_atomically(library.root / FILE, text.encode())
    if form == "json":
        click.echo(json.dumps(_facts(result, moved), indent=2, ensure_ascii=False))
    else:
        _tell(result, moved)
    if keep:
        click.echo(f"Kept in {library.root / FILE}: commit it.", err=form == "json")


@command.command(name="show")
@click.option("--format", "form", type=FORMS, default="text", show_default=True, help="json: for scripts.")
@content_option
def ask_show(form: str, content: Path) -> None:
    """Show what was kept of the last round in which each figure was asked about."""
    from limberleaf.comprehension.kept import latest, read_kept

    kept, findings = read_kept(read_library(content).root)
    _say(findings)
    newest = [one for _, one in sorted(latest(kept).items())]
    if form == "json":
        rows = [{"day": one.day.isoformat(), "seed": one.seed, **_figure(one.score)} for one in newest]
        click.echo(json.dumps(rows, indent=2, ensure_ascii=False))
        return
    for one in newest:
        click.echo(f"{one.day}  {_line(one.score)}")
    if not newest and not findings:
        click.echo("Nobody was asked yet: limberleaf ask out asked-1")


def _key(beside: Path, stated: Path | None) -> Path:
    file = stated or beside.parent / "key" / "key.csv"
    if not file.is_file():
        raise click.UsageError(f"There is no key at {file}. Name it: --key asked-1/key/key.csv")
    return file


def _say(findings: Sequence[Finding]) -> None:
    """Print what could not be read where it is in nobody's way: a script reads the other stream."""
    for finding in findings:
        click.echo(f"{finding.line()}\n    {finding.hint}", err=True)


def _stop(*sheets: Sheet) -> None:
    """Say what is wrong with single cells and leave: nothing is counted that was not read whole."""
    findings = [finding for sheet in sheets for finding in sheet.findings]
    for finding in findings:
        click.echo(f"{finding.line()}\n    {finding.hint}")
    if findings:
        click.echo(f"Nothing was written: {counted(len(findings), 'thing')} to fix.")
        raise click.exceptions.Exit(1)


def _line(one: FigureScore) -> str:
    right = one.right
    worse = ", ".join(f"{number} {name}" for name, number in one.counts.items() if number and name != "right")
    return (
        f"{one.code} {one.size:5} {one.counts['right']:2} of {one.asked:2} right  {right.value:4.0%}  "
        f"{right.low:.0%} to {right.high:.0%}  {one.verdict}{f'  ({worse})' if worse else ''}"
    )


def _tell(result: Score, moved: list[str]) -> None:
    from limberleaf.comprehension.papers import ask_data

    both = result.agreement
    kappa = (
        "cannot be worked out: chance alone makes them agree"
        if both.kappa is None
        else f"{both.kappa:.2f} ({both.low:.2f} to {both.high:.2f})"
    )
    click.echo(
        f"{result.people} people, {both.cases} answers. Raters agree on {both.observed:.0%}; Cohen's kappa {kappa}."
    )
    if result.people < ask_data()["people"]["fewest"]:
        click.echo(
            f"Fewer than {ask_data()['people']['fewest']} people: too few to say anything of a figure."
        )
    for one in result.figures:
        click.echo(_line(one))
    for code, said in result.dangerous:
        click.echo(f"dangerous: {code}, person {said.person}: “{said.said}”")
    for code, said, other in result.differing:
        click.echo(
            f"to settle: {code}, person {said.person}: {said.category} or {other.category}? “{said.said}”"
        )
    for line in moved:
        click.echo(f"since last time: {line}")


def _figure(one: FigureScore) -> dict[str, Any]:
    right = one.right
    return {
        "code": one.code, "side": one.side, "size": one.size, "figure": one.figure, "asked": one.asked, **one.counts,
        "share_right": round(right.value, 4), "low": round(right.low, 4), "high": round(right.high, 4),
        "verdict": one.verdict,
    }  # fmt: skip


def _facts(result: Score, moved: list[str]) -> dict[str, Any]:
    both = result.agreement
    return {
        "people": result.people,
        "answers": both.cases,
        "agreement": {"observed": both.observed, "kappa": both.kappa, "low": both.low, "high": both.high},
        "figures": [_figure(one) for one in result.figures],
        "dangerous": [
            {"code": code, "person": one.person, "answer": one.said} for code, one in result.dangerous
        ],
        "to_settle": [
            {"code": code, "person": one.person, "answer": one.said, "one": one.category, "two": two.category}
            for code, one, two in result.differing
        ],
        "since_last_time": moved,
    }
