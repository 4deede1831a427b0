"""Where everything is for given joint angles, and how it moves with each of them.

1. `forward()` places every segment. A segment's own turn is a product of up to three hinge turns, and so a sum of
   products of their sines and cosines with fixed matrices: one small product for all segments together. The arms swing
   by a rotation vector instead. Chains are then multiplied by doubling: ancestors 1, 2, 4 ... steps up.
2. `Kinematics` holds the frames. Hinge axes are worked out only when something asks how it moves: most guesses of the
   solver never do.
3. A hinge is a screw (axis, moment about the world's origin), a residual along a direction at a point is a wrench;
   their product is how fast the residual changes with the hinge (Featherstone, Rigid Body Dynamics Algorithms, ch. 2).
4. `posed()` gives the body that others read.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache, cached_property

import numpy as np
from numpy.typing import NDArray

from limberleaf.diagrams.adults import per_build
from limberleaf.diagrams.body.skeleton import ROOT_MOTIONS, Array, Posed, Vec3, mass_centre, neutral, skeleton

_IDENTITY = np.eye(3)
# (3, 9): a place times this is the matrix that crosses a row with it, row x place
_CROSS_MATRICES = np.zeros((3, 9))
for _row, _column, _axis, _sign in (
    (0, 1, 2, -1),
    (0, 2, 1, 1),
    (1, 0, 2, 1),
    (1, 2, 0, -1),
    (2, 0, 1, -1),
    (2, 1, 0, 1),
):
    _CROSS_MATRICES[_axis, 3 * _row + _column] = _sign


def cross_matrices(places: Array) -> Array:
    """Return matrices (k, 3, 3) so that `matrix @ v` is `place x v` and `v @ matrix` is `v x place`."""
    out: Array = (places @ _CROSS_MATRICES).reshape(-1, 3, 3)
    return out


@dataclass(frozen=True)
class _Tables:
    """What `forward` multiplies, built once. Nodes: the n segments, the world, and the frame the pelvis turns in."""

    mix: Array  # (3 (n + 2), m) hinge angles from motions: first hinges of all nodes, then second, then third ones
    zero: Array
    powers: Array  # (3, 3, n + 2) room for 1, sine, cosine of each hinge
    turn: Array  # (n + 2, 16, 27) frame in the parent from the products of three hinges' 1, sine, cosine
    axis: Array  # (n, 9, 9) three hinge axes in the parent from the products of two hinges
    swing: slice  # the segments turned by a rotation vector
    swing_at: NDArray[np.intp]  # its x and z for each of them, as numbers of hinges, and their signs
    swing_sign: Array
    swing_way: Array  # (2, 3, 1) signs of their axes: about z, about x, about the arm
    jumps: tuple[NDArray[np.intp], ...]  # ancestor 1, 2, 4 ... steps up, (n + 2,)


@dataclass(frozen=True)
class _Slots:
    """The hinges that move something, s of them; the last three are the root's place."""

    used: NDArray[np.intp]  # numbers among the 3 (n + 1) hinge slots
    carried: Array  # (n, s) 1 where the slot moves the segment
    mix: Array  # (s, m) slots from motions


def _hinge_powers(axis: Array) -> Array:
    """Return a hinge's turn as matrices (3, 3, 3) for 1, its sine and its cosine (Rodrigues)."""
    k = cross_matrices(axis[None])[0]
    return np.array([_IDENTITY + k @ k, k, -k @ k])


