"""Hands: how far each finger joint bends in a named shape, and where that puts the bones.

A new shape is a row in `data/surface.yml` under `hands`; `hand_shape` says when it is taken.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Any

import numpy as np

from limberleaf.diagrams.body.skeleton import Array, Posed, load_data

FIST_BEND, CURLED_BEND, EASY_BEND = 70.0, 25.0, 8.0
"""Degrees of the solver's finger bend from which a hand is a fist, curled, or at rest."""


@dataclass(frozen=True)
class Finger:
    """A finger: its place across the knuckles (outward), its length and radius, in H."""

    across: float
    length: float
    radius: float


@dataclass(frozen=True)
class HandShape:
    """Bend of three joints for each of four fingers (4, 3) in degrees; how far the thumb lies across the palm (0-1)."""

    bends: Array
    thumb: float


@cache
def surface_data() -> Mapping[str, Any]:
    """Return the tables of the body's surface, read once."""
    return load_data("surface")


@cache
def fingers() -> tuple[Finger, ...]:
    """Return the fingers from index to little."""
    return tuple(Finger(*row) for row in surface_data()["fingers"]["each"])


@cache
def bone_shares() -> tuple[float, float, float]:
    """Return the lengths of a finger's three bones over its whole length."""
    one, two, three = surface_data()["fingers"]["bones"]
    return one, two, three


@cache
def _named() -> dict[str, HandShape]:
    rows = surface_data()["hands"]
    return {
        name: HandShape(np.broadcast_to(np.array(row["bends"], dtype=float), (4, 3)), float(row["thumb"]))
        for name, row in rows.items()
    }


def named_hand(name: str) -> HandShape:
    """Return a shape of `data/surface.yml`; KeyError when there is none of that name."""
    return _named()[name]


def hand_shape(posed: Posed, side: str, *, holding: bool, pointing: bool = False) -> HandShape:
    """Choose a hand by what the solver says of its fingers and by whether it holds or points at something."""
    bend = posed.angles.get(f"fingers_{side}.flexion", 0.0)
    if pointing:
        return named_hand("pointing")
    if holding:
        return named_hand("grip" if bend < FIST_BEND + 5 else "fist")
    if bend > FIST_BEND:
        return named_hand("fist")
    if bend > CURLED_BEND:
        return HandShape(np.broadcast_to(bend * np.array([0.8, 1.0, 0.5]), (4, 3)), 0.6)
    if bend < -EASY_BEND:
        return HandShape(np.broadcast_to(np.array([bend * 0.8, 0.0, 0.0]), (4, 3)), 0.0)
    return named_hand("resting" if bend > EASY_BEND else "flat")


def finger_name(finger: int, bone: int, side: str) -> str:
    """Return the name of a finger bone's piece and carrier."""
    return f"finger{finger}{bone}_{side}"


def _about_across(degrees: float) -> Array:
    """Return the turn about the frame's z axis, which bends a finger towards the palm."""
    c, s = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))
    return np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])


Carried = tuple[tuple[str, ...], Array, Array]
"""Names of bones with their frames (n, 3, 3) and origins (n, 3) in the frame of their hand."""


def hand_frames(
    hand: Array, wrist: Array, knuckle: Array, side: str, shape: HandShape
) -> dict[str, tuple[Array, Array]]:
    """Return frame and origin of every bone of fingers and thumb; each frame's y runs back along its bone."""
    found: dict[str, tuple[Array, Array]] = {}
    bends = tuple(map(tuple, shape.bends.tolist()))
    for at, (names, frames, origins) in (
        (knuckle, _fingers_in_hand(side, bends)),
        (wrist, _thumb_in_hand(side, float(shape.thumb))),
    ):
        found |= dict(zip(names, zip(hand @ frames, at + origins @ hand.T, strict=True), strict=True))
    return found


@lru_cache(maxsize=64)
def _fingers_in_hand(side: str, bends: tuple[tuple[float, ...], ...]) -> Carried:
    """Return the bones of bent fingers, measured from the middle knuckle."""
    out = 1.0 if side == "right" else -1.0
    names, frames, origins = [], [], []
    for i, finger in enumerate(fingers()):
        at, frame = np.array([0.0, 0.003, finger.across * out]), np.eye(3)
        for j, share in enumerate(bone_shares()):
            frame = frame @ _about_across(bends[i][j])
            names.append(finger_name(i, j, side))
            frames.append(frame)
            origins.append(at)
            at = at - frame[:, 1] * finger.length * share
    return tuple(names), np.array(frames), np.array(origins)


@lru_cache(maxsize=64)
def _thumb_in_hand(side: str, across_palm: float) -> Carried:
    """Return the bones of a thumb so far across the palm (0-1), measured from the wrist."""
    data = surface_data()["thumb"]
    flip = np.array([1.0, 1.0, 1.0 if side == "right" else -1.0])
    apart, across = np.array(data["apart"], dtype=float), np.array(data["across"], dtype=float)
    joints = ((1 - across_palm) * apart + across_palm * across) * flip
    names, frames, origins = [], [], []
    at = joints[0]
    for j, length in enumerate(data["lengths"]):
        way = joints[j + 1] - joints[j]
        up = -way / np.linalg.norm(way)
        third = np.cross(np.array([1.0, 0.0, 0.0]), up)
        third = third / np.linalg.norm(third)
        names.append(f"thumb{j}_{side}")
        frames.append(np.column_stack([np.cross(up, third), up, third]))
        origins.append(at)
        at = at - up * length
    return tuple(names), np.array(frames), np.array(origins)
