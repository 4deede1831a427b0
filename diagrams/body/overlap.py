"""Limbs as capsules, and which of them pass through each other."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from limberleaf.diagrams.adults import per_build
from limberleaf.diagrams.body.girths import girth
from limberleaf.diagrams.body.kinematics import Kinematics
from limberleaf.diagrams.body.skeleton import Array, skeleton
from limberleaf.diagrams.body.vectors import cross, norm

# Segment, start and end in its frame, radius: slimmer than life, so that only true passing through is reported.
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


@dataclass(frozen=True)
class _Table:
    """The capsules, c of them, and the k pairs that are not neighbours."""

    names: tuple[str, ...]
    segments: NDArray[np.intp]  # (2 c,) numbers, for starts and for ends
    ends: Array  # (2 c, 3) starts, then ends, in their frames
    radii: Array  # (c,)
    one: NDArray[np.intp]  # (k,) capsules of the pairs
    two: NDArray[np.intp]
    thick: Array  # (k,) both radii
    reach: Array  # (k,) both radii and half lengths


@per_build
def _table() -> _Table:
    names: list[str] = []
    starts, ends, radii = [], [], []
    for name, start, end, radius, paired in _CAPSULES:
        for side in ("left", "right") if paired else ("",):
            names.append(f"{name}_{side}" if side else name)
            starts.append(start)
            ends.append(end)
            radii.append(radius * girth(name, (start[1] + end[1]) / 2))
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
    one, two = np.array(pairs).T
    thick = np.array(radii)
    half = np.linalg.norm(np.subtract(ends, starts), axis=1) / 2 + thick
    return _Table(
        tuple(names),
        np.array([body.segment(name) for name in names * 2]),
        np.array([*starts, *ends], dtype=float),
        thick,
        one,
        two,
        thick[one] + thick[two],
        half[one] + half[two],
    )


def segment_distance(p1: Array, q1: Array, p2: Array, q2: Array) -> Array:
    """Return the distances between line segments, (k,), from ends (k, 3); closest points, clamped."""
    d1, d2, r = q1 - p1, q2 - p2, p1 - p2
    ways = np.array((d1, d2, r))
    (a, b, c), (_, e, f), _ = np.einsum("aki,bki->abk", ways, ways)
    divisor = a * e - b * b
    s = _share(np.where(divisor > 1e-12, b * f - c * e, 0.0), divisor)
    t = _share(b * s + f, e)
    s = _share(b * t - c, a)
    gap = (p1 + s[:, None] * d1) - (p2 + t[:, None] * d2)
    out: Array = np.sqrt(np.einsum("ij,ij->i", gap, gap))
    return out


def _share(part: Array, whole: Array) -> Array:
    """Return part / whole kept from 0 to 1."""
    out: Array = np.minimum(np.maximum(part / np.maximum(whole, 1e-12), 0.0), 1.0)
    return out


def _near(kin: Kinematics, gap: float) -> Iterator[tuple[int, int, float, Array, Array]]:
    """Yield pairs of capsules nearer than a gap (H): their numbers, how near, and the ends of all, (c, 3) twice."""
    table = _table()
    ends = kin.places(table.segments, table.ends)
    begin, finish = ends[: len(table.names)], ends[len(table.names) :]
    middle = (begin + finish) / 2
    apart = middle.take(table.one, 0) - middle.take(table.two, 0)
    close = np.flatnonzero(
        np.einsum("ij,ij->i", apart, apart) < (table.reach + gap) ** 2
    )  # else surely further
    one, two = table.one[close], table.two[close]
    distance = segment_distance(begin[one], finish[one], begin[two], finish[two]) - table.thick[close]
    for k in np.flatnonzero(distance < gap):
        yield int(one[k]), int(two[k]), float(distance[k]), begin, finish


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
    names, numbers, radii = _table().names, _table().segments, _table().radii
    out = []
    for i, j, gap, begin, finish in _near(kin, near):
        s, t = _nearest(begin[i], finish[i], begin[j], finish[j])
        here, there = begin[i] + s * (finish[i] - begin[i]), begin[j] + t * (finish[j] - begin[j])
        way = here - there
        if names[j] in ("pelvis", "lumbar", "thorax", "head") and not names[i].startswith("upper_arm"):
            front = kin.rotation[numbers[j]][:, 0]
            way = front if (here - there) @ front > -0.03 else -front
        elif norm(way) < 0.6 * float(radii[i] + radii[j]):
            # Crossed limbs: past each other at a right angle to both, the right one in front.
            way = cross(finish[i] - begin[i], finish[j] - begin[j])
            front = kin.rotation[skeleton().segment("thorax")][:, 0]
            way = way if (way @ front) * (1.0 if names[i].endswith("_right") else -1.0) > 0 else -way
        length = norm(way)
        if length < 1e-9:
            continue
        out.append(
            Crossing(
                int(numbers[i]),
                kin.rotation[numbers[i]].T @ (here - kin.origin[numbers[i]]),
                int(numbers[j]),
                kin.rotation[numbers[j]].T @ (there - kin.origin[numbers[j]]),
                way / length,
                float(radii[i] + radii[j]),
                gap,
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


def overlaps(kin: Kinematics, limit: float) -> Iterator[tuple[str, str, float]]:
    """Yield pairs of segments that pass through each other, deeper than a limit (H), with the depth."""
    names = _table().names
    for i, j, gap, _, _ in _near(kin, -limit):
        yield names[i], names[j], -gap
