"""Props as pale, flat shapes: the solids the solver placed, with legs, folds and grips added for the eye.

Furniture stays behind the body unless it clearly stands between the body and the eye; things that are held or worn
(stick, band, weight) take their place among the limbs.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from limberleaf.diagrams.drawing.hull import Blob, add_hull, blob_hulls
from limberleaf.diagrams.drawing.tube import Rings, outline
from limberleaf.diagrams.scene.camera import Camera, Vec
from limberleaf.diagrams.solving.solved import Block, Line, PlacedProp, Rod
from limberleaf.diagrams.writing.displaylist import Command, Paint, PathBuilder, Points, Shape
from limberleaf.diagrams.writing.style import Style

SOFT = {"towel": 0.006, "cushion": 0.016, "pillow": 0.020, "wedge": 0.003}
FURNITURE_LEAN = 0.09
"""How much nearer (H) furniture must be before it is painted over the body."""
LEAST_END = 0.013
"""Radius (H) at which the end of a stick that points at the eye is drawn, so that it is seen at all."""
MATTRESS = 0.38
"""Share of a bed's height that is its mattress; the rest is frame and legs."""
HELD = {
    "band",
    "strap",
    "stick",
    "weight",
    "bottle",
    "ball",
    "cup",
    "cuff",
    "walking_stick",
    "crutch",
    "walking_frame",
}
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
class PropPart:
    """One painted piece of a prop: shapes, and spheres that tell how near it is. `lean` moves it back (H)."""

    name: str
    shapes: tuple[Shape, ...]
    places: Vec
    radii: Vec
    lean: float


def prop_parts(prop: PlacedProp, number: int, camera: Camera, style: Style) -> list[PropPart]:
    """Return the pieces of a placed prop."""
    name = f"{prop.kind.replace('_', '-')}-{number}"
    held = prop.kind in HELD
    # A person stands between the posts of a doorway and lies in the middle of a bed; the near part would hide them.
    back = 0.5 if prop.kind in {"doorway", "bed"} else FURNITURE_LEAN
    parts: list[PropPart] = []
    for block in prop.blocks:
        draw = _bed_shapes if prop.kind == "bed" else _block_shapes
        shapes = draw(prop, block, camera, style, name)
        parts.append(
            _part(f"{name}-{block.name}", shapes, *_block_samples(block), lean=0.0 if held else back)
        )
    legs = _legs(prop, camera, style, name)
    if legs:
        middle = np.mean([block.centre for block in prop.blocks], axis=0)
        parts.append(
            _part(
                f"{name}-legs",
                legs,
                middle[None] * (1, 0.5, 1),
                np.array([0.05]),
                lean=0.0 if held else FURNITURE_LEAN,
            )
        )
    for rod in prop.rods:
        shapes = _rod_shapes(prop, rod, camera, style, name)
        lean = _rod_lean(rod, camera) if held else FURNITURE_LEAN
        parts.append(_part(f"{name}-{rod.name}", shapes, *_rod_samples(rod, camera), lean=lean))
    for ball in prop.spheres:
        centre = camera.project(ball.centre)[0]
        radius = ball.radius * camera.scale
        paint = Paint(style.prop_dark, style.prop_ink, 1.6)
        shine = PathBuilder().move(centre + np.array([-0.55, -0.3]) * radius)
        shine.through(centre + np.array([[-0.55, -0.3], [-0.38, -0.55], [-0.1, -0.68]]) * radius)
        shapes = [
            Shape(PathBuilder().circle(centre, radius).done(), paint, name, "prop"),
            Shape(shine.done(), Paint(None, style.paper, 1.6), name, "prop"),
        ]
        parts.append(
            _part(f"{name}-{ball.name}", shapes, ball.centre[None], np.array([ball.radius]), lean=0.0)
        )
    for line in prop.lines:
        parts.append(_line_part(line, camera, style, name))
    return parts


def _part(name: str, shapes: list[Shape], places: Vec, radii: Vec, *, lean: float) -> PropPart:
    return PropPart(name, tuple(shapes), places, radii, lean)


def _block_samples(block: Block) -> tuple[Vec, Vec]:
    """Spheres over a block, all at the depth of its middle: a wide seat is not "nearer" than who sits on it."""
    steps = np.linspace(-0.85, 0.85, 4)
    grid = np.array([[x, y, z] for x in steps for y in steps for z in steps]) * block.half
    radius = float(max(min(block.half), 0.015))
    return block.centre + grid @ block.axes.T, np.full(len(grid), radius)


