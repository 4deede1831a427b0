"""Bodies, poses, props, views and pictures: a pose in clinical words becomes a drawing.

The way through: `spec.FigureSpec` reads what an author wrote, `posing.solve_figure` finds a body that does it,
`draw.draw_figure` chooses a view and makes display lists, and a `Drawing` writes them as SVG, PNG or a moving
picture; `describe` says the same in words. `figure` does all of it in one call.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from limberleaf.diagrams.body.skeleton import Side
from limberleaf.diagrams.describing.describe import describe
from limberleaf.diagrams.draw import Drawing, draw_figure
from limberleaf.diagrams.language.spec import FigureSpec
from limberleaf.diagrams.posing import solve_figure
from limberleaf.diagrams.solving.solved import Problem, SolvedFigure


def figure(
    spec: FigureSpec | Mapping[str, Any], *, affected: Side = "right", style: str = "screen"
) -> Drawing:
    """Draw a figure from an author's mapping for one affected side.

    `drawing.problems` holds what is wrong with pose and view. Raises pydantic.ValidationError when the mapping is not
    in the figure language, KeyError for an unknown style.
    """
    read = spec if isinstance(spec, FigureSpec) else FigureSpec.model_validate(spec)
    return draw_figure(solve_figure(read, affected), style=style)


__all__ = [
    "Drawing",
    "FigureSpec",
    "Problem",
    "SolvedFigure",
    "describe",
    "draw_figure",
    "figure",
    "solve_figure",
]
