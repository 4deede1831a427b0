"""The neutral body: a tree of segments, its joints, and where everything is for given joint angles.

The story in order:

1. `data/segments.yml` gives the segments (where each joint sits in its parent), the named points that ride
   on them and the masses; `data/joints.yml` gives the clinical motions and the hinge each one turns.
2. `skeleton()` turns both into arrays once: three hinge slots per segment, a matrix from motions to hinge
   angles, and who carries whom.
3. `Posed` is a body in one pose as others read it: points, frames, angles by clinical name, mass centre.
   `kinematics.py` makes it, and all frames for a vector of motions.

World: units of stature H, X forward of a standing subject, Y up, Z to the subject's right, floor at y = 0.
Segment frames have columns x forward, y towards the proximal end, z right (ISB: Wu et al. 2002, 2005). A
hand's x is the palm. The shoulder is turned by a rotation vector in its transverse plane (flexion about z,
abduction about x) followed by the rotation about the arm, which has no singular position in the reachable
range; all other joints turn by hinges.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from limberleaf.diagrams.adults import outward, per_build
from limberleaf.diagrams.body.girths import girth
from limberleaf.diagrams.sides import SIDES, Side, load_data

__all__ = ["SIDES", "Side", "load_data"]  # of sides.py, asked for here too

Array = NDArray[np.float64]
Vec3 = NDArray[np.float64]
ROOT_MOTIONS = ("root.x", "root.y", "root.z")

# Orientation of the pelvis for each base position, as the world directions of forward, up and right.
# Lying on the back the feet point to +X; lying on a side the face looks along +X; prone and on all fours the
# head points to +X. The right side is towards +Z except when lying on a side.
BASES: Mapping[str, Array] = {
    "upright": np.eye(3),
    "supine": np.array([[0.0, -1, 0], [1, 0, 0], [0, 0, 1]]),
    "prone": np.array([[0.0, 1, 0], [-1, 0, 0], [0, 0, 1]]),
    "right_side": np.array([[1.0, 0, 0], [0, 0, -1], [0, 1, 0]]),
    "left_side": np.array([[1.0, 0, 0], [0, 0, 1], [0, -1, 0]]),
}


@dataclass(frozen=True)
class Motion:
    """One clinical motion, such as `knee_left.flexion`; angles in degrees, 0 = anatomical position."""

    name: str
    joint: str
    word: str
    opposite: str
    soft: tuple[float, float]
    hard: tuple[float, float]
    source: str
    loaded_soft: float | None = None
    loaded_hard: float | None = None


@dataclass(frozen=True)
class Skeleton:
    """The body as arrays; n segments, m motions (first three are the root's place), p named points."""

    segments: tuple[str, ...]
    parents: tuple[int, ...]
    offsets: Array  # (n, 3) joint place in the parent's frame
    axes: Array  # (n, 3, 3) hinge axes, 0 where a segment has fewer than three
    zero: Array  # (3 n,) hinge angle at motion 0, radians
    mix: Array  # (3 n, m) hinge angles from motions
    motions: tuple[Motion, ...]
    index: Mapping[str, int]
    swing: tuple[int, ...]  # segments turned by a rotation vector
    above: Array  # (n, n) 1 where the column's segment carries the row's
    points: tuple[str, ...]
    point_index: Mapping[str, int]
    point_segment: NDArray[np.intp]
    point_offset: Array  # (p, 3)
    radius: Mapping[str, float]
    girth: Mapping[str, float]  # the build's factor on the radius: more flesh gives way further
    mass_ends: tuple[tuple[int, int], ...]  # point numbers
    mass: Array
    mass_centre: Array

    def segment(self, name: str) -> int:
        """Return the number of a segment by name."""
        return self.segments.index(name)


def _sided(name: str, side: Side | None) -> str:
    return name if side is None else f"{name}_{side}"


def _mirror(vector: Array, side: Side | None) -> Array:
    """Return a place given for the right side, mirrored for the left."""
    return vector * np.array([1.0, 1.0, -1.0]) if side == "left" else vector


def _variants(row: Mapping[str, Any]) -> tuple[Side | None, ...]:
    return SIDES if row.get("paired") else (None,)


def _read_motions(rows: Mapping[str, Any]) -> list[tuple[Motion, Mapping[str, Any], Side | None]]:
    out: list[tuple[Motion, Mapping[str, Any], Side | None]] = []
    for key, row in rows.items():
        joint, word = key.split(".")
        for side in _variants(row):
            name = _sided(joint, side)
            motion = Motion(
                name=f"{name}.{word}",
                joint=name,
                word=word,
                opposite=row["opposite"],
                soft=(-float(row["opposite_soft"]), float(row["soft"])),
                hard=(-float(row["opposite_hard"]), float(row["hard"])),
                source=row["source"],
                loaded_soft=row.get("loaded_soft"),
                loaded_hard=row.get("loaded_hard"),
            )
            out.append((motion, row, side))
    return out


@per_build
def skeleton() -> Skeleton:
    """Return the neutral adult of the build that is worked on, read once from the data files."""
    body, joints = load_data("segments"), load_data("joints")
    names: list[str] = []
    parents: list[int] = []
    offsets: list[Array] = []
    for key, row in body["segments"].items():
        for side in _variants(row):
            parent = row["parent"]
            if parent is None:
                parents.append(-1)
            else:
                sided = f"{parent}_{side}" if side and f"{parent}_{side}" in names else parent
                parents.append(names.index(sided))
            names.append(_sided(key, side))
            offset = np.array(row["offset"], dtype=float)
            offset[2] += outward(key)
            offsets.append(_mirror(offset, side))

    count = len(names)
    read = _read_motions(joints["motions"])
    motions = [
        Motion(name, "root", name[-1], name[-1], (-9.0, 9.0), (-9.0, 9.0), "place") for name in ROOT_MOTIONS
    ]
    motions += [motion for motion, _, _ in read]
    axes = np.zeros((count, 3, 3))
    zero = np.zeros(3 * count)
    mix = np.zeros((3 * count, len(motions)))
    for column, (_, row, side) in enumerate(read, start=3):
        axis = np.array(row["axis"], dtype=float)
        if side == "left":
            axis = axis * np.array([-1.0, -1.0, 1.0])
        for hinge, share in row["hinges"].items():
            segment = names.index(_sided(hinge, side))
            axes[segment, row["slot"]] = axis
            zero[3 * segment + row["slot"]] = np.radians(row.get("zero", 0.0))
            mix[3 * segment + row["slot"], column] = share
        if counter := row.get("counter"):
            mix[3 * names.index(_sided(counter["segment"], side)) + counter["slot"], column] = counter[
                "share"
            ]
    above = np.eye(count)
    for i, parent in enumerate(parents):
        if parent >= 0:
            above[i] += above[parent]
    return _finish(body, names, parents, offsets, motions, (axes, zero, mix, above))


def _finish(
    body: Mapping[str, Any],
    names: list[str],
    parents: list[int],
    offsets: list[Array],
    motions: list[Motion],
    arrays: tuple[Array, Array, Array, Array],
) -> Skeleton:
    """Add points, masses and ancestor tables to the segment arrays."""
    axes, zero, mix, above = arrays
    points: list[str] = []
    carriers: list[int] = []
    places: list[Array] = []
    radius: dict[str, float] = {}
    girths: dict[str, float] = {}
    for key, row in body["points"].items():
        for side in _variants(row):
            points.append(_sided(key, side))
            carriers.append(names.index(_sided(row["on"], side) if side else row["on"]))
            places.append(_mirror(np.array(row["at"], dtype=float), side))
            girths[points[-1]] = girth(row["on"], row["at"][1])
            radius[points[-1]] = float(row["radius"]) * girths[points[-1]]
    ends: list[tuple[int, int]] = []
    mass: list[float] = []
    centre: list[float] = []
    for row in body["masses"].values():
        for side in _variants(row):
            ends.append((points.index(_sided(row["from"], side)), points.index(_sided(row["to"], side))))
            mass.append(sum(row["mass"]) / 2)
            centre.append(sum(row["centre"]) / 2)
    return Skeleton(
        segments=tuple(names),
        parents=tuple(parents),
        offsets=np.array(offsets),
        axes=axes,
        zero=zero,
        mix=mix,
        motions=tuple(motions),
        index={motion.name: i for i, motion in enumerate(motions)},
        swing=tuple(names.index(f"upper_arm_{side}") for side in SIDES),
        above=above,
        points=tuple(points),
        point_index={name: i for i, name in enumerate(points)},
        point_segment=np.array(carriers),
        point_offset=np.array(places),
        radius=radius,
        girth=girths,
        mass_ends=tuple(ends),
        mass=np.array(mass) / sum(mass),
        mass_centre=np.array(centre),
    )


@dataclass(frozen=True)
class Posed:
    """A body in one pose: what the drawing and the checks read.

    `points`: named places in H. `frames`: 3x3 per segment. `angles`: degrees by clinical name
    (`knee_left.flexion`; the opposite motion is negative), `root.x/y/z` in H. `mass_centre` in H.
    `base`: orientation of the upright body in the world. `q`: the motions as a vector (radians, H).
    """

    points: Mapping[str, Vec3]
    frames: Mapping[str, Array]
    angles: Mapping[str, float]
    mass_centre: Vec3
    base: Array
    q: Array


def segment_centre(near: Array, far: Array, share: Array | float) -> Array:
    """Return mass centres that lie a share of the way from the near ends to the far ends."""
    out: Array = near + np.asarray(share)[..., None] * (far - near)
    return out


def combined_centre(centres: Array, masses: Array) -> Array:
    """Return the common mass centre of parts, (k, d) places and (k,) masses."""
    out: Array = masses @ centres / masses.sum()
    return out


def mass_centre(points: Array) -> Vec3:
    """Return the whole-body mass centre (H) from all named points (p, 3)."""
    out: Vec3 = point_weights() @ points
    return out


@per_build
def point_weights() -> Array:
    """Return the weight of every named point in the whole-body mass centre, (p,)."""
    body = skeleton()
    # The centre of points that are the unit vectors: what each point counts for.
    own, ends = np.eye(len(body.points)), np.array(body.mass_ends)
    parts = segment_centre(own[ends[:, 0]], own[ends[:, 1]], body.mass_centre)
    return combined_centre(parts, body.mass)


def neutral() -> Array:
    """Return the motions of the anatomical position: standing, every angle 0, feet on the floor."""
    q = np.zeros(len(skeleton().motions))
    q[1] = skeleton().offsets[0, 1]
    return q
