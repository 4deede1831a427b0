"""Closed-form seeds for a two-bone limb whose end must be at a given place.

An arm or leg with both its big joints open has a ring of solutions; the one whose elbow (or knee) points towards a
pole is taken. The solver starts from it when the posture's own angles lead nowhere near the contact.
"""

from __future__ import annotations

import numpy as np

from limberleaf.diagrams.body.kinematics import Kinematics
from limberleaf.diagrams.body.skeleton import Array, Side, Vec3, skeleton
from limberleaf.diagrams.body.vectors import cross, norm

UPPER_ARM, FOREARM = 0.167, 0.150
THIGH, SHANK = 0.245, 0.246
_DOWN = np.array([0.0, -1.0, 0.0])


def bend(near: float, far: float, reach: float) -> float:
    """Return the bend (radians, 0 = straight) of a two-bone limb whose ends are `reach` apart; clamped."""
    cosine = (near**2 + far**2 - reach**2) / (2 * near * far)
    return float(np.pi - np.arccos(np.clip(cosine, -1.0, 1.0)))


def middle(start: Vec3, end: Vec3, near: float, far: float, pole: Vec3) -> Vec3:
    """Return where the elbow or knee is: on the side of the pole, for a limb from start to end."""
    way = end - start
    reach = float(np.clip(norm(way), 1e-6, near + far - 1e-6))
    way = way / max(norm(way), 1e-9)
    along = (near**2 - far**2 + reach**2) / (2 * reach)
    out = np.sqrt(max(near**2 - along**2, 0.0))
    side = pole - (pole @ way) * way
    length = norm(side)
    side = side / length if length > 1e-9 else np.zeros(3)
    result: Vec3 = start + along * way + out * side
    return result


def arm_seed(kin: Kinematics, side: Side, wrist: Vec3, pole: Vec3) -> dict[str, float]:
    """Return shoulder and elbow motions (radians) that bring the wrist to a place, elbow towards the pole."""
    body = skeleton()
    upper, girdle = body.segment(f"upper_arm_{side}"), body.segment(f"girdle_{side}")
    start = kin.origin[upper]
    elbow = middle(start, wrist, UPPER_ARM, FOREARM, pole)
    down = (elbow - start) / UPPER_ARM
    fore = (wrist - elbow) / max(norm(wrist - elbow), 1e-9)
    front = fore - (fore @ down) * down
    if norm(front) < 1e-6:
        front = kin.rotation[girdle][:, 0]
        front = front - (front @ down) * down
    front = front / norm(front)
    frame = np.column_stack([front, -down, cross(front, -down)])
    turn = kin.rotation[girdle].T @ frame
    pointing = -turn[:, 1]
    axis = cross(_DOWN, pointing)
    sine = norm(axis)
    angle = float(np.arctan2(sine, -pointing[1]))
    swing = axis / sine * angle if sine > 1e-9 else np.zeros(3)
    twist = _rotation(swing).T @ turn
    mirror = 1.0 if side == "right" else -1.0
    return {
        f"shoulder_{side}.flexion": float(swing[2]),
        f"shoulder_{side}.abduction": float(-mirror * swing[0]),
        f"shoulder_{side}.internal_rotation": mirror * float(np.arctan2(twist[0, 2], twist[0, 0])),
        f"elbow_{side}.flexion": bend(UPPER_ARM, FOREARM, norm(wrist - start)),
    }


def _rotation(vector: Array) -> Array:
    """Return the rotation matrix of a rotation vector (Rodrigues)."""
    angle = norm(vector)
    if angle < 1e-12:
        return np.eye(3)
    x, y, z = vector / angle
    k = np.array([[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]])
    out: Array = np.eye(3) + np.sin(angle) * k + (1 - np.cos(angle)) * k @ k
    return out