@per_build
def _tables() -> _Tables:
    body = skeleton()
    n = len(body.segments)
    powers = np.array([[_hinge_powers(axis) for axis in three] for three in body.axes])  # (n, 3, 3, 3, 3)
    swing = slice(body.swing[0], body.swing[-1] + 1)
    powers[swing, :2] = 0.0
    powers[swing, :2, 0] = _IDENTITY
    turn = np.zeros((n + 2, 4, 4, 27))
    turn[:, range(4), range(4), 0] = 1.0
    turn[:n, :3, 3, 0] = body.offsets
    turn[0, :3, 3] = 0.0  # the pelvis lies in its frame's origin
    turn[:n, :3, :3] = np.einsum("naij,nbjk,nckl->nilabc", *powers.transpose(1, 0, 2, 3, 4)).reshape(
        n, 3, 3, 27
    )
    axis = np.zeros((n, 3, 3, 3, 3))
    axis[:, 0, :, 0, 0] = body.axes[:, 0]
    axis[:, 1, :, :, 0] = np.einsum("naij,nj->nia", powers[:, 0], body.axes[:, 1])
    axis[:, 2] = np.einsum("naij,nbjk,nk->niab", powers[:, 0], powers[:, 1], body.axes[:, 2])
    parents = [n + 1 if parent < 0 else parent for parent in body.parents]
    jumps = [np.array([*parents, n, n])]
    while (jumps[-1] != n).any():
        jumps.append(jumps[-1][jumps[-1]])
    by_hinge = np.concatenate([np.arange(3 * n).reshape(n, 3), np.full((2, 3), 3 * n)]).T.ravel()
    return _Tables(
        mix=np.vstack([body.mix, np.zeros(len(body.motions))])[by_hinge],
        zero=np.append(body.zero, 0.0)[by_hinge],
        powers=np.ones((3, 3, n + 2)),
        turn=turn.reshape(n + 2, 16, 27),
        axis=axis.reshape(n, 9, 9),
        swing=swing,
        swing_at=np.array([slot * (n + 2) + i for i in body.swing for slot in (1, 0)]),
        swing_sign=np.array([body.axes[i, slot, at] for i in body.swing for slot, at in ((1, 0), (0, 2))]),
        swing_way=body.axes[swing].sum(axis=2, keepdims=True),
        jumps=tuple(jumps[:-1]),
    )


@cache
def slots() -> _Slots:
    """Return the hinges that move something and the motions that turn them."""
    body = skeleton()
    n, m = len(body.segments), len(body.motions)
    moved = np.flatnonzero(np.abs(body.mix).sum(axis=1))
    root = np.arange(3)
    carried = np.hstack([np.repeat(body.above, 3, axis=1)[:, moved], np.ones((n, 3))])
    mix = np.vstack([body.mix[moved], np.eye(3, m)])
    return _Slots(np.concatenate([moved, 3 * n + root]), carried, mix)


@dataclass(frozen=True)
class Kinematics:
    """All frames for one vector of motions.

    `placed`: (n + 2, 4, 4) frames of the segments, of the world and of what the pelvis turns in. `pairs`: products of
    the first two hinges' sines and cosines; `swings`: x and z of the arms' rotation vectors, both for the hinge axes.
    """

    placed: Array
    pairs: Array
    swings: tuple[float, ...]

    @cached_property
    def rotation(self) -> Array:
        """Return the rotations of all segments, (n, 3, 3)."""
        return self.placed[:-2, :3, :3]

    @cached_property
    def origin(self) -> Array:
        """Return the origins of all segments, (n, 3)."""
        return self.placed[:-2, :3, 3]

    @cached_property
    def screws(self) -> Array:
        """Return the screw of every slot: axis, and moment about the world's origin, (s, 6); turns per radian, H."""
        tables = _tables()
        pairs = self.pairs.reshape(9, -1)[:, :-2].T.copy()
        axis = (tables.axis @ pairs[:, :, None]).reshape(-1, 3, 3)
        axis[tables.swing] = _swing_axes(self.swings)
        axis[tables.swing] *= tables.swing_way
        carrying = self.placed.take(tables.jumps[0][:-2], 0)[:, :3, :3]
        out = np.zeros((len(axis) + 1, 3, 6))
        turning = np.matmul(axis, carrying.transpose(0, 2, 1), out=out[:-1, :, :3])
        np.matmul(turning, cross_matrices(-self.placed[:-2, :3, 3]), out=out[:-1, :, 3:])
        out[-1, :, 3:] = _IDENTITY
        return out.reshape(-1, 6).take(slots().used, 0)

    def place(self, segment: int, at: Array) -> Vec3:
        """Return the world place of a point given in a segment's frame."""
        out: Vec3 = self.origin[segment] + self.rotation[segment] @ at
        return out

    def places(self, segments: NDArray[np.intp], at: Array) -> Array:
        """Return the world places (k, 3) of points (k, 3) given in the frames of segments (k,)."""
        frames = self.placed.take(segments, 0)
        out: Array = (frames[:, :3, :3] @ at[:, :, None])[:, :, 0]
        out += frames[:, :3, 3]
        return out

    def named_points(self) -> Array:
        """Return the world places of all named points, (p, 3)."""
        body = skeleton()
        return self.places(body.point_segment, body.point_offset)

    def along(self, segments: NDArray[np.intp], moments: Array, directions: Array) -> Array:
        """Return how residuals `direction . place` at segments (k,) change with every slot, (k, s).

        `moments` (k, 3) are `place x direction`. The two products are kept apart, so that they cancel exactly where a
        body lies in a plane: a rounding error there would grow and let a limb fall to one side.
        """
        out: Array = moments @ self.screws[:, :3].T
        out += directions @ self.screws[:, 3:].T
        out *= slots().carried.take(segments, 0)
        return out


