"""Furniture as pale, flat shapes: the solids the solver placed, with legs and folds added for the eye.

Furniture is painted before the body; where it stands in front, the depth buffer leaves the body out
(`surface/things.py`). What is held or worn is drawn there too. A new piece of furniture needs blocks from the solver
and, when a plain block does not show what it is, one function here in `_BLOCK_SHAPES`.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from limberleaf.diagrams.picture.displaylist import Command, Paint, PathBuilder, Shape
from limberleaf.diagrams.picture.style import Style
from limberleaf.diagrams.scene.camera import Camera, Vec
from limberleaf.diagrams.scene.hull import Blob, add_hull, blob_hulls
from limberleaf.diagrams.scene.prop_kinds import SOFT, is_held
from limberleaf.diagrams.solving.solved import Block, PlacedProp, Rod

LINE, SOFT_LINE = 1.4, 1.7
"""Width of the edge of furniture, and of a soft thing, whose edge is in ink: on a pale mat it is not seen in grey."""
MATTRESS = 0.38
"""Share of a bed's height that is its mattress; the rest is frame and legs."""
CORNERS = np.array([[x, y, z] for x in (-1, 1) for y in (-1, 1) for z in (-1, 1)], dtype=float)
FACES = (
    # axis, sign, corner numbers in order
    (0, 1, (4, 5, 7, 6)),
    (0, -1, (0, 1, 3, 2)),
    (1, 1, (2, 3, 7, 6)),
    (1, -1, (0, 1, 5, 4)),
    (2, 1, (1, 3, 7, 5)),
    (2, -1, (0, 2, 6, 4)),
)


@dataclass(frozen=True)
class _Piece:
    """One painted piece of furniture and how near the eye it is (H)."""

    shapes: list[Shape]
    near: float
    lies_on_top: bool = False


def furniture_shapes(props: Sequence[PlacedProp], camera: Camera, style: Style) -> list[Shape]:
    """Return all furniture, far to near."""
    pieces = [
        piece
        for number, prop in enumerate(props, start=1)
        if not is_held(prop)
        for piece in _pieces(prop, f"{prop.kind.replace('_', '-')}-{number}", camera, style)
    ]
    pieces.sort(key=lambda piece: round(piece.near, 6))
    pieces.sort(key=lambda piece: piece.lies_on_top)  # whatever its place, a cloth is over what it lies on
    return [shape for piece in pieces for shape in piece.shapes]


def _pieces(prop: PlacedProp, name: str, camera: Camera, style: Style) -> list[_Piece]:
    draw = _BLOCK_SHAPES.get(prop.kind, _block_shapes)
    found = [
        _Piece(
            draw(prop, block, camera, style, name),
            float(block.centre @ camera.toward),
            prop.kind == "towel" and not prop.carries,
        )
        for block in prop.blocks
    ]
    if legs := _legs(prop, camera, style, name):
        middle = np.mean([block.centre for block in prop.blocks], axis=0) * (1, 0.5, 1)
        found.append(_Piece(legs, float(middle @ camera.toward) - 0.05))
    for rod in prop.rods:
        shapes = _cylinder(prop, rod, camera, style, name)
        found.append(_Piece(shapes, float((rod.start + rod.end) @ camera.toward / 2)))
    return found