def _towards(rod: Rod, camera: Camera) -> float:
    """How much a bar points at the eye, 0 to 1."""
    way = rod.end - rod.start
    return abs(float(way @ camera.toward)) / max(float(np.linalg.norm(way)), 1e-9)


def _end_on(rod: Rod, camera: Camera) -> bool:
    return _towards(rod, camera) > 0.95


def _rod_lean(rod: Rod, camera: Camera) -> float:
    """A bar in the hand lies under the fingers, unless its end points at the eye: then that end is in front."""
    return -0.08 if _towards(rod, camera) > 0.6 else 0.0


def _rod_samples(rod: Rod, camera: Camera) -> tuple[Vec, Vec]:
    """Spheres along a bar; of one that points at the eye only the near end is in front of the hand."""
    if _end_on(rod, camera):
        near = rod.end if (rod.end - rod.start) @ camera.toward > 0 else rod.start
        return near[None], np.array([max(rod.radius, 0.008)])
    share = np.linspace(0, 1, 9)[:, None]
    return rod.start * (1 - share) + rod.end * share, np.full(9, max(rod.radius, 0.008))


def _block_shapes(prop: PlacedProp, block: Block, camera: Camera, style: Style, name: str) -> list[Shape]:
    soft = SOFT.get(prop.kind, 0.0)
    if prop.form == "rolled" or prop.kind == "foam_roller":
        return _roll_shapes(block.centre, block.axes, block.half, camera, style, name)
    edge = Paint(style.prop, style.prop_ink, 1.4)
    if prop.kind == "wedge":
        slope = CORNERS[(CORNERS[:, 0] < 0) | (CORNERS[:, 1] < 0)] * (block.half - soft)
        balls = np.repeat(np.eye(3)[None] * soft, len(slope), axis=0)
        return [Shape(hull_path(block.centre + slope @ block.axes.T, balls, camera), edge, name, "prop")]
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
        shapes.append(Shape(path, Paint(fill, style.prop_ink, 1.4), name, "prop"))
    return shapes


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
    edge = Paint(style.prop, style.prop_ink, 1.4)
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
    """Lines that tell a folded towel from a cushion."""
    if prop.kind != "towel" or prop.form != "folded":
        return []
    ends = []
    for level in (-0.3, 0.3):
        low = block.centre + block.axes @ (block.half * (-0.9, level, 0.0))
        high = block.centre + block.axes @ (block.half * (0.8, level, 0.0))
        ends.append(camera.project(np.array([low, high])))
    return [
        Shape(PathBuilder().move(a).line(b).done(), Paint(None, style.prop_ink, 1.2), name, "prop")
        for a, b in ends
    ]


def _roll_shapes(centre: Vec, axes: Vec, half: Vec, camera: Camera, style: Style, name: str) -> list[Shape]:
    """A roll: a cylinder along its longest axis, with the turns of the roll on the end that is seen."""
    long = int(np.argmax(half))
    direction = axes[:, long]
    radius = float(np.delete(half, long).min())
    return _cylinder(
        centre - direction * half[long], centre + direction * half[long], radius, camera, style, name
    )


def _end_marks(radius: float, *, solid: bool) -> tuple[Vec, Vec]:
    """The angles and radii of what is seen on the end of a roll: the core of a foam roller, the turns of a towel."""
    if solid:
        turns = np.linspace(0.0, 2 * np.pi, 17)
        return turns, np.full(len(turns), radius * 0.45)
    turns = np.linspace(0.6, 4.6 * np.pi, 26)
    return turns, radius * (1 - 0.82 * turns / turns[-1])


