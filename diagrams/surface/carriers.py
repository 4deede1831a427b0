"""The frames that carry the surface: the solver's segments and helper frames worked out from two of them."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from limberleaf.diagrams.body.origins import segment_origin
from limberleaf.diagrams.body.skeleton import SIDES, Array, Posed
from limberleaf.diagrams.surface.hands import HandShape, hand_frames, named_hand

EXACT = 12
"""Decimals of H to which frames and origins are rounded, so that the last bits of a machine's sums stay outside."""


def half_turn(one: Array, two: Array) -> Array:
    """Return the rotation half way between two rotations (3x3), by their quaternion."""
    turn = one.T @ two
    w = np.sqrt(max(1 + np.trace(turn), 1e-6)) / 2
    x, y, z = np.array([turn[2, 1] - turn[1, 2], turn[0, 2] - turn[2, 0], turn[1, 0] - turn[0, 1]]) / (4 * w)
    w = 1 + w
    size = np.sqrt(w * w + x * x + y * y + z * z)
    w, x, y, z = w / size, x / size, y / size, z / size
    half = np.array(
        [
            [1 - 2 * (y * y + z * z), 2 * (x * y - z * w), 2 * (x * z + y * w)],
            [2 * (x * y + z * w), 1 - 2 * (x * x + z * z), 2 * (y * z - x * w)],
            [2 * (x * z - y * w), 2 * (y * z + x * w), 1 - 2 * (x * x + y * y)],
        ]
    )
    out: Array = one @ half
    return out


def carriers(posed: Posed, hands: Mapping[str, HandShape]) -> dict[str, tuple[Array, Array]]:
    """Return frame (3x3) and origin (3,) of each carrier by name. `hands`: shapes by side, straight when not given."""
    found: dict[str, tuple[Array, Array]] = {
        name: (frame, segment_origin(posed, name))
        for name, frame in posed.frames.items()
        if name.rsplit("_", 1)[0] not in ("girdle", "fingers")
    }
    thorax, pelvis = posed.frames["thorax"], posed.frames["pelvis"]
    for side in SIDES:
        shoulder, hip = posed.points[f"shoulder_{side}"], posed.points[f"hip_{side}"]
        found[f"acromion_{side}"] = thorax, shoulder
        found[f"half_arm_{side}"] = half_turn(thorax, posed.frames[f"upper_arm_{side}"]), shoulder
        found[f"half_leg_{side}"] = half_turn(pelvis, posed.frames[f"thigh_{side}"]), hip
        shape = hands.get(side, _STRAIGHT)
        hand, wrist = found[f"hand_{side}"]
        found |= hand_frames(hand, wrist, posed.points[f"knuckle_{side}"], side, shape)
    return found


_STRAIGHT = HandShape(np.zeros((4, 3)), 0.0)


def straight_and_flat() -> dict[str, HandShape]:
    """Return the hands of the neutral mesh: straight fingers, the thumb apart."""
    return {side: HandShape(np.zeros((4, 3)), named_hand("flat").thumb) for side in SIDES}
