"""What the commands about figures share: solving and drawing the figure of one exercise."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Literal

import click

from limberleaf.commands.shared import stop_on_errors

if TYPE_CHECKING:
    from limberleaf.diagrams import Drawing
    from limberleaf.library import Exercise, Library, Loaded

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


def drawn(loaded: Loaded[Exercise], side: Side | None, style: str = "screen") -> Drawing:
    """Solve and draw the figure of an exercise; without a side the right one stands for the affected one."""
    from limberleaf import diagrams

    return diagrams.figure(loaded.entry.figure, affected=side or "right", style=style)


def drawn_library(library: Library, side: Side | None, style: str) -> list[tuple[str, Drawing]]:
    """Draw every figure of a library that is not retired, each with its code and title."""
    shown = [loaded for loaded in library.exercises.values() if loaded.entry.status != "retired"]
    return [(f"{one.entry.code}  {one.entry.title}", drawn(one, side, style)) for one in shown]
