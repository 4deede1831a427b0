"""One pose seen by one camera: the posed surface, its buffers and what is seen at each pixel."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from limberleaf.diagrams.body.skeleton import SIDES, Array
from limberleaf.diagrams.drawing.chains import mask_loops
from limberleaf.diagrams.drawing.cracks import Labels, labels_of
from limberleaf.diagrams.drawing.curves import add_cubics, curves
from limberleaf.diagrams.drawing.shadow import SCALE_DOWN, contact_shadow
from limberleaf.diagrams.picture.displaylist import Box, Paint, PathBuilder, Shape
from limberleaf.diagrams.picture.style import Style
from limberleaf.diagrams.scene.camera import Camera
from limberleaf.diagrams.scene.prop_kinds import SOFT, is_held
from limberleaf.diagrams.solving.solved import PlacedProp, SolvedPose
from limberleaf.diagrams.surface.buffers import FINE, Bools, Buffers, rasterise
from limberleaf.diagrams.surface.hands import HandShape, hand_shape
from limberleaf.diagrams.surface.materials import FURNITURE_LIMB
from limberleaf.diagrams.surface.mesh import pieces, vertices
from limberleaf.diagrams.surface.things import draw_held, hide_behind_blocks

PAD = 6
BARE_ARM = ("upper_arm", "forearm", "palm", "finger", "thumb")
BESIDE = 0.02
"""How far (H) beside a soft thing a wrist may lie and still be under it: its edges hang down."""
GRIP_FROM = 45.0
"""Degrees of finger bend from which a hand near a held thing grips it."""
SOFT_EDGE = (90.0, 60.0)
"""Fineness of the contact shadow's outline."""


@dataclass(frozen=True)
class Panel:
    """One pose as one camera sees it. `world` (v, 3) is the surface in H."""

    pose: SolvedPose
    camera: Camera
    world: Array
    b: Buffers
    labels: Labels

    @cached_property
    def body(self) -> Bools:
        """Where the body is (h, w), things and furniture left out."""
        return np.asarray((self.labels.limb >= 0) & (self.labels.limb < FURNITURE_LIMB))

    def shadow(self, level: str, style: Style) -> list[Shape]:
        """Return the shadow of what touches the "floor" or the "blocks" of furniture (painted before it)."""
        mask = contact_shadow(self.b, self.world, self.pose.props, self.camera, level)
        loops = mask_loops(mask, 3, 6) if mask.any() else []
        if not loops:
            return []
        path = PathBuilder()
        wide = [
            type(loop)(loop.places * SCALE_DOWN, loop.closed, loop.kind, loop.owner, loop.fine)
            for loop in loops
        ]
        for cubics in curves(wide, self.b, [SOFT_EDGE] * len(wide)):
            add_cubics(path, cubics, closed=True)
        return [Shape(path.done(), Paint(style.shadow), "shadow", "floor")]


def hands_of(pose: SolvedPose) -> dict[str, HandShape]:
    """Return the shape of each hand: what it holds and what the solver says of its fingers."""
    held = {c.segments[0] for c in pose.contacts if c.kind == "holding" and c.segments}
    something = any(is_held(prop) for prop in pose.props)
    shapes: dict[str, HandShape] = {}
    for side in SIDES:
        bend = pose.posed.angles.get(f"fingers_{side}.flexion", 0.0)
        holding = f"hand_{side}" in held or (something and bend > GRIP_FROM)
        shapes[side] = hand_shape(pose.posed, side, holding=holding)
    return shapes


def panel(
    pose: SolvedPose,
    camera: Camera,
    loops: Sequence[tuple[str, Array]] = (),
    *,
    px: float = FINE,
    without: Collection[str] = (),
    window: Box | None = None,
) -> Panel:
    """Return a pose as a camera sees it.

    `loops`: rings of what goes round a part, by the prop's name. `without`: limbs to leave out. `window`: the part of
    the paper that is wanted, in user units.
    """
    world = vertices(pose.posed, hands_of(pose))
    held = [prop for prop in pose.props if is_held(prop)]
    pad = PAD + _room_for(held, camera, world, px)
    b = rasterise(world, camera, px=px, pad=pad, without={*without, *_covered(pose)})
    if window is not None:
        b = b.cut(window.left, window.top, window.right, window.bottom)
    draw_held(b, pose.props, camera, loops)
    hide_behind_blocks(b, pose.props, camera)
    return Panel(pose, camera, world, b, labels_of(b))


def _covered(pose: SolvedPose) -> set[str]:
    """Return the pieces of arms that lie under something soft: it gives way, and they do not come through."""
    found: set[str] = set()
    for side in SIDES:
        wrist = pose.posed.points[f"wrist_{side}"]
        blocks = [block for prop in pose.props if prop.kind in SOFT for block in prop.blocks]
        for block in blocks:
            local = (wrist - block.centre) @ block.axes
            top = block.centre[1] + float(np.abs(block.axes[1]) @ block.half)
            if (np.abs(local) < block.half + BESIDE).all() and wrist[1] < top:
                found |= {
                    p.name for p in pieces() if p.name.endswith(f"_{side}") and p.name.startswith(BARE_ARM)
                }
    return found


def _room_for(held: Sequence[PlacedProp], camera: Camera, world: Array, px: float) -> int:
    """Return the pixels that what is held needs beyond the body."""
    places = [end for prop in held for rod in prop.rods for end in (rod.start, rod.end)]
    places += [point for prop in held for line in prop.lines for point in line.points]
    places += [
        ball.centre + way * ball.radius
        for prop in held
        for ball in prop.spheres
        for way in (camera.right, -camera.right, camera.up, -camera.up)
    ]
    if not places:
        return 0
    flat, own = camera.project(np.array(places)), camera.project(world)
    beyond = max(float((own.min(0) - flat.min(0)).max()), float((flat.max(0) - own.max(0)).max()), 0.0)
    return int(beyond * px) + 8