def _block_shapes(prop: PlacedProp, block: Block, camera: Camera, style: Style, name: str) -> list[Shape]:
    soft = SOFT.get(prop.kind, 0.0)
    if prop.form == "rolled" or prop.kind == "foam_roller":
        return _roll_shapes(prop, block, camera, style, name)
    edge = _edge(prop, style)
    if prop.kind == "wedge":
        slope = CORNERS[(CORNERS[:, 0] < 0) | (CORNERS[:, 1] < 0)] * (block.half - soft)
        balls = np.repeat(np.eye(3)[None] * soft, len(slope), axis=0)
        return [Shape(hull_path(block.centre + slope @ block.axes.T, balls, camera), edge, name, "prop")]
    if soft and prop.form == "flat":
        top = block.centre + (CORNERS[list(FACES[2][2])] * block.half) @ block.axes.T
        cloth = Shape(PathBuilder().polygon(camera.project(top)).done(), edge, name, "prop")
        return [cloth, *_folds(prop, block, camera, style, name)]
    if soft:
        shapes = [Shape(_rounded(block, min(soft, float(block.half.min())), camera), edge, name, "prop")]
        return shapes + _folds(prop, block, camera, style, name)
    corners = camera.project(block.centre + (CORNERS * block.half) @ block.axes.T)
    shapes = []
    for axis, sign, order in FACES:
        normal = block.axes[:, axis] * sign
        if normal @ camera.toward <= 0.02:
            continue
        fill = style.prop if normal[1] > 0.7 or abs(normal @ camera.toward) > 0.98 else style.prop_dark
        if prop.kind == "wall" and axis == int(np.argmin(block.half)):
            fill = style.mat  # a whole wall behind the body is paler than furniture
        path = PathBuilder().polygon(corners[list(order)]).done()
        shapes.append(Shape(path, Paint(fill, style.prop_ink, LINE), name, "prop"))
    return shapes


def _edge(prop: PlacedProp, style: Style) -> Paint:
    """Return the paint of a whole thing with its edge."""
    fill = style.held if prop.kind == "towel" else style.prop
    return Paint(fill, style.ink, SOFT_LINE) if prop.kind in SOFT else Paint(fill, style.prop_ink, LINE)


def _bed_shapes(prop: PlacedProp, block: Block, camera: Camera, style: Style, name: str) -> list[Shape]:
    """A bed: legs, frame and a thick mattress, so that it is not taken for a box."""
    long, high, wide = block.half
    top, floor = block.centre[1] + high, block.centre[1] - high
    mattress = high * MATTRESS
    middle = block.centre + np.array([0.0, high - mattress, 0.0])
    rail = 0.45 * (2 * high - 2 * mattress)
    frame = Block(
        "frame",
        np.array([middle[0], top - 2 * mattress - rail / 2, middle[2]]),
        block.axes,
        np.array([long - 0.008, rail / 2, wide - 0.008]),
    )
    leg = (top - 2 * mattress - rail - floor) / 2
    legs = [
        Block(
            "leg",
            frame.centre * (1, 0, 1)
            + np.array([0.0, floor + leg, 0.0])
            + block.axes @ np.array([x * (long - 0.05), 0.0, z * (wide - 0.05)]),
            block.axes,
            np.array([0.018, leg, 0.018]),
        )
        for x in (-1, 1)
        for z in (-1, 1)
    ]
    legs.sort(key=lambda one: round(float(one.centre @ camera.toward), 6))
    shapes = [shape for one in (*legs, frame) for shape in _block_shapes(prop, one, camera, style, name)]
    soft = Block("mattress", middle, block.axes, np.array([long, mattress, wide]))
    edge = Paint(style.prop, style.prop_ink, LINE)
    return [*shapes, Shape(_rounded(soft, mattress * 0.6, camera), edge, name, "prop")]


def hull_path(centres: Vec, axes: Vec, camera: Camera) -> tuple[Command, ...]:
    """Return the outline of ellipsoids, centres (n, 3) and half-axes (n, 3, 3), as a closed path."""
    path = PathBuilder()
    add_hull(path, blob_hulls([Blob(centres, axes)], camera)[0])
    return path.done()


def _rounded(block: Block, radius: float, camera: Camera) -> tuple[Command, ...]:
    inner = np.maximum(block.half - radius, 0.0005)
    centres = block.centre + (CORNERS * inner) @ block.axes.T
    axes = np.repeat(np.eye(3)[None] * radius, 8, axis=0)
    return hull_path(centres, axes, camera)


