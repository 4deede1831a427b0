"""An enlarged part of a panel, for movements too small to see on a whole body.

The same pose is seen by a camera that magnifies, cut to the part, and set beside the body with a frame round the place
it shows. For the trunk the spine and the tilt of the pelvis are drawn in, and the near arm is left out, so that it
hides nothing.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace

import numpy as np

from limberleaf.diagrams.body.skeleton import SIDES, Array, Posed, Side
from limberleaf.diagrams.drawing.body import Look, body_shapes
from limberleaf.diagrams.drawing.panel import panel
from limberleaf.diagrams.picture.displaylist import Box, Paint, PathBuilder, Picture, Points, Shape
from limberleaf.diagrams.picture.style import Style
from limberleaf.diagrams.scene.camera import Camera, camera_at
from limberleaf.diagrams.scene.furniture import furniture_shapes
from limberleaf.diagrams.scene.prop_kinds import is_held
from limberleaf.diagrams.scene.staging import LOW_EYE
from limberleaf.diagrams.scene.view import figure_axes
from limberleaf.diagrams.signs.arrow_shapes import arrow_shapes
from limberleaf.diagrams.signs.bend_arrow import JOINTS, LIMB_OF, bend_shapes, bent_as_before
from limberleaf.diagrams.signs.feet_inset import LEGS_ONLY, feet_camera, step_shapes
from limberleaf.diagrams.signs.hand_inset import hand_cameras
from limberleaf.diagrams.solving.solved import SolvedFigure
from limberleaf.diagrams.surface.buffers import FINE
from limberleaf.diagrams.surface.materials import LIMBS

MAGNIFY = {"trunk": 2.0, "neck": 2.0, "foot": 1.6, "hand": 2.0, "feet": 1.6, "blades": 1.4}
"""How much larger than its panel an inset is drawn."""
COARSE = 1.8
"""How much further apart the knots of an inset's lines stand than in a panel, which keeps a panel with one light."""
OWN_VIEW = frozenset({"feet", "blades", "hand"})
"""The insets that look from elsewhere than the panel."""
BLADES_FROM = (-90.0, 6.0)
"""Azimuth and elevation from which the shoulder blades are seen."""
BLADE_WIDE, BLADE_LONG, BLADE_AT = 0.040, 0.085, np.array([-0.065, -0.031, -0.044])
"""Breadth and length of a shoulder blade and where its middle lies from the shoulder joint, in H (common
proportions, no source)."""
BLADE_MOVES = 0.006
"""How far (H) a shoulder blade must come to get an arrow."""
BLOCK_LONG, BLOCK_HIGH, BLOCK_GAP = 7.0, 8.5, 3.5
"""Size of a block of the spine and the gap between two, in user units of the inset."""
TRAVELS, FAR = frozenset({"foot", "hand"}), 1.7
"""Parts whose inset goes with them, and how much larger one box for all panels must be than the part for that."""
REGIONS = {
    "trunk": (("pelvis_mid", "spine_2", "spine_4", "spine_6"), 0.105),
    "neck": (("spine_5", "head_centre", "vertex"), 0.085),
    "foot": (("heel_", "toe_", "ankle_"), 0.085),
    "hand": (("wrist_", "fingertip_", "knuckle_"), 0.06),
    "feet": (("heel_left", "toe_left", "ankle_left", "heel_right", "toe_right", "ankle_right"), 0.05),
    "blades": (("shoulder_left", "shoulder_right", "spine_4", "spine_6"), 0.055),
}
"""The points an inset shows and the room around them, in H; a name that ends in "_" means the affected side."""


def inset_regions(solved: SolvedFigure, kind: str, cameras: Sequence[Camera]) -> list[Box]:
    """Return the box on paper that an inset shows in each panel, by the panel's camera: one for all, or of one size
    where the part travels or the camera goes with it."""
    names, room = REGIONS[kind]
    full = [name + solved.affected if name.endswith("_") else name for name in names]
    low, high = np.empty((len(cameras), 2)), np.empty((len(cameras), 2))
    for number, (pose, camera) in enumerate(zip(solved.poses, cameras, strict=True)):
        places = [pose.posed.points[name] for name in full]
        if kind in JOINTS and number:
            places.append(bent_as_before(solved, number, kind).points[f"{JOINTS[kind][1]}_{solved.affected}"])
        flat = camera.project(np.array(places))
        low[number] = flat.min(axis=0) - room * camera.scale
        high[number] = flat.max(axis=0) + room * camera.scale
    all_low, all_high, largest = low.min(axis=0), high.max(axis=0), (high - low).max(axis=0)
    together = kind not in TRAVELS or np.prod(all_high - all_low) < FAR * np.prod(largest)
    if together and kind != "hand":
        return [_box(all_low, all_high)] * len(cameras)
    middle = np.round((low + high) / 2)
    half = np.ceil(largest / 2)
    return [_box(one - half, one + half) for one in middle]


