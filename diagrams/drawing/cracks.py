"""Where lines lie: the borders between neighbouring pixels that carry ink or part two colours.

A crack carries ink when one side is empty (outline), when the depths, each carried on to the crack, differ by more
than a jump (inner outline), when two zones of the surface meet there in a sharp hollow fold, or when the material
changes (hem). Its owner is the limb of the nearer side.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from limberleaf.diagrams.body.skeleton import Array
from limberleaf.diagrams.surface.buffers import Buffers, Ints, Numbers
from limberleaf.diagrams.surface.mesh import mesh, piece_table
from limberleaf.diagrams.surface.pieces import ARM_ZONE, SLEEVE_ZONE

Small = NDArray[np.int8]


class Kind(IntEnum):
    """What a line shows; the stronger one goes on where lines of one limb meet."""

    NONE = 0
    HEM = 1
    FOLD = 2
    INNER = 3
    OUTER = 4


JUMP = 2.25
"""Step of depth (units) that makes a line: 0.75 % of the body's height."""
FINE_JUMP = 1.5
SHIRT_JUMP = 4.05
"""Between pieces of the shirt, which lie close and move against each other."""
HEM_JUMP = 5.0
FOLD_COSINE = float(np.cos(np.radians(62)))
NEAR_RINGS, NEAR_PLACES = 2, 3
"""How far apart two quads of one piece may be and count as neighbours."""
LEAST_FACING = 0.12
"""A surface seen edge-on would carry its depth on without end; it is taken as facing the eye at least this much."""


@dataclass
class Labels:
    """What is seen at each pixel (h, w): piece (-1 none), limb, material, and the number of its fill colour."""

    piece: NDArray[np.int16]
    limb: Small
    material: Small
    paint: Small


@cache
def _by_quad() -> tuple[NDArray[np.int16], Small, Small]:
    """Return piece and limb of a quad, and material of a quad and its second bit; the last row is of no quad."""
    table, piece = piece_table(), mesh().piece
    none = np.full(1, -1, dtype=np.int8)
    return (
        np.append(piece.astype(np.int16), none.astype(np.int16)),
        np.append(table.limb[piece], none),
        np.append(table.materials[piece].reshape(-1), np.repeat(none, 2)),
    )


def labels_of(b: Buffers) -> Labels:
    """Return what is seen at each pixel; no colours yet."""
    pieces, limbs, materials = _by_quad()
    quad = np.where(b.quad < 0, len(pieces) - 1, b.quad)
    limb = limbs.take(quad)
    return Labels(pieces.take(quad), limb, materials.take(quad * 2 + b.second), np.zeros_like(limb))


@dataclass(frozen=True)
class Cracks:
    """Cracks as rows (n,): both lattice corners, kind, owner, whether fine, and the colours of both sides."""

    start: Ints
    end: Ints
    kind: Ints
    owner: Ints
    fine: NDArray[np.bool_]
    one: Ints
    two: Ints
    across: int
    """Lattice corners in a row."""


@dataclass(frozen=True)
class _Sides:
    """Everything about both sides of candidate cracks."""

    quad: tuple[Numbers, Numbers]
    piece: tuple[NDArray[np.int16], NDArray[np.int16]]
    depth: tuple[Array, Array]
    material: tuple[Small, Small]
    paint: tuple[Small, Small]
    near: NDArray[np.bool_]
    """Whether both sides are near on one piece, where a step of depth is only a steep surface."""


def find_cracks(b: Buffers, seen: Labels) -> Cracks:
    """Return all cracks that carry ink or part two colours."""
    w = b.quad.shape[1]
    across = w + 1
    rows = []
    for upright in (False, True):
        here, there, near = _candidates(b.quad, seen, upright=upright)
        y, x = np.divmod(here, w)

        def both(raster: NDArray[np.generic], here: Ints = here, there: Ints = there) -> tuple[Any, Any]:
            flat = raster.reshape(-1)
            return flat.take(here), flat.take(there)

        sides = _Sides(both(b.quad), both(seen.piece), both(b.z), both(seen.material), both(seen.paint), near)
        kind, owner, fine = _judged(b, sides, 0 if upright else 1)
        keep = np.flatnonzero((kind > 0) | (sides.paint[0] != sides.paint[1]))
        start = y * across + x + 1 if upright else (y + 1) * across + x
        end = (y + 1) * across + x + 1
        columns = (start, end, kind, owner, fine, *sides.paint)
        rows.append(np.array([column.take(keep) for column in columns], dtype=np.int64))
    start, end, kind, owner, fine, one, two = np.concatenate(rows, axis=1)
    return Cracks(start, end, kind, owner, fine.astype(bool), one, two, across)


