"""Trunk, neck and head as pieces of the surface, and the shoulders and hips that join the limbs to them."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from limberleaf.diagrams.adults import girth_at, neck_girth, trunk_girths
from limberleaf.diagrams.body.skeleton import SIDES, Array, load_data
from limberleaf.diagrams.surface.grids import ball, capped, resampled, rings, tube
from limberleaf.diagrams.surface.materials import HAIR, SHIRT, SHORTS, SKIN
from limberleaf.diagrams.surface.pieces import EAR_ZONE, HAIR_ZONE, HEAD_ZONE, TRUNK_ZONE, Add

SPINE = "spine"
"""Carrier of the trunk: each ring is blended between the two spine frames whose joints it lies between."""
SHIRT_ONLY = (SHIRT, SHIRT)


def _upright(rows: Array, forward_shift: Array | float = 0.0) -> Array:
    return np.column_stack([np.zeros(len(rows)) + forward_shift, rows[:, 0], np.zeros(len(rows))])


def add_trunk(add: Add) -> None:
    """Add trunk and neck."""
    data = load_data("surface")
    rows = resampled(data["trunk"], 30)
    heights, factors = trunk_girths()
    back, front, aside = (
        rows[:, k] * np.interp(rows[:, 0], heights, factors[name])
        for k, name in enumerate(("back", "front", "side"), 1)
    )
    trunk = capped(rings(_upright(rows), (back, front), aside, 2.35), 0.3, 0.3)
    add(
        "trunk",
        "core",
        trunk,
        SPINE,
        materials=(SHIRT, SHORTS),
        cloth=trunk[..., 1] - data["waist"],
        zone=TRUNK_ZONE,
    )
    rows = resampled(data["neck"], 10)
    neck = rings(_upright(rows, rows[:, 3] - 0.002), rows[:, 1] * neck_girth(), rows[:, 2] * neck_girth())
    share = np.clip((rows[:, 0] - 0.858) / 0.05, 0, 1)[:, None]
    collar = 0.868 - 0.62 * np.clip(neck[..., 0], -0.03, 1)
    add(
        "neck",
        "core",
        neck,
        "thorax",
        "head",
        weight=share,
        materials=(SHIRT, SKIN),
        cloth=collar - neck[..., 1],
        zone=TRUNK_ZONE,
    )


def add_head(add: Add, centre: Array) -> None:
    """Add skull, hair and face; one head for all views."""
    data = load_data("surface")
    rows = resampled(data["head"], 22)
    skull = rings(_upright(rows), (rows[:, 2], rows[:, 1]), rows[:, 3], 2.15)
    add("head", "head", centre + skull, "head", zone=HEAD_ZONE)
    line = np.array(data["hairline"], dtype=float)
    height = np.interp(skull[..., 0] / 0.06, line[:, 0], line[:, 1])
    lift = np.clip((skull[..., 1] - height) / 0.010, -1, 1) * 0.0065
    way = skull / np.linalg.norm(skull + 1e-9, axis=2, keepdims=True)
    add(
        "hair", "hair", centre + skull + way * lift[..., None], "head", materials=(HAIR, HAIR), zone=HAIR_ZONE
    )
    nose = tube(
        np.array([0.050, 0.004, 0]),
        np.array([0.0625, -0.0185, 0]),
        [0.0045, 0.0058],
        flat=(1, 0.95),
        count=4,
    )
    base = tube(
        np.array([0.047, -0.0225, 0]),
        np.array([0.0600, -0.0200, 0]),
        [0.0062, 0.0055],
        flat=(0.75, 1.25),
        count=4,
        normal=(0, 1, 0),
    )
    lips = ball(np.array([0.0465, -0.0375, 0]), (0.0060, 0.0068, 0.012), 7)
    chin = ball(np.array([0.0400, -0.0545, 0]), (0.0095, 0.0090, 0.0130), 7)
    for name, grid in (("nose", nose), ("nostrils", base), ("lips", lips), ("chin", chin)):
        add(name, "head", centre + grid, "head", fine=True, zone=HEAD_ZONE)
    for side in SIDES:
        flip = np.array([1, 1, 1.0 if side == "right" else -1.0])
        ear = ball(np.array([-0.005, -0.009, 0.0490]) * flip, (0.0105, 0.0165, 0.0075), 8)
        add(f"ear_{side}", "head", centre + ear, "head", fine=True, zone=EAR_ZONE)


_ARMPIT = (
    ("pec", (0.034, 0.772, 0.035), (0.010, -0.052, 0.0)),
    ("lat", (-0.030, 0.735, 0.050), (-0.010, -0.056, 0.0)),
)
"""The folds of the armpit, before and behind: where they leave the chest and where they reach the arm."""


def add_shoulder(add: Add, points: Mapping[str, Array], side: str) -> None:
    """Add the trapezius, a deltoid that follows half of the arm's turn, and the folds of the armpit, which stretch."""
    out = 1.0 if side == "right" else -1.0
    flip = np.array([1, 1, out])
    shoulder, arm = points[f"shoulder_{side}"], girth_at("upper_arm")
    yoke = tube(
        np.array([-0.008, 0.850, 0.018]) * flip,
        shoulder + np.array([0, 0.001, -0.004]) * flip,
        [0.026, 0.0205, 0.0285 * arm],
    )
    add(
        f"yoke_{side}",
        "core",
        yoke,
        "thorax",
        f"acromion_{side}",
        weight=np.clip(abs(yoke[..., 2]) / 0.095, 0, 1),
        materials=SHIRT_ONLY,
        zone=TRUNK_ZONE,
    )
    deltoid = ball(shoulder + np.array([0, -0.012, 0.003]) * flip, (0.0335 * arm, 0.042, 0.0315 * arm), 10)
    add(f"deltoid_{side}", "core", deltoid, f"half_arm_{side}", materials=SHIRT_ONLY, zone=TRUNK_ZONE)
    for name, low, high in _ARMPIT:
        start, end = np.array(low) * flip, shoulder + np.array(high) * flip
        fold = tube(start, end, [0.026, 0.022, 0.017], flat=(0.8, 1.5), count=8)
        share = np.clip(((fold - start) @ (end - start)) / ((end - start) @ (end - start)), 0, 1)
        add(
            f"{name}_{side}",
            "core",
            fold,
            "thorax",
            f"upper_arm_{side}",
            weight=share,
            materials=SHIRT_ONLY,
            zone=TRUNK_ZONE,
        )


def add_buttock(add: Add, points: Mapping[str, Array], side: str) -> None:
    """Add the ball of hip and buttock, which follows half of the thigh's turn."""
    flip = np.array([1, 1, 1.0 if side == "right" else -1.0])
    thigh = girth_at("thigh")
    axes = (0.0425 * thigh, 0.048, 0.0455 * thigh)
    grid = ball(points[f"hip_{side}"] + np.array([-0.014, -0.014, 0.0]) * flip, axes, 11)
    add(f"buttock_{side}", "core", grid, f"half_leg_{side}", materials=(SHORTS, SHORTS), zone=TRUNK_ZONE)