def _cylinder(
    start: Vec, end: Vec, radius: float, camera: Camera, style: Style, name: str, *, solid: bool = False
) -> list[Shape]:
    direction = (end - start) / np.linalg.norm(end - start)
    one = np.cross(direction, [0.0, 1.0, 0.0] if abs(direction[1]) < 0.9 else [1.0, 0.0, 0.0])
    one /= np.linalg.norm(one)
    two = np.cross(direction, one)
    disc = np.array([one * radius, direction * 1e-4, two * radius])
    paint = Paint(style.prop, style.prop_ink, 1.4)
    body = hull_path(np.array([start, end]), np.array([disc, disc]), camera)
    shapes = [Shape(body, paint, name, "prop")]
    near = end if direction @ camera.toward > 0 else start
    if abs(direction @ camera.toward) > 0.2:
        turns, size = _end_marks(radius, solid=solid)
        spiral = near + size[:, None] * (np.cos(turns)[:, None] * one + np.sin(turns)[:, None] * two)
        flat = camera.project(spiral)
        shapes.append(
            Shape(
                PathBuilder().move(flat[0]).through(flat).done(),
                Paint(None, style.prop_ink, 1.2),
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


def _rod_shapes(prop: PlacedProp, rod: Rod, camera: Camera, style: Style, name: str) -> list[Shape]:
    if prop.kind in {"towel", "foam_roller"}:
        solid = prop.kind == "foam_roller"
        return _cylinder(rod.start, rod.end, rod.radius, camera, style, name, solid=solid)
    ends = np.array([rod.start, rod.end])
    radius = max(rod.radius, LEAST_END) if _end_on(rod, camera) else rod.radius
    balls = np.repeat(np.eye(3)[None] * radius, 2, axis=0)
    shapes = [Shape(hull_path(ends, balls, camera), Paint(style.held_fill, style.held, 1.8), name, "prop")]
    if prop.kind == "weight":
        return shapes + _weight_heads(rod, camera, style, name)
    if prop.kind == "bottle":
        return _bottle(rod, camera, style, name)
    return shapes


def _weight_heads(rod: Rod, camera: Camera, style: Style, name: str) -> list[Shape]:
    """The two heads of a dumb-bell."""
    along = (rod.end - rod.start) / max(float(np.linalg.norm(rod.end - rod.start)), 1e-9)
    shapes = []
    for end, way in ((rod.start, along), (rod.end, -along)):
        centres = np.array([end, end + way * 0.018])
        balls = np.repeat(np.eye(3)[None] * max(rod.radius * 1.15, 0.020), 2, axis=0)
        outline_of = hull_path(centres, balls, camera)
        shapes.append(Shape(outline_of, Paint(style.held_fill, style.held, 1.8), name, "prop"))
    return shapes


def _bottle(rod: Rod, camera: Camera, style: Style, name: str) -> list[Shape]:
    """A bottle: body, shoulder and cap along the rod."""
    rings = []
    for share, size in ((0.0, 1.0), (0.6, 1.0), (0.78, 0.55), (0.84, 0.4), (1.0, 0.4)):
        rings.append((rod.start * (1 - share) + rod.end * share, np.eye(3) * rod.radius * size))
    tube = outline(Rings(np.array([r[0] for r in rings]), np.array([r[1] for r in rings])), camera)
    path = PathBuilder()
    tube.whole(path)
    return [Shape(path.done(), Paint(style.held_fill, style.held, 1.8), name, "prop")]


def _line_part(line: Line, camera: Camera, style: Style, name: str) -> PropPart:
    """A band or strap: a coloured line with a light edge, so that it shows over skin and cloth."""
    points = np.array(line.points)
    flat = camera.project(points)
    path = PathBuilder().move(flat[0])
    for point in flat[1:]:
        path.line(point)
    if line.closed:
        path.close()
    width = max(line.width * camera.scale * 0.9, 3.4)
    shapes = [
        Shape(path.done(), Paint(None, style.paper, width + 2.4), name, "prop"),
        Shape(path.done(), Paint(None, style.held, width), name, "prop"),
    ]
    places = _along(points, closed=line.closed)
    return PropPart(f"{name}-{line.name}", tuple(shapes), places, np.full(len(places), 0.010), -0.03)


def _along(points: Vec, *, closed: bool) -> Vec:
    line = np.vstack([points, points[:1]]) if closed else points
    share = np.linspace(0, 1, 6, endpoint=False)[:, None]
    pieces = [a * (1 - share) + b * share for a, b in pairwise(line)]
    return np.vstack([*pieces, line[-1:]])


def floor_shapes(camera: Camera, frame: tuple[float, float], footprint: Points, style: Style) -> list[Shape]:
    """Return the floor: a line seen from the side, a pale mat seen from higher up.

    `frame`: left and right edge in user units; `footprint`: corners in the world (4, 3).
    """
    if camera.elevation < 4:
        y = 1.0
        path = PathBuilder().move((frame[0], y)).line((frame[1], y)).done()
        return [Shape(path, Paint(None, style.floor, 2.0, cap="butt"), "floor", "floor")]
    flat = camera.project(footprint)
    return [Shape(PathBuilder().polygon(flat).done(), Paint(style.mat, style.floor, 1.0), "floor", "floor")]
