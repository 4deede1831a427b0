"""Walking aids: they stand on the ground where the hand holds them, and carry weight there."""

from __future__ import annotations

import numpy as np

from limberleaf.diagrams.body.skeleton import SIDES, Side, Vec3
from limberleaf.diagrams.body.vectors import cross
from limberleaf.diagrams.solving.props.placing import Scene, forward_of, palm
from limberleaf.diagrams.solving.solved import PlacedProp, Rod
from limberleaf.diagrams.solving.touching.holding import holders
from limberleaf.diagrams.solving.touching.places import UP, Thing, segment_number

AIDS = ("cane", "crutch", "frame")  # shapes that carry weight while a hand holds them
# How the arm holds each, in degrees: elbow bent 20 to 30, as an aid is fitted to the wrist (common practice).
ARM = {
    "shoulder_@.flexion": 8.0,
    "shoulder_@.abduction": 14.0,
    "elbow_@.flexion": 25.0,
    "forearm_@.pronation": 10.0,
}
FRAME_ARM = {"shoulder_@.flexion": 22.0, "shoulder_@.abduction": 10.0, "elbow_@.flexion": 28.0}
_AHEAD, _ASIDE = 0.05, 0.03  # H from the hand to the tip: a hand's breadth ahead and outside the foot
_FRAME_DEEP = 0.26  # H between the front and the back legs of a frame


def place_aid(thing: Thing, scene: Scene, ground: float = 0.0) -> PlacedProp | None:
    """Return a stick, crutches or a frame under the hands that hold it; None when nobody does."""
    sides = holders(thing, scene.state)
    if not sides:
        return None
    forward = forward_of(scene.base)
    radius = thing.size[1] / 2
    shape = thing.row["shape"]
    rods: list[Rod] = []
    if shape == "frame":
        rods = _frame(scene, forward, radius, ground)
    else:
        for side in sides:
            rods.extend(_pole(scene, side, forward, radius, ground, cuff=shape == "crutch"))
    return PlacedProp(
        thing.kind, thing.name, forward, rods=tuple(rods), form="aid", carries=True, path=thing.path
    )


def _pole(scene: Scene, side: Side, forward: Vec3, radius: float, ground: float, *, cuff: bool) -> list[Rod]:
    """Return one stick with its handle, or one crutch with the cuff at the forearm."""
    hand = palm(scene.kin, side)
    out = cross(forward, UP) * (1.0 if side == "right" else -1.0)
    tip = hand + forward * _AHEAD + out * _ASIDE
    tip[1] = ground + radius
    rods = [
        Rod(f"{side} pole", tip, hand, radius),
        Rod(f"{side} handle", hand - forward * 0.03, hand + forward * 0.035, radius * 1.4),
    ]
    if cuff:
        arm = segment_number("forearm", side)
        top = scene.kin.place(arm, np.array([0.0, -0.03, 0.0])) - forward * 0.028
        rods.append(Rod(f"{side} cuff", hand, top, radius))
    return rods


def _frame(scene: Scene, forward: Vec3, radius: float, ground: float) -> list[Rod]:
    """Return a frame: a rail under each hand on two legs, and a bar across in front."""
    hands = {side: palm(scene.kin, side) for side in SIDES}
    height = float(np.mean([hand[1] for hand in hands.values()]))
    right = cross(forward, UP)
    middle = np.mean(list(hands.values()), axis=0)
    half = max(abs(float((hands["right"] - hands["left"]) @ right)) / 2, 0.12)
    rods, fronts = [], []
    for side, sign in (("left", -1.0), ("right", 1.0)):
        rail = middle + right * half * sign
        rail[1] = height
        back, front = rail - forward * 0.06, rail + forward * (_FRAME_DEEP - 0.06)
        rods.append(Rod(f"{side} rail", back, front, radius * 1.2))
        for name, top in (("back", back), ("front", front)):
            foot = top.copy()
            foot[1] = ground + radius
            rods.append(Rod(f"{side} {name} leg", foot, top, radius))
        fronts.append(front)
    rods.append(Rod("bar", fronts[0], fronts[1], radius))
    rods.append(Rod("low bar", fronts[0] * (1, 0.5, 1), fronts[1] * (1, 0.5, 1), radius))
    return rods


def tips(prop: PlacedProp) -> list[Vec3]:
    """Return where a walking aid stands on the ground; of a backrest, where the trunk lies on it."""
    if prop.kind == "backrest" and prop.blocks:
        return [prop.blocks[0].centre]
    if prop.form != "aid":
        return []
    return [rod.start for rod in prop.rods if rod.name.endswith(("pole", "leg"))]
