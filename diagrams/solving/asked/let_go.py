"""Which contacts are let go by what a pose states.

A contact that only the posture gave is let go when the author clearly moves the hip or knee (or, for an arm, any
joint) of that one limb; when both legs are stated and the posture stands on them, the feet stay down. A leg that
carries nothing slides aside on what it rests on where the posture says so; across the other leg it is
lifted.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from limberleaf.diagrams.solving.asked.state import Touch, limb_of

_HEAD_MOVES = {
    f"{part}.{word}" for part in ("neck", "lumbar", "thoracic") for word in ("flexion", "side_bend_right")
}


_BENT, _STRAIGHT = 25.0, 12.0  # degrees of hip and knee


# Degrees by which a leg must be stated away from where it was, for its foot to leave what it stood on.
_LIFTS = {
    "hip_@.flexion": 15.0,
    "knee_@.flexion": 15.0,
    "hip_@.abduction": 10.0,
    "hip_@.internal_rotation": 25.0,
}


_ASIDE = "hip_@.abduction"


def _contradicts(
    stated: Mapping[str, float],
    before: Mapping[str, float],
    own: Mapping[str, float],
    side: str,
    row: Mapping[str, Any],
) -> bool:
    """Say whether the angles stated for one leg lift its foot: a clear change, or an open leg stated throughout.

    `before` are the angles the leg had, `own` those of the posture: a leg that only leant along with the body has not
    moved, and lifts when it is stated clearly away from the posture.
    """
    closed = bool(row.get("closed_chain"))
    if not closed and f"hip_{side}.flexion" in stated and f"knee_{side}.flexion" in stated:
        return True
    for word, limit in _LIFTS.items():
        name = word.replace("@", side)
        if name not in stated or (word == _ASIDE and row.get("leg_slides") and stated[name] >= 0):
            continue
        was, first = before.get(name, 0.0), own.get(name, 0.0)
        if abs(stated[name] - was) > limit or abs(was - first) <= limit < abs(stated[name] - first):
            return True
    return False


def _steps_up(stated: Mapping[str, float], before: Mapping[str, float], side: str) -> bool:
    """Say whether a bent leg is stated straight: on its foot it lifts the body."""
    names = (f"hip_{side}.flexion", f"knee_{side}.flexion")
    return all(before.get(name, 0.0) > _BENT and abs(stated.get(name, 90.0)) < _STRAIGHT for name in names)


def remaining_touches(
    touches: tuple[Touch, ...],
    stated: Mapping[str, float],
    before: Mapping[str, float],
    own: Mapping[str, float],
    row: Mapping[str, Any],
) -> list[Touch]:
    """Drop posture contacts that a stated joint of the same limb contradicts; `own` are the posture's angles."""
    lifted = {
        side
        for side in ("left", "right")
        if _contradicts(stated, before, own, side, row)
        and not (row["base"] == "upright" and row.get("closed_chain") and _steps_up(stated, before, side))
    }
    if len(lifted) == 2 and row.get("closed_chain"):
        lifted = set()
    slid = {
        side
        for side in lifted
        if row.get("knee_slides")
        and not any(f"hip_{side}.{word}" in stated for word in ("flexion", "abduction", "internal_rotation"))
    }
    arms = {
        m.split(".", 1)[0].rpartition("_")[2]
        for m in stated
        if limb_of(m).startswith("arm") and _lifts_hand(m)
    }
    moved = {side for side in lifted if side not in slid}
    # A knee that straightens over what lies under it lifts the heel.
    propped = {t.side for t in touches if t.author and t.kind == "on" and t.part in ("knee", "thigh", "calf")}
    moved |= {side for side in ("left", "right") if side in propped and f"knee_{side}.flexion" in stated}
    remaining = [
        touch if touch.author else _remaining_touch(touch, stated, row, moved, arms) for touch in touches
    ]
    return [touch for touch in remaining if touch is not None]


def _lifts_hand(motion: str) -> bool:
    """Say whether a stated arm motion takes the hand away from where it rests."""
    return not motion.startswith(("shoulder_girdle", "fingers"))


def _remaining_touch(
    touch: Touch, stated: Mapping[str, float], row: Mapping[str, Any], legs: set[str], arms: set[str]
) -> Touch | None:
    """Return what remains of one of the posture's own contacts when `legs` and `arms` are moved."""
    if touch.limb.startswith("leg"):
        return None if touch.side in legs else _remaining_foot(touch, stated, row)
    if touch.limb.startswith("arm"):
        return None if touch.side in arms else touch
    if touch.limb == "head":
        return None if _HEAD_MOVES & set(stated) else touch
    if touch.part in ("upper back", "chest", "lower back"):
        return None if {"lumbar.flexion", "thoracic.flexion"} & set(stated) else touch
    return None if "pelvis.anterior_tilt" in stated and row.get("pelvis_lifts") else touch


def _remaining_foot(touch: Touch, stated: Mapping[str, float], row: Mapping[str, Any]) -> Touch | None:
    """Return a foot's contact after a stated ankle: toes stay when the heel rises, the heel when the toes do."""
    bend = stated.get(f"ankle_{touch.side}.dorsiflexion")
    if bend is None:
        return touch
    if touch.part == "foot":
        if bend < 0:
            return replace(touch, part="toe")
        return touch if row.get("closed_chain") else replace(touch, part="heel" if bend > 0 else "toe")
    return None if touch.part in ("toe", "top of foot", "heel") else touch


def replaces(new: Touch, old: Touch) -> bool:
    """Say whether a new contact takes the place of an old one: same end of the same limb."""
    if new.limb != old.limb:
        return False
    if new.limb.startswith("arm"):
        return True
    if new.limb.startswith("leg"):
        low = {"foot", "heel", "toe", "ball of foot", "ankle", "top of foot", "flat of foot"}
        return new.part == old.part or ((new.part in low) and (old.part in low))
    if new.limb == "head":
        return True
    seat = {"pelvis", "buttock", "hip"}
    same_side = new.side is None or old.side is None or new.side == old.side
    return (new.part == old.part or {new.part, old.part} <= seat) and same_side
