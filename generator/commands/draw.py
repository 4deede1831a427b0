"""`limberleaf draw`: the figure of an exercise, as SVG and PNG."""

from __future__ import annotations

from pathlib import Path

import click

from generator.commands.shared import content_option, print_findings, stop_on_errors


@click.command(name="draw")
@click.argument("code")
@click.option("--side", type=click.Choice(["left", "right"]), help="The affected side (default: right).")
@click.option(
    "--style",
    type=click.Choice(["screen", "print"]),
    default="screen",
    show_default=True,
    help="Print is grey-safe.",
)
@click.option(
    "--width", type=click.IntRange(100, 4000), default=1200, show_default=True, help="Pixels of the PNG."
)
@click.option(
    "--output",
    "-o",
    type=click.Path(path_type=Path, file_okay=False),
    default=Path(),
    help="The folder to write to.",
)
@content_option
def command(code: str, side: str | None, style: str, width: int, output: Path, content: Path) -> None:
    """Write the figure of exercise CODE as SVG and PNG, and say what is wrong with its pose."""
    import diagrams
    from generator.checks.figures import problem_findings
    from generator.findings import did_you_mean
    from generator.library import load_library

    library = load_library(content)
    loaded = library.exercises.get(code)
    if loaded is None:
        stop_on_errors(
            [f for f in library.findings if Path(f.place.path).stem in (code, content.name)], folder=content
        )
        raise click.ClickException(f"There is no exercise {code}. {did_you_mean(code, library.exercises)}")
    solved = diagrams.solve_figure(loaded.entry.figure, side or "right")
    drawing = diagrams.draw_figure(solved, style=style)
    output.mkdir(parents=True, exist_ok=True)
    name = f"{code}-{side}" if side else code
    (output / f"{name}.svg").write_text(drawing.svg(), "utf-8")
    (output / f"{name}.png").write_bytes(drawing.png(width))
    problems = [*solved.problems, *drawing.problems]
    print_findings(problem_findings(problems, loaded.source), folder=content)
    click.echo(f"{output / name}.svg and .png")
