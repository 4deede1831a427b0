"""`limberleaf draw`: figures as SVG, PNG, moving pictures, or all of a library on one sheet."""

from __future__ import annotations

from pathlib import Path

import click

from limberleaf.commands.figures.figure_shared import Side, adult_of, drawn, drawn_library, find_figure
from limberleaf.commands.shared import content_option, print_findings, stop_on_errors
from limberleaf.output import Ledger


@click.command(name="draw")
@click.argument("code", required=False)
@click.option("--side", type=click.Choice(["left", "right"]), help="The affected side (default: right).")
@click.option(
    "--style",
    type=click.Choice(["screen", "print"]),
    default="screen",
    show_default=True,
    help="Print is grey-safe.",
)
@click.option(
    "--width", type=click.IntRange(100, 4000), default=1200, show_default=True, help="Pixels of the picture."
)
@click.option(
    "--motion",
    type=click.Choice(["webp", "gif", "svg"]),
    help="Write the moving picture in this form instead.",
)
@click.option("--sheet", is_flag=True, help="Write all figures of the library on one sheet (PNG) instead.")
@click.option(
    "--output",
    "-o",
    type=click.Path(path_type=Path, file_okay=False),
    default=Path(),
    help="The folder to write to.",
)
@content_option
def command(
    code: str | None,
    side: Side | None,
    style: str,
    width: int,
    motion: str | None,
    sheet: bool,
    output: Path,
    content: Path,
) -> None:
    """Write the figure of exercise CODE as SVG and PNG, and say what is wrong with its pose.

    The words of the entry may be unfinished. Leaves with 1 when the pose has an error.

    With --motion the figure moves between its poses; with --sheet every figure of the library is on one page.
    """
    if sheet == bool(code):
        raise click.UsageError("Give the code of one exercise, or --sheet for all of them.")
    ledger = Ledger(content)
    if code is None:
        _draw_sheet(content, side, style, width, output, ledger)
    else:
        _draw_one(code, side, style, width, motion, output, content, ledger)


def _draw_sheet(
    content: Path, side: Side | None, style: str, width: int, output: Path, ledger: Ledger
) -> None:
    from limberleaf.diagrams.writing.sheet import contact_sheet
    from limberleaf.library import load_library

    library = load_library(content)
    stop_on_errors(library.findings, folder=content)
    figures = drawn_library(library, side, style)
    if not figures:
        raise click.ClickException(
            "The library has no exercise to draw yet. `limberleaf new exercise` writes one."
        )
    columns = 4
    sheet = contact_sheet(figures, columns=columns, width=width // columns)
    ledger.write(output / "figures.png", sheet, make=True)
    click.echo(f"{len(figures)} figures in {output / 'figures.png'}")


def _draw_one(
    code: str,
    side: Side | None,
    style: str,
    width: int,
    motion: str | None,
    output: Path,
    content: Path,
    ledger: Ledger,
) -> None:
    from limberleaf.checks.figures import problem_findings
    from limberleaf.findings import has_errors

    spec, source = find_figure(content, code)
    drawing = drawn(spec, side, adult_of(content, code), style)
    name = f"{code}-{side}" if side else code
    if motion == "svg":
        ledger.write(output / f"{name}-motion.svg", drawing.motion_svg(), make=True)
        written = f"{name}-motion.svg"
    elif motion:
        ledger.write(output / f"{name}.{motion}", drawing.motion_image(width, kind=motion), make=True)
        written = f"{name}.{motion}"
    else:
        svg, png = drawing.svg().encode(), drawing.png(width)
        ledger.may_write(output / f"{name}.png", png)
        ledger.write(output / f"{name}.svg", svg, make=True)
        ledger.write(output / f"{name}.png", png, make=True)
        written = f"{name}.svg and {name}.png"
    findings = problem_findings(drawing.problems, source)
    print_findings(findings, folder=content)
    click.echo(f"Written to {output}: {written}")
    if has_errors(findings):
        raise click.exceptions.Exit(1)
