"""Where a segment is attached: the joint at its near end, by the segment's name."""

from __future__ import annotations

from limberleaf.diagrams.body.skeleton import SIDES, Posed, Vec3

_ORIGINS = {
    "hand": "wrist",
    "fingers": "knuckle",
    "forearm": "elbow",
    "upper_arm": "shoulder",
    "foot": "ankle",
    "toes": "ball",
    "shank": "knee",
    "thigh": "hip",
    "pelvis": "pelvis_mid",
    "lumbar_low": "spine_1",
    "lumbar": "spine_2",
    "thorax_low": "spine_3",
    "thorax_mid": "spine_4",
    "thorax": "spine_5",
    "neck": "spine_6",
    "head": "head_base",
}


def segment_origin(posed: Posed, segment: str) -> Vec3:
    """Return the joint a segment is attached to, by the segment's full name ("shank_left", "head")."""
    kind, _, side = segment.rpartition("_")
    if side not in SIDES:
        return posed.points[_ORIGINS[segment]]
    return posed.points[f"{_ORIGINS[kind]}_{side}"]