def _box(low: Points, high: Points) -> Box:
    return Box(float(low[0]), float(low[1]), float(high[0]), float(high[1])).whole()


def inset_cameras(solved: SolvedFigure, kind: str, camera: Camera) -> list[Camera]:
    """Return the camera of an inset in each panel: the panel's own, or one that looks from where the part is seen."""
    if kind == "hand":
        return hand_cameras(solved.poses, solved.affected, camera)
    if kind == "feet":
        camera = feet_camera(solved.poses, figure_axes(solved), camera.scale)
    elif kind in OWN_VIEW:
        camera = camera_at(figure_axes(solved), kind, *BLADES_FROM, camera.scale)
    return [camera] * len(solved.poses)


def inset_size(kind: str, region: Box) -> tuple[float, float]:
    """Return the width and height (units) at which a region is shown."""
    return region.width * MAGNIFY[kind], region.height * MAGNIFY[kind]


def inset_picture(
    solved: SolvedFigure, number: int, kind: str, region: Box, camera: Camera, look: Look, style: Style
) -> Picture:
    """Return the enlarged part of a panel as a picture cut to its region."""
    pose = solved.poses[number]
    larger = MAGNIFY[kind]
    close = replace(camera, scale=camera.scale * larger)
    frame = Box(*(value * larger for value in (region.left, region.top, region.right, region.bottom)))
    without: Collection[str] = {f"arm_{_near_side(pose.posed, camera)}"} if kind == "trunk" else ()
    if kind in JOINTS:
        without = _all_but(f"{LIMB_OF[kind]}_{solved.affected}")
    if kind in OWN_VIEW:
        # Table and chair would stand before the part; what is held is told by the panel itself.
        pose = replace(pose, props=tuple(p for p in pose.props if kind == "hand" and is_held(p)))
        without = LEGS_ONLY if kind == "feet" else ()
    seen = panel(pose, close, px=FINE / larger * 1.25, without=without, window=frame.grown(6.0))
    shapes = furniture_shapes(pose.props, close, style)
    shapes += body_shapes(seen.b, seen.labels, pose.posed, close, replace(look, coarse=COARSE), style)
    if kind == "trunk":
        shapes += _spine_and_pelvis(pose.posed, close, style)
    if kind == "feet":
        shapes = [*seen.shadow("floor", style), *shapes]
        if number:
            earlier = replace(solved.poses[number - 1], props=())
            shapes += step_shapes((earlier, pose), seen, close, frame.grown(6.0), style)
    if kind in JOINTS and number:
        shapes += bend_shapes(solved, number, kind, seen, (without, frame.grown(6.0)), style)
    if kind == "blades":
        before = solved.poses[number - 1].posed if number else None
        shapes += _blades(pose.posed, before, close, style)
    return Picture(frame, (*_floor(close, frame, style), *shapes))


def _all_but(limb: str) -> Collection[str]:
    """Return the other limbs of the body, by name."""
    return [name for name in LIMBS[: LIMBS.index("furniture")] if name != limb]


def _near_side(posed: Posed, camera: Camera) -> str:
    right = float((posed.points["shoulder_right"] - posed.points["shoulder_left"]) @ camera.toward)
    return "right" if right > 0 else "left"


