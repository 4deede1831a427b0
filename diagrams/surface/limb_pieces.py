"""Arms with hands and legs with feet as pieces of the surface."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from limberleaf.diagrams.body.skeleton import Array, load_data
from limberleaf.diagrams.surface.grids import FINE_AROUND, capped, resampled, rings, slabs, tube
from limberleaf.diagrams.surface.hands import bone_shares, finger_name, fingers, hand_frames, named_hand
from limberleaf.diagrams.surface.materials import SHIRT, SHORTS
from limberleaf.diagrams.surface.pieces import (
    ARM_ZONE,
    FINGER_ZONE,
    LEG_ZONE,
    SHORTS_ZONE,
    SLEEVE_ZONE,
    THUMB_ZONE,
    Add,
    limb_tube,
)


def add_arm(add: Add, points: Mapping[str, Array], side: str) -> None:
    """Add the arm with its sleeve and hand."""
    data = load_data("surface")
    clothes = data["clothes"]
    out = 1.0 if side == "right" else -1.0
    limb = f"arm_{side}"
    shoulder, elbow, wrist, knuckle = (
        points[f"{n}_{side}"] for n in ("shoulder", "elbow", "wrist", "knuckle")
    )
    bare = limb_tube("upper_arm", shoulder, elbow, out, 8, low=clothes["bare_arm"], caps=(0.0, 1.0))
    add(f"upper_arm_{side}", limb, bare, f"upper_arm_{side}", zone=ARM_ZONE)
    sleeve = limb_tube(
        "upper_arm",
        shoulder,
        elbow,
        out,
        9,
        high=clothes["sleeve"],
        grow=0.004,
        flare=0.005,
        caps=(1.0, 0.0),
    )
    add(
        f"sleeve_{side}",
        "core",
        sleeve,
        f"upper_arm_{side}",
        materials=(SHIRT, SHIRT),
        zone=SLEEVE_ZONE,
    )
    add(
        f"forearm_{side}",
        limb,
        limb_tube("forearm", elbow, wrist, out, 12),
        f"forearm_{side}",
        zone=ARM_ZONE,
    )
    rows = resampled(data["palm"], 6)
    centre = wrist + (knuckle - wrist) * rows[:, :1]
    centre = centre + np.column_stack([np.zeros((len(rows), 2)), rows[:, 3] * out])
    palm = capped(rings(centre, rows[:, 1], rows[:, 2], 2.5), 0.5, 0.3, 2)
    add(f"palm_{side}", limb, palm, f"hand_{side}", zone=ARM_ZONE)
    _add_fingers(add, knuckle, wrist, side)


def _add_fingers(add: Add, knuckle: Array, wrist: Array, side: str) -> None:
    data = load_data("surface")["thumb"]
    out = 1.0 if side == "right" else -1.0
    limb = f"arm_{side}"
    for i, finger in enumerate(fingers()):
        at = knuckle + np.array([0, 0.003, finger.across * out])
        for j, share in enumerate(bone_shares()):
            end = at - np.array([0, finger.length * share, 0])
            radii = [finger.radius * (1 - 0.06 * j), finger.radius * (0.94 - 0.06 * j)]
            bone = tube(at, end, radii, count=2, steps=2, places=FINE_AROUND)
            name = finger_name(i, j, side)
            add(name, limb, bone, name, fine=True, zone=FINGER_ZONE + i)
            at = end
    frames = hand_frames(np.eye(3), wrist, knuckle, side, named_hand("flat"))
    for j, (length, radii) in enumerate(zip(data["lengths"], data["radii"], strict=True)):
        name = f"thumb{j}_{side}"
        frame, start = frames[name]
        bone = tube(start, start - frame[:, 1] * length, radii, count=2, steps=3, places=FINE_AROUND)
        add(name, limb, bone, name, fine=True, zone=THUMB_ZONE)


def add_leg(add: Add, points: Mapping[str, Array], side: str) -> None:
    """Add the leg with the leg of the shorts and the foot."""
    data = load_data("surface")
    clothes = data["clothes"]
    out = 1.0 if side == "right" else -1.0
    limb = f"leg_{side}"
    hip, knee, ankle = (points[f"{n}_{side}"] for n in ("hip", "knee", "ankle"))
    bare = limb_tube("thigh", hip, knee, out, 9, low=clothes["bare_thigh"], caps=(0.0, 1.0))
    add(f"thigh_{side}", limb, bare, f"thigh_{side}", zone=LEG_ZONE)
    shorts = limb_tube(
        "thigh", hip, knee, out, 12, high=clothes["shorts"], grow=0.003, flare=0.006, caps=(1.0, 0.0)
    )
    zone = SHORTS_ZONE + (side == "right")
    add(f"shorts_{side}", "core", shorts, f"thigh_{side}", materials=(SHORTS, SHORTS), zone=zone)
    add(f"shank_{side}", limb, limb_tube("shank", knee, ankle, out, 16), f"shank_{side}", zone=LEG_ZONE)
    add(f"foot_{side}", limb, slabs(data["foot"], ankle, out, 16), f"foot_{side}", zone=LEG_ZONE)
    add(
        f"toes_{side}",
        limb,
        slabs(data["toes"], points[f"ball_{side}"], out, 10),
        f"toes_{side}",
        zone=LEG_ZONE,
    )