def _folds(prop: PlacedProp, block: Block, camera: Camera, style: Style, name: str) -> list[Shape]:
    """Lines that set a folded towel apart from a cushion, and the borders of one that lies flat."""
    if prop.kind != "towel" or prop.form == "between":
        return []
    if prop.form == "folded":
        lines = [((-0.9, level, 0.0), (0.8, level, 0.0)) for level in (-0.3, 0.3)]
    else:
        lines = [((-0.94, 1.0, across), (0.94, 1.0, across)) for across in (-0.86, -0.78, 0.78, 0.86)]
    ends = [camera.project(block.centre + (block.half * np.array(line)) @ block.axes.T) for line in lines]
    return [
        Shape(PathBuilder().move(a).line(b).done(), Paint(None, style.ink, 1.2), name, "prop")
        for a, b in ends
    ]


def _roll_shapes(prop: PlacedProp, block: Block, camera: Camera, style: Style, name: str) -> list[Shape]:
    """A roll: a cylinder along its longest axis, with the turns of the roll on the end that is seen."""
    long = int(np.argmax(block.half))
    way = block.axes[:, long] * block.half[long]
    radius = float(np.delete(block.half, long).min())
    return _cylinder(prop, Rod("roll", block.centre - way, block.centre + way, radius), camera, style, name)


def _end_marks(radius: float, *, solid: bool) -> tuple[Vec, Vec]:
    """The angles and radii of what is seen on the end of a roll: the core of a foam roller, the turns of a towel."""
    if solid:
        turns = np.linspace(0.0, 2 * np.pi, 17)
        return turns, np.full(len(turns), radius * 0.45)
    turns = np.linspace(0.6, 4.6 * np.pi, 26)
    return turns, radius * (1 - 0.82 * turns / turns[-1])


def _cylinder(prop: PlacedProp, rod: Rod, camera: Camera, style: Style, name: str) -> list[Shape]:
    start, end, radius = rod.start, rod.end, rod.radius
    direction = (end - start) / np.linalg.norm(end - start)
    one = np.cross(direction, [0.0, 1.0, 0.0] if abs(direction[1]) < 0.9 else [1.0, 0.0, 0.0])
    one /= np.linalg.norm(one)
    two = np.cross(direction, one)
    disc = np.array([one * radius, direction * 1e-4, two * radius])
    paint = _edge(prop, style)
    body = hull_path(np.array([start, end]), np.array([disc, disc]), camera)
    shapes = [Shape(body, paint, name, "prop")]
    near = end if direction @ camera.toward > 0 else start
    if abs(direction @ camera.toward) > 0.2:
        turns, size = _end_marks(radius, solid=prop.kind == "foam_roller")
        spiral = near + size[:, None] * (np.cos(turns)[:, None] * one + np.sin(turns)[:, None] * two)
        flat = camera.project(spiral)
        shapes.append(
            Shape(
                PathBuilder().move(flat[0]).through(flat).done(),
                Paint(None, paint.stroke, 1.2),
                name,
                "prop",
            )
        )
    return shapes


def _legs(prop: PlacedProp, camera: Camera, style: Style, name: str) -> list[Shape]:
    """Four legs under a seat or a table top, the far ones first."""
    if prop.kind not in {"chair", "armchair", "stool", "table", "low_table", "worktop"}:
        return []
    block = next((b for b in prop.blocks if b.name in {"seat", "top"}), prop.blocks[0])
    under = block.centre[1] - block.half[1]
    if under < 0.03:
        return []
    legs = []
    thick = 0.011 if prop.kind in {"chair", "armchair", "stool"} else 0.016
    for x in (-1, 1):
        for z in (-1, 1):
            top = block.centre + block.axes @ ((block.half - np.array([thick, 0, thick])) * (x, 0, z))
            leg = Block(
                "leg", np.array([top[0], under / 2, top[2]]), block.axes, np.array([thick, under / 2, thick])
            )
            legs.append(leg)
    legs.sort(key=lambda leg: round(float(leg.centre @ camera.toward), 6))
    return [shape for leg in legs for shape in _block_shapes(prop, leg, camera, style, name)]


_BLOCK_SHAPES: dict[str, Callable[[PlacedProp, Block, Camera, Style, str], list[Shape]]] = {
    "bed": _bed_shapes
}
"""How a block is painted that is more than a plain one, by kind of furniture."""
