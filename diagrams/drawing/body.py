"""A body as painted shapes: fills by colour, then lines by weight, then the marks that lie on the surface."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from limberleaf.diagrams.body.skeleton import Posed
from limberleaf.diagrams.drawing.chains import Chain, body_chains
from limberleaf.diagrams.drawing.cracks import Kind, Labels, find_cracks
from limberleaf.diagrams.drawing.curves import BODY, FILL, LINE, Cubics, add_cubics, curves
from limberleaf.diagrams.drawing.features import face_shapes, toe_shapes
from limberleaf.diagrams.picture.displaylist import Command, Paint, PathBuilder, Shape
from limberleaf.diagrams.picture.style import Style, Weights
from limberleaf.diagrams.scene.camera import Camera
from limberleaf.diagrams.surface.buffers import Buffers
from limberleaf.diagrams.surface.materials import (
    FURNITURE,
    FURNITURE_LIMB,
    HAIR,
    HELD,
    LIMBS,
    SHIRT,
    SHOE,
    SHORTS,
    SKIN,
)

AREAS = ("", "skin", "shorts", "shirt", "hair", "held", "affected", "shoe")
"""What fills a pixel, by the number in `Labels.paint`; the first fills none."""
_OF_MATERIAL = {SKIN: "skin", SHIRT: "shirt", SHORTS: "shorts", HAIR: "hair", HELD: "held", SHOE: "shoe"}
FURNITURE_LINE = 1.4


@dataclass(frozen=True)
class Look:
    """Which limbs are tinted ("leg_right" ...), and which side counts as far ("" when neither does)."""

    tinted: Collection[str] = frozenset()
    far: str = ""
    coarse: float = 1.0
    """How much further apart the knots of lines stand than usual: a part that is drawn larger needs no more of them."""


def paint_numbers(seen: Labels, tinted: Collection[str]) -> NDArray[np.int8]:
    """Return the number of the colour of each pixel: that of its material; bare skin of a tinted limb is tinted."""
    table = np.zeros((len(LIMBS) + 1, FURNITURE + 3), dtype=np.int8)
    for material, name in _OF_MATERIAL.items():
        table[:-1, material] = AREAS.index(name)
    for name in tinted:
        table[LIMBS.index(name), SKIN] = AREAS.index("affected")
    return table[seen.limb, seen.material]


def body_shapes(
    b: Buffers, seen: Labels, posed: Posed, camera: Camera, look: Look, style: Style
) -> list[Shape]:
    """Return the shapes of a body with what it holds, far to near. `seen.paint` is filled in."""
    seen.paint = paint_numbers(seen, look.tinted)
    lines, areas = body_chains(b, find_cracks(b, seen))
    shapes = _painted(areas, lines, b, look, style)
    fine = style.weights.fine
    return [
        *shapes,
        *face_shapes(posed, camera, b, style, fine),
        *toe_shapes(posed, camera, b, style, fine),
    ]


def _painted(
    areas: Mapping[int, list[Chain]], lines: list[Chain], b: Buffers, look: Look, style: Style
) -> list[Shape]:
    """Paint all of the body in the colour of skin first, so that no gap can open; last come the lines by weight."""
    wanted = [0, *(n for n in range(2, len(AREAS)) if areas.get(n))]
    inked = _by_weight(lines, look, style)
    groups = [(areas.get(n, []), FILL if n else BODY) for n in wanted]
    groups += [(chains, LINE) for chains in inked.values()]
    coarse = look.coarse
    found = iter(
        curves(
            [chain for chains, _ in groups for chain in chains],
            b,
            [(way * coarse, turn * coarse) for chains, (way, turn) in groups for _ in chains],
        )
    )
    shapes = []
    for n in wanted:
        chains = areas.get(n, [])
        name = AREAS[n] or "body"
        colour = style.skin if not n else getattr(style, name)
        role = "affected" if name == "affected" else "body" if not n else "detail"
        shapes.append(Shape(_path(chains, found), Paint(colour, even_odd=len(chains) > 1), name, role))
    for (colour, width), chains in inked.items():
        shapes.append(Shape(_path(chains, found), Paint(None, colour, width), "lines", "line"))
    return [shape for shape in shapes if shape.path]


def _path(chains: Sequence[Chain], found: Iterator[Cubics]) -> tuple[Command, ...]:
    path = PathBuilder()
    for chain in chains:
        add_cubics(path, next(found), closed=chain.closed)
    return path.done()


def _by_weight(lines: list[Chain], look: Look, style: Style) -> dict[tuple[str, float], list[Chain]]:
    """Return lines by colour and width, in the order they are painted."""
    by_weight: dict[tuple[str, float], list[Chain]] = {}
    for chain in lines:
        colour = style.prop_ink if chain.owner == FURNITURE_LIMB else style.ink
        width = round(_width(chain, look, style.weights), 2)
        by_weight.setdefault((colour, width), []).append(chain)
    return {key: by_weight[key] for key in sorted(by_weight, key=lambda key: (key[0] == style.ink, key[1]))}


def _width(chain: Chain, look: Look, weights: Weights) -> float:
    owner = LIMBS[chain.owner]
    width = {
        Kind.OUTER: weights.outer,
        Kind.INNER: weights.inner,
        Kind.FOLD: weights.fold,
        Kind.HEM: weights.hem,
    }[Kind(chain.kind)]
    if owner == "furniture":
        return FURNITURE_LINE
    if owner.startswith("held"):
        return weights.fold
    if chain.fine:
        return weights.fine
    if chain.kind >= Kind.INNER and look.far and owner.endswith(look.far):
        return width * weights.far
    return width
