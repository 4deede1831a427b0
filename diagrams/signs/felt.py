"""Where a stretch or a muscle is felt: dots on the surface itself, largest in the middle and none at the rim.

The areas are in `data/felt.yml`; a new one is a row there.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np

from limberleaf.diagrams.body.skeleton import Array, Side, load_data
from limberleaf.diagrams.drawing.panel import Panel
from limberleaf.diagrams.language.words import read_part, sides_of
from limberleaf.diagrams.picture.displaylist import Paint, PathBuilder, Shape
from limberleaf.diagrams.picture.style import Style
from limberleaf.diagrams.solving.solved import Problem, SolvedFigure
from limberleaf.diagrams.surface.mesh import mesh, piece_number, pieces
from limberleaf.diagrams.surface.things import seen

FACING = 0.10
SMALL, LARGE = 0.6, 2.0
"""Radii (units) of the dots at the rim and in the middle."""


@dataclass(frozen=True)
class _Spots:
    """Middles of quads in the world (n, 3), the way out of the body (n, 3) and how strongly it is felt there (n,)."""

    centre: Array
    outward: Array
    strength: Array


@cache
def _areas() -> dict[str, dict[str, Any]]:
    rows: dict[str, dict[str, Any]] = load_data("felt")["areas"]
    return rows


@cache
def _covered() -> dict[str, tuple[float, float]]:
    """The share of a limb that a piece covers, where that is not all of it."""
    clothes = load_data("surface")["clothes"]
    return {
        "thigh": (float(clothes["bare_thigh"]), 1.0),
        "shorts": (0.0, float(clothes["shorts"])),
        "upper_arm": (float(clothes["bare_arm"]), 1.0),
        "sleeve": (0.0, float(clothes["sleeve"])),
    }


def felt_problems(solved: SolvedFigure, panels: Sequence[Panel]) -> list[Problem]:
    """Report each part of which no panel shows a dot: it has no area, or the area is on the far side of the body.

    A figure with an enlarged part is not judged: the dots may be seen there.
    """
    if solved.spec.inset:
        return []
    return [
        Problem(
            "figure-felt-unseen",
            "warning",
            f"No panel shows the dots where it is felt: the {name}.",
            "Choose another `view` that sees this part from outside, or draw another panel that shows it.",
            ("highlight", number),
        )
        for number, name in enumerate(solved.spec.highlight)
        if not any(_dots([name], solved.affected, solved.lead, one)[1] for one in panels)
    ]


def felt_shapes(names: list[str], affected: Side, lead: Side, panel: Panel, style: Style) -> list[Shape]:
    """Return the dots for the parts an author names."""
    path, shown = _dots(names, affected, lead, panel)
    return [Shape(path.done(), Paint(style.felt), "felt", "mark")] if shown else []


def _dots(names: list[str], affected: Side, lead: Side, panel: Panel) -> tuple[PathBuilder, int]:
    """Return the outline of the dots that a panel shows of some parts, and how many they are."""
    path = PathBuilder()
    shown = 0
    for name in names:
        word = read_part(name)
        row = _areas().get(word.part)
        for side in sides_of(word.side, affected, lead) or (affected,) if row else ():
            for kind in row["pieces"] if row else ():
                spots = _spots(row or {}, str(kind), side, panel)
                keep = (spots.strength > 0.05) & (spots.outward @ panel.camera.toward > FACING)
                keep &= seen(spots.centre + spots.outward * 0.002, panel.camera, panel.b, 4)
                middles = panel.camera.project(spots.centre[keep])
                for spot, strength in zip(middles, spots.strength[keep], strict=True):
                    path.circle(spot, SMALL + (LARGE - SMALL) * float(np.sqrt(strength)))
                    shown += 1
    return path, shown


def _spots(row: dict[str, Any], kind: str, side: Side, panel: Panel) -> _Spots:
    m = mesh()
    names = {piece.name for piece in pieces()}
    number = piece_number(f"{kind}_{side}" if f"{kind}_{side}" in names else kind)
    quads = np.flatnonzero(m.piece[: len(m.quads)] == number)
    quads = quads[(m.ring[quads] + m.place[quads]) % 2 == 0]
    low, high = _covered().get(kind, (0.0, 1.0))
    rings, around = pieces()[number].points.shape[:2]
    along = low + (high - low) * m.ring[quads] / max(rings - 2, 1)
    centre = panel.world[m.quads[quads]].mean(axis=1)
    first = int(m.first[number])
    axis = panel.world[first : first + rings * around].reshape(rings, around, 3).mean(axis=1)
    outward = centre - (axis[m.ring[quads]] + axis[m.ring[quads] + 1]) / 2
    outward = outward / np.maximum(np.linalg.norm(outward, axis=1), 1e-9)[:, None]
    frames = panel.pose.posed.frames
    carrier = str(row["frame"])
    frame = frames[f"{carrier}_{side}"] if f"{carrier}_{side}" in frames else frames[carrier]
    flip = np.array([1.0, 1.0, 1.0 if side == "right" else -1.0])
    facing = outward @ (frame @ (np.array(row["way"], dtype=float) * flip))
    start, end = row["along"]
    middle, half = (start + end) / 2, (end - start) / 2
    strength = 1 - ((along - middle) / half) ** 2 - np.maximum((0.95 - facing) / 1.15, 0) ** 2
    return _Spots(centre, outward, strength)
