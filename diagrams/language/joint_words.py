"""An author's joint words as motions of the skeleton, in degrees; the affected side is the right one."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

import numpy as np

from limberleaf.diagrams.body.skeleton import Side, skeleton
from limberleaf.diagrams.language.spec_joints import Joints, Limb, Model, Neck, Pelvis, Spine

# How a motion of the whole trunk is shared by the low and the upper back (common practice, no source).
_TRUNK_SHARE = {
    "flexion": (0.6, 0.4),
    "extension": (0.6, 0.4),
    "side_bend": (0.5, 0.5),
    "rotation": (0.2, 0.8),
}


_SCAPTION_PLANE = 35.0  # degrees forward of the frontal plane (AAOS names 30-40)


@cache
def _motion_words() -> dict[tuple[str, str], tuple[str, float]]:
    """Return (joint with side, clinical word) -> (motion name, sign)."""
    out: dict[tuple[str, str], tuple[str, float]] = {}
    for motion in skeleton().motions[3:]:
        out[motion.joint, motion.word] = (motion.name, 1.0)
        out[motion.joint, motion.opposite] = (motion.name, -1.0)
    return out


def _set_values(model: Model) -> Iterator[tuple[str, float]]:
    for word, value in model:
        if value is not None:
            yield word, float(value)


def _shoulder(side: Side, given: dict[str, float]) -> dict[str, float]:
    """Turn an author's shoulder words into the swing forward, the swing out and the turn of the arm."""
    forward = given.get("flexion", 0.0) - given.get("extension", 0.0)
    out = given.get("abduction", 0.0) - given.get("adduction", 0.0)
    if "scaption" in given:
        plane = np.radians(_SCAPTION_PLANE)
        forward += given["scaption"] * float(np.sin(plane))
        out += given["scaption"] * float(np.cos(plane))
    if "horizontal_adduction" in given or "horizontal_abduction" in given:
        plane = np.radians(given.get("horizontal_adduction", 0.0) - given.get("horizontal_abduction", 0.0))
        raised = given.get("abduction", 90.0)
        forward, out = raised * float(np.sin(plane)), raised * float(np.cos(plane))
    result: dict[str, float] = {}
    swing = set(given) - {"internal_rotation", "external_rotation"}
    if swing - {"abduction", "adduction"}:
        result[f"shoulder_{side}.flexion"] = forward
    if swing - {"flexion", "extension"}:
        result[f"shoulder_{side}.abduction"] = out
    if "internal_rotation" in given or "external_rotation" in given:
        turn = given.get("internal_rotation", 0.0) - given.get("external_rotation", 0.0)
        result[f"shoulder_{side}.internal_rotation"] = turn
    return result


def limb_angles(side: Side, limb: Limb) -> dict[str, float]:
    """Return an author's joint words for one limb as degrees by motion name."""
    out: dict[str, float] = {}
    for joint, model in limb:
        if model is not None:
            out.update(_joint_angles(side, joint, model))
    return out


def _joint_angles(side: Side, joint: str, model: Model) -> dict[str, float]:
    given = dict(_set_values(model))
    if joint == "shoulder":
        return _shoulder(side, given)
    out: dict[str, float] = {}
    name = "shoulder_girdle" if joint == "scapula" else joint
    for word, value in given.items():
        motion, sign = _motion_words()[f"{name}_{side}", word]
        out[motion] = sign * value
    return out


def _spine(joint: str, model: Spine | Neck) -> dict[str, float]:
    out: dict[str, float] = {}
    for word, value in _set_values(model):
        stem, sign = word, 1.0
        if word.startswith(("side_bend", "rotation")):
            sign = -1.0 if word.endswith("_other") else 1.0
            stem = "side_bend" if word.startswith("side_bend") else "rotation"
            word_right = f"{stem}_right"
        else:
            word_right = word
        if joint == "trunk":
            for part, share in zip(("lumbar", "thoracic"), _TRUNK_SHARE[stem], strict=True):
                motion, turn = _motion_words()[part, word_right]
                out[motion] = sign * turn * value * share
        else:
            motion, turn = _motion_words()[joint, word_right]
            out[motion] = sign * turn * value
    return out


def _pelvis(model: Pelvis) -> dict[str, float]:
    out: dict[str, float] = {}
    for word, value in _set_values(model):
        if word in ("anterior_tilt", "posterior_tilt"):
            out["pelvis.anterior_tilt"] = value if word == "anterior_tilt" else -value
        elif word.startswith("hitch"):
            out["pelvis.side_tilt_right"] = -value if word == "hitch_affected" else value
        else:
            out["pelvis.rotation_right"] = -value if word == "rotation_other" else value
    return out


def read_joints(joints: Joints) -> tuple[dict[str, float], dict[str, tuple[str, ...]]]:
    """Return degrees by motion name, and for each the keys under `joints` where it was stated; affected = right."""
    out: dict[str, float] = {}
    paths: dict[str, tuple[str, ...]] = {}

    def take(found: dict[str, float], *keys: str) -> None:
        out.update(found)
        paths.update(dict.fromkeys(found, keys))

    for key in ("both", "affected", "other"):
        limb = getattr(joints, key)
        if limb is None:
            continue
        sides: tuple[Side, ...] = (
            ("left", "right") if key == "both" else (("right",) if key == "affected" else ("left",))
        )
        for side in sides:
            for joint, model in limb:
                if model is not None:
                    take(_joint_angles(side, joint, model), key, joint)
    for key in ("trunk", "lumbar", "thoracic", "neck"):
        spine = getattr(joints, key)
        if spine is not None:
            take(_spine(key, spine), key)
    if joints.pelvis is not None:
        take(_pelvis(joints.pelvis), "pelvis")
    return out, paths
