"""Bodies, poses, props, views and pictures: a pose in clinical words becomes a drawing.

The way through: `spec.FigureSpec` reads what an author wrote, `posing.solve_figure` finds a body that does it,
`draw.draw_figure` chooses a view and makes display lists, and a `Drawing` writes them as SVG, PNG or a moving
picture; `describe` says the same in words. `figure` does all of it in one call.

language/ (an author's words), body/, solving/, posing.py (solved and checked), checking/, remedies.py (what would make
a pose possible), surface/, scene/ (what is shown, and from where), drawing/, signs/, picture/ (the display list),
draw.py (all of a picture), frames.py (between two poses), writing/ (SVG and pixels), describing/ (in words); sides.py,
adults.py (who is drawn), problem.py (a finding), make_guide.py (pictures of the authors' guide).
"""

from __future__ import annotations

from collections.abc import Mapping
from importlib import import_module
from typing import TYPE_CHECKING, Any

from limberleaf.diagrams.adults import NEUTRAL, Adult

if TYPE_CHECKING:
    from limberleaf.diagrams.describing.describe import describe
    from limberleaf.diagrams.draw import Drawing, draw_figure
    from limberleaf.diagrams.language.spec import FigureSpec
    from limberleaf.diagrams.posing import solve_figure
    from limberleaf.diagrams.problem import Problem
    from limberleaf.diagrams.sides import Side
    from limberleaf.diagrams.signs.legend import sign_names, sign_svg
    from limberleaf.diagrams.solving.solved import SolvedFigure

_PARTS = {
    "Drawing": "draw",
    "FigureSpec": "language.spec",
    "Problem": "problem",
    "SolvedFigure": "solving.solved",
    "describe": "describing.describe",
    "draw_figure": "draw",
    "sign_names": "signs.legend",
    "sign_svg": "signs.legend",
    "solve_figure": "posing",
}
"""Where each name comes from. It is imported when it is asked for: an entry is read without a body to draw."""


def __getattr__(name: str) -> Any:
    """Give one of the names below."""
    if name not in _PARTS:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_PARTS[name]}"), name)


def figure(
    spec: FigureSpec | Mapping[str, Any],
    *,
    affected: Side = "right",
    style: str = "screen",
    adult: Adult = NEUTRAL,
) -> Drawing:
    """Draw a figure from an author's mapping for one affected side.

    `adult`: whose body is drawn. `drawing.problems` holds what is wrong with pose and view. Raises
    pydantic.ValidationError when the mapping is not in the figure language, KeyError for an unknown style.
    """
    from limberleaf.diagrams.draw import draw_figure
    from limberleaf.diagrams.language.spec import FigureSpec
    from limberleaf.diagrams.posing import solve_figure

    read = spec if isinstance(spec, FigureSpec) else FigureSpec.model_validate(spec)
    solved = solve_figure(read, affected, build=adult.build)
    return draw_figure(solved, style=style, skin=adult.skin)


__all__ = [
    "Adult",
    "Drawing",
    "FigureSpec",
    "Problem",
    "SolvedFigure",
    "describe",
    "draw_figure",
    "figure",
    "sign_names",
    "sign_svg",
    "solve_figure",
]