def _swing_matrices(swings: Sequence[float]) -> Array:
    """Return the rotations (k, 3, 3) of the vectors (x, 0, z), given one after the other; Rodrigues, written out."""
    out: list[float] = []
    for x, z in zip(swings[::2], swings[1::2], strict=True):
        square = x * x + z * z
        if square < 1e-8:
            s, c = 1.0 - square / 6, 0.5 - square / 24
        else:
            theta = math.sqrt(square)
            s, c = math.sin(theta) / theta, (1.0 - math.cos(theta)) / square
        a, b, d = c * x * z, s * z, s * x
        out += (1 - c * z * z, -b, a, b, 1 - c * square, -d, a, d, 1 - c * x * x)
    return np.array(out).reshape(-1, 3, 3)


def _swing_axes(swings: Sequence[float]) -> Array:
    """Return about what the same arms turn (k, 3, 3): per unit of z, of x (left Jacobian), and about themselves."""
    out: list[float] = []
    for x, z in zip(swings[::2], swings[1::2], strict=True):
        square = x * x + z * z
        if square < 1e-8:
            s, c, j = 1.0 - square / 6, 0.5 - square / 24, 1.0 / 6
        else:
            theta = math.sqrt(square)
            s, c = math.sin(theta) / theta, (1.0 - math.cos(theta)) / square
            j = (1.0 - s) / square
        out += (
            j * x * z,
            -c * x,
            1 - j * x * x,
            1 - j * z * z,
            c * z,
            j * x * z,
            -s * z,
            1 - c * square,
            s * x,
        )
    return np.array(out).reshape(-1, 3, 3)


def forward(q: Array, base: Array) -> Kinematics:
    """Return all frames for motions `q` (root place in H, the rest in radians) and a base orientation (3x3).

    `base` turns the upright body into lying, side lying and so on; the pelvis motions act inside it.
    """
    tables = _tables()
    angle = tables.mix @ q
    angle += tables.zero
    powers = tables.powers.copy()
    turns = angle.reshape(3, -1)
    np.sin(turns, out=powers[:, 1])
    np.cos(turns, out=powers[:, 2])
    pairs = powers[0, :, None] * powers[1]
    threes = (pairs[:, :, None] * powers[2]).reshape(27, -1).T.copy()
    placed = (tables.turn @ threes[:, :, None]).reshape(-1, 4, 4)
    swings = tuple((angle.take(tables.swing_at) * tables.swing_sign).tolist())
    arms = placed[tables.swing, :3, :3]
    arms[...] = _swing_matrices(swings) @ arms
    placed[-1, :3, :3] = base
    placed[-1, :3, 3] = q[:3]
    for ancestor in tables.jumps:
        placed = placed.take(ancestor, 0) @ placed
    return Kinematics(placed, pairs, swings)


def posed(q: Array, base: Array) -> Posed:
    """Return the body for motions `q` (see `forward`) as named points, frames and angles."""
    return posed_at(forward(q, base), q, base)


def posed_at(kin: Kinematics, q: Array, base: Array) -> Posed:
    """Return the body for motions `q` whose frames are known."""
    body = skeleton()
    points = kin.named_points()
    degrees = np.degrees(q)
    degrees[:3] = q[:3]
    return Posed(
        points=dict(zip(body.points, points, strict=True)),
        frames=dict(zip(body.segments, kin.rotation, strict=True)),
        angles=dict(zip(body.index, degrees.tolist(), strict=True)),
        mass_centre=mass_centre(points),
        base=base,
        q=q,
    )


def posed_from_angles(angles: Mapping[str, float], base: Array | None = None) -> Posed:
    """Return the body for angles in degrees by clinical name (root place in H); what is not named stays 0.

    Raises KeyError for an unknown motion name.
    """
    index = skeleton().index
    q = neutral()
    for name, value in angles.items():
        q[index[name]] = value if name in ROOT_MOTIONS else np.radians(value)
    return posed(q, np.eye(3) if base is None else base)
