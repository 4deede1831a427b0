"""What the poses of a figure state, in numbers: the angle of every joint in every panel, from the entry alone.

A panel without a posture takes over the angles of the one before it. Angles are signed: positive is the first motion
of each pair (flexion against extension, abduction against adduction, dorsiflexion against plantarflexion, to the
affected side).
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any

from limberleaf.diagrams.language.spec import FigureSpec, Pose
from limberleaf.diagrams.language.spec_joints import PAIRS
from limberleaf.diagrams.language.words import posture_rows

Angles = Mapping[tuple[str, str, str], float]
"""By side (`affected`, `other`, empty for the trunk), joint and motion; degrees."""

_SAME = {"rotation": "rotation_affected", "side_bend": "side_bend_affected"}
_OPPOSITE = {second: first for first, second in PAIRS if first not in _SAME}
_MIDDLE = ("trunk", "lumbar", "thoracic", "neck", "pelvis")


def angles_of(figure: FigureSpec) -> list[Angles]:
    """Give the stated angles of every panel, those of its posture among them."""
    found: list[Angles] = []
    here: dict[tuple[str, str, str], float] = {}
    for pose in figure.poses:
        here = dict(_of_posture(pose.posture, pose.lead or "") if pose.posture else here)
        here.update(_stated(pose))
        found.append(here)
    return found


def angles_of_posture(pose: Pose) -> Angles:
    """Give the angles of a panel's posture alone, before anything is stated."""
    return _of_posture(pose.posture, pose.lead or "") if pose.posture else {}


def _stated(pose: Pose) -> dict[tuple[str, str, str], float]:
    found: dict[tuple[str, str, str], float] = {}
    if pose.joints is not None:
        for limb in ("both", "affected", "other"):
            joints = getattr(pose.joints, limb)
            for joint, motions in (joints.model_dump(exclude_none=True) if joints else {}).items():
                for side in ("affected", "other") if limb == "both" else (limb,):
                    found.update(_signed(side, joint, motions))
        for joint in _MIDDLE:
            stated = getattr(pose.joints, joint)
            if stated:
                found.update(_signed("", joint, stated.model_dump(exclude_none=True)))
    for direction in pose.directions:
        if direction.lean:
            found["", "lean", "forward"] = (
                direction.forward if direction.forward is not None else -(direction.back or 0)
            )
        elif direction.upright == "trunk":
            found["", "lean", "forward"] = 0
    return found


def _signed(side: str, joint: str, motions: Mapping[str, float]) -> dict[tuple[str, str, str], float]:
    found: dict[tuple[str, str, str], float] = {}
    for motion, degrees in motions.items():
        name = _SAME.get(motion, motion)
        found[side, joint, _OPPOSITE.get(name, name)] = -degrees if name in _OPPOSITE else degrees
    return found


@cache
def _of_posture(name: str, lead: str) -> Angles:
    row: Mapping[str, Any] = posture_rows()[name]
    lead = lead or row.get("lead", "affected")
    trail = "other" if lead == "affected" else "affected"
    sides = {
        "both": ("affected", "other"),
        "lead": (lead,),
        "trail": (trail,),
        "affected": ("affected",),
        "other": ("other",),
    }
    found: dict[tuple[str, str, str], float] = {}
    for limb, joints in row.get("joints", {}).items():
        if limb in sides:
            for side in sides[limb]:
                for joint, motions in joints.items():
                    found.update(_signed(side, joint, motions))
        else:
            found.update(_signed("", limb, joints))
    return found


def things_of(posture: str) -> list[str]:
    """Give the kinds of things that a posture brings along, such as the chair of sitting."""
    return [
        prop if isinstance(prop, str) else prop["kind"] for prop in posture_rows()[posture].get("props", [])
    ]
