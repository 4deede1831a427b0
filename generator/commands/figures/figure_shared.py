"""What the commands about figures share: solving and drawing the figure of one exercise."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Literal

import click
from pydantic import BaseModel

from limberleaf.commands.shared import stop_on_errors
from limberleaf.diagrams.adults import NEUTRAL, Adult
from limberleaf.diagrams.language.spec import FigureSpec

if TYPE_CHECKING:
    from limberleaf.diagrams import Drawing
    from limberleaf.library import Exercise, Library, Loaded
    from limberleaf.library.yaml.source import Source

Side = Literal["left", "right"]


def find_exercise(content: Path, code: str) -> Loaded[Exercise]:
    """Give one exercise, or leave with what is wrong with its file or with the nearest code there is."""
    from limberleaf.findings import did_you_mean
    from limberleaf.library import load_library

    library = load_library(content)
    loaded = library.exercises.get(code)
    if loaded is None:
        own = [found for found in library.findings if Path(found.place.path).stem in (code, content.name)]
        stop_on_errors(own, folder=content)
        raise click.ClickException(f"There is no exercise {code}. {did_you_mean(code, library.exercises)}")
    return loaded


class _Figure(BaseModel):
    """An entry of which only the figure counts: pictures are tried first, words come later."""

    figure: FigureSpec


def find_figure(content: Path, code: str) -> tuple[FigureSpec, Source]:
    """Give the figure of an exercise though its words are unfinished, or leave with what is wrong with the figure."""
    from limberleaf.library import load_library
    from limberleaf.library.shape import shape
    from limberleaf.library.yaml.source import read_source

    file = next(iter(sorted(content.glob(f"exercises/**/{code}.yml"))), None)
    loaded = load_library(content).exercises.get(code)
    if loaded is not None:
        return loaded.entry.drawn, loaded.source
    if file is None:
        loaded = find_exercise(content, code)
        return loaded.entry.drawn, loaded.source
    source, value, findings = read_source(file, content)
    entry, more = shape(_Figure, value, source)
    if entry is None:
        stop_on_errors([*findings, *more], folder=content)
        raise click.ClickException(f"{file} holds no figure.")
    click.echo(f"The words of {code} are unfinished: `limberleaf check` says what they lack.")
    return entry.figure, source


def adult_of(content: Path, code: str) -> Adult:
    """Give the adult whom the clinic has drawn for an exercise."""
    from limberleaf.library import load_library

    clinic = load_library(content).clinic
    return clinic.entry.adult_for(code) if clinic else NEUTRAL


def drawn(spec: FigureSpec, side: Side | None, adult: Adult, style: str = "screen") -> Drawing:
    """Solve and draw a figure; without a side the right one is the affected one."""
    from limberleaf import diagrams

    return diagrams.figure(spec, affected=side or "right", style=style, adult=adult)


def drawn_library(library: Library, side: Side | None, style: str) -> list[tuple[str, Drawing]]:
    """Draw every figure of a library that is not retired, each with its code and title."""
    shown = [loaded for loaded in library.exercises.values() if loaded.entry.status != "retired"]
    adult_for = library.settings.adult_for
    return [
        (
            f"{one.entry.code}  {one.entry.title}",
            drawn(one.entry.drawn, side, adult_for(one.entry.code), style),
        )
        for one in shown
    ]