@cache
def _places() -> tuple[Numbers, Numbers, Numbers]:
    """Return ring and place of each quad, and how many places go round its piece."""
    m = mesh()
    around = piece_table().around[m.piece]
    return m.ring.astype(np.int32), m.place.astype(np.int32), around.astype(np.int32)


def _candidates(quad: Numbers, seen: Labels, *, upright: bool) -> tuple[Ints, Ints, NDArray[np.bool_]]:
    """Return pixels (flat numbers) with the next one right or below where a line may lie, and whether both are near.

    Neighbours on one piece with one material and one colour never part, so they are left out at once.
    """
    w = quad.shape[1]
    step = 1 if upright else w
    flat = quad.reshape(-1)
    piece, material, paint = (a.reshape(-1) for a in (seen.piece, seen.material, seen.paint))
    here = np.flatnonzero((flat[:-step] != flat[step:]) | (material[:-step] != material[step:]))
    if upright:
        here = here[here % w != w - 1]
    there = here + step
    one, two = flat.take(here), flat.take(there)
    ring, place, around = _places()
    apart = np.abs(place.take(one) - place.take(two))
    near = np.minimum(apart, around.take(one) - apart) <= NEAR_PLACES
    near &= np.abs(ring.take(one) - ring.take(two)) <= NEAR_RINGS
    near &= piece.take(here) == piece.take(there)
    part = ~near | (material.take(here) != material.take(there)) | (paint.take(here) != paint.take(there))
    chosen = np.flatnonzero(part)
    return here.take(chosen), there.take(chosen), near.take(chosen)


def _judged(b: Buffers, sides: _Sides, k: int) -> tuple[NDArray[Any], Small, NDArray[np.bool_]]:
    """Return kind, owner and fineness of candidate cracks; `k` is the axis that runs across them."""
    table, px = piece_table(), b.px
    (qa, qb), (pa, pb), (za, zb), (ma, mb) = sides.quad, sides.piece, sides.depth, sides.material
    na, nb = b.normal[qa], b.normal[qb]
    outer = (qa < 0) != (qb < 0)
    slope = 0.5 * (
        np.clip(-na[:, k] / np.maximum(na[:, 2], LEAST_FACING), -8, 8)
        + np.clip(-nb[:, k] / np.maximum(nb[:, 2], LEAST_FACING), -8, 8)
    )
    plain = np.abs(za - zb)
    jump = np.minimum(np.abs(za + slope - zb), plain)
    thing = (pa > table.furniture) | (pb > table.furniture)
    block = (pa == table.furniture) | (pb == table.furniture)
    inner = ~outer & ~sides.near & (jump > _least_jump(sides) * px)
    inner |= ~outer & (pa != pb) & (thing | block)
    fold = ~outer & ~inner & _folds(na, nb, sides, k)
    outer &= ~block  # furniture has its own outline where no body is
    hem = ~outer & (ma != mb) & (jump < HEM_JUMP * px) & ~thing & ~block
    kind = np.select([outer, hem, inner, fold], [Kind.OUTER, Kind.HEM, Kind.INNER, Kind.FOLD], Kind.NONE)
    front = np.where((qb < 0) | ((za >= zb) & (qa >= 0)), pa, pb)
    back = np.where(front == pa, pb, pa)
    inside = (table.fine[back] & (back >= 0)) | (table.limb[front] == table.limb[back])
    fine = table.fine[front] & (kind < Kind.OUTER) & inside
    return kind, table.limb[front], fine


def _least_jump(sides: _Sides) -> Array:
    table = piece_table()
    pa, pb = sides.piece
    shirt = np.where(table.sleeve[pa] != table.sleeve[pb], FINE_JUMP, SHIRT_JUMP)
    plain = np.where(table.core[pa] & table.core[pb], shirt, JUMP)
    return np.where(table.fine[pa] & table.fine[pb], FINE_JUMP, plain)


def _folds(na: Array, nb: Array, sides: _Sides, k: int) -> NDArray[np.bool_]:
    """Whether normals turn sharply against each other towards the crack, where two zones meet."""
    table = piece_table()
    pa, pb = sides.piece
    zone = table.zone.astype(np.int64)
    cosine = na[:, 0] * nb[:, 0] + na[:, 1] * nb[:, 1] + na[:, 2] * nb[:, 2]
    fold = (zone[pa] != zone[pb]) & (cosine < FOLD_COSINE) & (na[:, k] - nb[:, k] > 0.05)
    legs = (zone[pa] != zone[pb]) & (zone[pa] > SLEEVE_ZONE) & (zone[pb] > SLEEVE_ZONE)
    legs &= (zone[pa] < ARM_ZONE) & (zone[pb] < ARM_ZONE)
    sleeve = (table.sleeve[pa] & table.trunk[pb]) | (table.sleeve[pb] & table.trunk[pa])
    return np.asarray(fold & (~(table.core[pa] & table.core[pb]) | legs | sleeve))
