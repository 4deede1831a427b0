"""Limbs as capsules, and which of them pass through each other."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

import numpy as np

from diagrams.body import Array, skeleton
from diagrams.kinematics import Kinematics, forward
from diagrams.solved import SolvedPose

_LIMIT = 0.014  # H; muscle gives about 2 cm
# Segment, start and end in its frame, radius: slimmer than life, so that only true passing through is told.
_CAPSULES: tuple[tuple[str, tuple[float, float, float], tuple[float, float, float], float, bool], ...] = (
    ("upper_arm", (0, -0.06, 0), (0, -0.16, 0), 0.020, True),
    ("forearm", (0, -0.01, 0), (0, -0.15, 0), 0.017, True),
    ("hand", (0, -0.01, 0), (0, -0.055, 0), 0.012, True),
    ("thigh", (0, -0.09, 0), (0, -0.23, 0), 0.035, True),
    ("shank", (0, -0.02, 0), (0, -0.24, 0), 0.024, True),
    ("foot", (-0.02, -0.025, 0), (0.075, -0.03, 0), 0.010, True),
    ("pelvis", (0, 0.0, 0), (0, 0.05, 0), 0.045, False),
    ("lumbar", (0, 0.0, 0), (0, 0.055, 0), 0.045, False),
    ("thorax", (0, -0.05, 0), (0, 0.03, 0), 0.045, False),
    ("head", (0.004, 0.015, 0), (0.004, 0.035, 0), 0.058, False),
)


@cache
def _table() -> tuple[list[str], Array, Array, Array, list[tuple[int, int]]]:
    """Return segment names, starts, ends, radii, and the pairs that are not neighbours."""
    names: list[str] = []
    starts, ends, radii = [], [], []
    for name, start, end, radius, paired in _CAPSULES:
        for side in ("left", "right") if paired else ("",):
            names.append(f"{name}_{side}" if side else name)
            starts.append(start)
            ends.append(end)
            radii.append(radius)
    body = skeleton()
    above = body.above
    pairs = []
    for i, one in enumerate(names):
        for j in range(i + 1, len(names)):
            a, b = body.segment(one), body.segment(names[j])
            steps = abs(int(above[a].sum() - above[b].sum()))
            chained = bool(above[a, b] or above[b, a])
            trunk_pair = {one, names[j]} <= {"pelvis", "lumbar", "thorax", "head"}
            hips = {one, names[j]} in ({"thigh_left", "thigh_right"},)
            near_hip = {one.split("_")[0], names[j].split("_")[0]} in (
                {"thigh", "pelvis"},
                {"thigh", "lumbar"},
            )
            if (
                (chained and steps <= 1)
                or trunk_pair
                or hips
                or near_hip
                or (
                    {"hand", "forearm"}
                    == {
                        one.split("_")[0],
                        names[j].split("_")[0],
                    }
                    and chained
                )
            ):
                continue
            pairs.append((i, j))
    return names, np.array(starts, dtype=float), np.array(ends, dtype=float), np.array(radii), pairs


def segment_distance(p1: Array, q1: Array, p2: Array, q2: Array) -> Array:
    """Return the distances between line segments, (k,), from ends (k, 3); closest points, clamped."""
    d1, d2, r = q1 - p1, q2 - p2, p1 - p2
    a, e = (d1 * d1).sum(1), (d2 * d2).sum(1)
    b, c, f = (d1 * d2).sum(1), (d1 * r).sum(1), (d2 * r).sum(1)
    divisor = a * e - b * b
    s = np.clip(np.where(divisor > 1e-12, (b * f - c * e) / np.maximum(divisor, 1e-12), 0.0), 0, 1)
    t = np.clip((b * s + f) / np.maximum(e, 1e-12), 0, 1)
    s = np.clip((b * t - c) / np.maximum(a, 1e-12), 0, 1)
    gap = (p1 + s[:, None] * d1) - (p2 + t[:, None] * d2)
    out: Array = np.sqrt((gap * gap).sum(1))
    return out


@dataclass(frozen=True)
class Crossing:
    """Two segments that come too near: numbers, nearest places in their frames, the way apart and the gap wanted."""

    near: int
    near_at: Array
    far: int
    far_at: Array
    way: Array
    apart: float
    gap: float  # now; negative while they overlap
    names: tuple[str, str]


def crossings(kin: Kinematics, near: float) -> list[Crossing]:
    """Return all pairs of segments nearer than `near` (H), with the way apart; arms leave a trunk forwards."""
    names, starts, ends, radii, pairs = _table()
    numbers = np.array([skeleton().segment(name) for name in names])
    rotation, origin = kin.rotation[numbers], kin.origin[numbers]
    begin = origin + np.einsum("kij,kj->ki", rotation, starts)
    finish = origin + np.einsum("kij,kj->ki", rotation, ends)
    one, two = np.array(pairs).T
    gap = segment_distance(begin[one], finish[one], begin[two], finish[two]) - radii[one] - radii[two]
    out = []
    for k in np.flatnonzero(gap < near):
        i, j = int(one[k]), int(two[k])
        s, t = _nearest(begin[i], finish[i], begin[j], finish[j])
        here, there = begin[i] + s * (finish[i] - begin[i]), begin[j] + t * (finish[j] - begin[j])
        way = here - there
        if names[j] in ("pelvis", "lumbar", "thorax", "head") and not names[i].startswith("upper_arm"):
            front = kin.rotation[numbers[j]][:, 0]
            way = front if (here - there) @ front > -0.03 else -front
        elif float(np.linalg.norm(way)) < 0.6 * float(radii[i] + radii[j]):
            # Crossed limbs: past each other at a right angle to both, the right one in front.
            way = np.cross(finish[i] - begin[i], finish[j] - begin[j])
            front = kin.rotation[skeleton().segment("thorax")][:, 0]
            way = way if (way @ front) * (1.0 if names[i].endswith("_right") else -1.0) > 0 else -way
        length = float(np.linalg.norm(way))
        if length < 1e-9:
            continue
        out.append(
            Crossing(
                int(numbers[i]),
                rotation[i].T @ (here - origin[i]),
                int(numbers[j]),
                rotation[j].T @ (there - origin[j]),
                way / length,
                float(radii[i] + radii[j]),
                float(gap[k]),
                (names[i], names[j]),
            )
        )
    return out


def _nearest(p1: Array, q1: Array, p2: Array, q2: Array) -> tuple[float, float]:
    """Return how far along two line segments their nearest points lie (0 to 1)."""
    d1, d2, r = q1 - p1, q2 - p2, p1 - p2
    a, e, b, c, f = float(d1 @ d1), float(d2 @ d2), float(d1 @ d2), float(d1 @ r), float(d2 @ r)
    divisor = a * e - b * b
    s = min(max((b * f - c * e) / divisor, 0.0), 1.0) if divisor > 1e-12 else 0.0
    t = min(max((b * s + f) / max(e, 1e-12), 0.0), 1.0)
    s = min(max((b * t - c) / max(a, 1e-12), 0.0), 1.0)
    return s, t


def overlaps(pose: SolvedPose) -> Iterator[tuple[str, str, float]]:
    """Yield pairs of segments that pass through each other, with the depth in H beyond what flesh gives."""
    names, starts, ends, radii, pairs = _table()
    kin = forward(pose.posed.q, pose.posed.base)
    numbers = [skeleton().segment(name) for name in names]
    rotation, origin = kin.rotation[numbers], kin.origin[numbers]
    begin = origin + np.einsum("kij,kj->ki", rotation, starts)
    finish = origin + np.einsum("kij,kj->ki", rotation, ends)
    one, two = np.array(pairs).T
    gap = segment_distance(begin[one], finish[one], begin[two], finish[two]) - radii[one] - radii[two]
    for k in np.flatnonzero(gap < -_LIMIT):
        yield names[one[k]], names[two[k]], float(-gap[k])