def _spine_and_pelvis(posed: Posed, camera: Camera, style: Style) -> list[Shape]:
    """The spine as a row of blocks and the pelvis as an egg on its end: they show rounding, hollowing and tilt.

    They are in ink, not in the colour of an arrow: a line that ends in a wedge was read as one.
    """
    spine = camera.project(np.array([posed.points[f"spine_{i}"] for i in range(1, 7)]))
    pelvis, middle = posed.frames["pelvis"], posed.points["pelvis_mid"]
    turns = np.radians(np.arange(0, 360, 15))
    egg = np.column_stack([0.025 * np.cos(turns), 0.012 + 0.037 * np.sin(turns), np.zeros(len(turns))])
    outline: Points = camera.project(middle + egg @ pelvis.T)
    ring = PathBuilder().polygon(outline).done()
    line = PathBuilder().move(spine[0]).through(spine).done()
    blocks = PathBuilder()
    for corners in _blocks(spine):
        blocks.polygon(corners)
    return [
        Shape(line, Paint(None, style.paper, BLOCK_HIGH + 5.0), "spine-line", "mark"),
        Shape(blocks.done(), Paint(style.ink), "spine-blocks", "mark"),
        Shape(ring, Paint(style.paper, style.paper, 7.0), "pelvis-egg", "mark"),
        Shape(ring, Paint(style.paper, style.ink, 3.0), "pelvis-egg", "mark"),
    ]


def _blades(posed: Posed, before: Posed | None, camera: Camera, style: Style) -> list[Shape]:
    """Both shoulder blades on the back, with an arrow each way they have come since the panel before."""
    path, arrows = PathBuilder(), list[Shape]()
    for side in SIDES:
        path.loop(camera.project(_blade(posed, side)))
        if before is not None:
            was, now = (camera.project(_blade(one, side).mean(axis=0)[None])[0] for one in (before, posed))
            way = now - was
            size = float(np.hypot(*way))
            if size > BLADE_MOVES * camera.scale:
                spot = now + np.array([0, BLADE_LONG * camera.scale * 0.75])
                line = spot + way / size * np.linspace(-22, 12, 7)[:, None]
                arrows += arrow_shapes(line, style)
    outline = path.done()
    return [
        Shape(outline, Paint(None, style.paper, 5.0), "blades", "mark"),
        Shape(outline, Paint(None, style.ink, 2.4), "blades", "mark"),
        *arrows,
    ]


def _blade(posed: Posed, side: Side) -> Array:
    """Return the outline of a shoulder blade (6, 3): it lies on the ribs and goes where the shoulder goes."""
    out = 1.0 if side == "right" else -1.0
    girdle = posed.frames[f"girdle_{side}"]
    middle = posed.points[f"shoulder_{side}"] + girdle @ (BLADE_AT * (1, 1, out))
    y, z = BLADE_LONG / 2, BLADE_WIDE / 2
    corners = np.array([[0, y, -z], [0, y * 0.9, z * 0.6], [0, y * 0.35, z], [0, -y, -z * 0.2], [0, 0, -z]])
    return middle + corners * (1, 1, out) @ girdle.T


def _blocks(spine: Points) -> list[Points]:
    """Cut a line (n, 2) into upright blocks with gaps between them, four corners each."""
    steps = np.hypot(*np.diff(spine, axis=0).T)
    run = np.concatenate([[0.0], np.cumsum(steps)])
    count = max(int(run[-1] / (BLOCK_LONG + BLOCK_GAP)), 1)
    middles = (np.arange(count) + 0.5) * run[-1] / count
    corners = []
    for middle in middles:
        ends = np.column_stack([np.interp([middle - 1, middle + 1], run, spine[:, k]) for k in (0, 1)])
        along = (ends[1] - ends[0]) / max(float(np.hypot(*(ends[1] - ends[0]))), 1e-9)
        across = np.array([-along[1], along[0]]) * BLOCK_HIGH / 2
        half, centre = along * BLOCK_LONG / 2, ends.mean(axis=0)
        corners.append(
            np.array(
                [
                    centre - half - across,
                    centre + half - across,
                    centre + half + across,
                    centre - half + across,
                ]
            )
        )
    return corners


def _floor(camera: Camera, frame: Box, style: Style) -> list[Shape]:
    """The floor seen edge-on: without it nobody can tell a back that lies flat from a hollow one."""
    if camera.elevation >= LOW_EYE or not frame.top < 0.0 < frame.bottom:
        return []
    line = PathBuilder().move((frame.left, 1.0)).line((frame.right, 1.0)).done()
    return [Shape(line, Paint(None, style.floor, 2.0, cap="butt"), "floor", "floor")]


def border(box: Box, style: Style, width: float) -> Shape:
    """Return a thin frame round a box."""
    corners = [(box.left, box.top), (box.right, box.top), (box.right, box.bottom), (box.left, box.bottom)]
    return Shape(
        PathBuilder().polygon(corners).done(), Paint(None, style.floor, width), "inset-frame", "mark"
    )
