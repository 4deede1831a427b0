"""The pieces of the body's surface in the neutral pose.

A piece is a closed grid that follows one carrier or is blended between two: solver segments, or helper frames of
`carriers.py`. Pieces overlap; the depth buffer makes their union, so that no piece ever shows an end cap and a line
appears only where the depth jumps, where two pieces meet in a sharp fold or where the material changes.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from limberleaf.diagrams.adults import limb_girths
from limberleaf.diagrams.body.kinematics import forward, posed_at
from limberleaf.diagrams.body.skeleton import Array, Posed, load_data, neutral
from limberleaf.diagrams.surface.grids import capped, resampled, rings
from limberleaf.diagrams.surface.materials import SKIN

# Pieces of one zone run into each other without a fold line; a fold shows where two zones meet.
TRUNK_ZONE, HEAD_ZONE, HAIR_ZONE, EAR_ZONE, SLEEVE_ZONE, ARM_ZONE, THUMB_ZONE, LEG_ZONE = (
    1,
    2,
    3,
    4,
    7,
    10,
    25,
    30,
)
FINGER_ZONE = 20
SHORTS_ZONE = 8


@dataclass(frozen=True)
class Piece:
    """A closed grid: `points` (r, a, 3) in the neutral body, its carriers and the weight of the second one (r, a).

    `cloth` (r, a): above 0 the first material, else the second, so that a hem runs freely across the grid.
    `fine`: finger or face, drawn with thin lines.
    """

    name: str
    limb: str
    points: Array
    one: str
    two: str
    weight: Array
    cloth: Array
    materials: tuple[int, int]
    fine: bool
    zone: int


Add = Callable[..., None]


def collector(body: list[Piece]) -> Add:
    """Return the function with which pieces are added to a list."""

    def add(  # noqa: PLR0913 - each field of a piece but for its defaults
        name: str,
        limb: str,
        points: Array,
        one: str,
        two: str | None = None,
        *,
        weight: Array | float = 0.0,
        materials: tuple[int, int] = (SKIN, SKIN),
        cloth: Array | float = 1.0,
        fine: bool = False,
        zone: int = 0,
    ) -> None:
        shape = points.shape[:2]
        body.append(
            Piece(
                name,
                limb,
                points,
                one,
                two or one,
                np.broadcast_to(weight, shape).copy(),
                np.broadcast_to(cloth, shape).copy(),
                materials,
                fine,
                zone,
            )
        )

    return add


def upright_body() -> Posed:
    """Return the neutral body with its palms turned forward: there every frame is the world's."""
    body = posed_at(forward(neutral(), np.eye(3)), neutral(), np.eye(3))
    return replace(body, frames={name: np.eye(3) for name in body.frames})


def limb_tube(  # noqa: PLR0913 - a stretch of a limb, what is added to it, and its ends
    name: str,
    start: Array,
    end: Array,
    out: float,
    count: int,
    *,
    low: float = 0.0,
    high: float = 1.0,
    grow: float = 0.0,
    flare: float = 0.0,
    caps: tuple[float, float] = (1.0, 1.0),
) -> Array:
    """Return a stretch of a limb from its table of rings; `grow` and `flare` make the garment round it."""
    rows = resampled([row[:1] + row[1:3] + row[4:] for row in load_data("surface")[name]], 60)
    at = np.linspace(low, high, count)
    fore, across, forwards, outward = (np.interp(at, rows[:, 0], rows[:, k]) for k in range(1, 5))
    centre = start + (end - start) * at[:, None] + np.column_stack([forwards, np.zeros(count), outward * out])
    girths = np.interp(at, *limb_girths(name))
    fore, across = fore * girths, across * girths
    extra = grow + flare * ((at - low) / (high - low)) ** 2
    return capped(rings(centre, fore + extra, across + extra), *caps)
