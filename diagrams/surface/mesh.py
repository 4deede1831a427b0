"""All pieces as one mesh: static arrays, built once a process, and its vertices in a pose."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, cached_property

import numpy as np
from numpy.typing import NDArray

from limberleaf.diagrams.adults import per_build
from limberleaf.diagrams.body.skeleton import SIDES, Array, Posed
from limberleaf.diagrams.surface.carriers import EXACT, carriers, straight_and_flat
from limberleaf.diagrams.surface.core_pieces import SPINE, add_buttock, add_head, add_shoulder, add_trunk
from limberleaf.diagrams.surface.grids import volume
from limberleaf.diagrams.surface.hands import HandShape
from limberleaf.diagrams.surface.limb_pieces import add_arm, add_leg
from limberleaf.diagrams.surface.materials import EXTRA, FURNITURE, FURNITURE_LIMB, HELD, LIMBS
from limberleaf.diagrams.surface.pieces import Piece, collector, upright_body

Ints = NDArray[np.int64]

SPINE_FRAMES = ("pelvis", "lumbar_low", "lumbar", "thorax_low", "thorax_mid", "thorax")


@per_build
def pieces() -> tuple[Piece, ...]:
    """Return the pieces of the body in the neutral pose."""
    points = upright_body().points
    body: list[Piece] = []
    add = collector(body)
    add_trunk(add)
    add_head(add, points["head_centre"])
    for side in SIDES:
        add_shoulder(add, points, side)
        add_arm(add, points, side)
        add_buttock(add, points, side)
        add_leg(add, points, side)
    return tuple(body)


@dataclass(frozen=True)
class Mesh:
    """Static arrays: v vertices, q quads, e edges; the last `EXTRA` rows of the quads' tables are what is no body.

    `local` (v, 2, 3): places in the frames of both carriers. `carrier` (v, 2), `weight` (v, 1) of the second.
    `cloth` (v,). `quads` (q, 4) vertices. `piece`, `ring`, `place` (q + EXTRA,) say where a quad lies. `first` (p,):
    first vertex of each piece. `mixed`: vertices on two carriers. `edges` (e, 4): two quads and the edge's ends.
    """

    local: Array
    carrier: Ints
    weight: Array
    cloth: Array
    quads: Ints
    piece: Ints
    ring: Ints
    place: Ints
    names: tuple[str, ...]
    first: Ints
    mixed: Ints
    edges: Ints

    @cached_property
    def edge_columns(self) -> tuple[Ints, Ints, Ints, Ints]:
        """Return the columns of `edges` one by one: two quads, start and end."""
        one, two, start, end = np.ascontiguousarray(self.edges.T)
        return one, two, start, end


def _spine_weights(heights: Array, number: Mapping[str, int], joints: Array) -> tuple[Ints, Array]:
    """Half way between two joints a ring turns with the frame below; at a joint with the mean of both."""
    middles = (joints[:-1] + joints[1:]) / 2
    at = np.interp(heights, np.append(middles, joints[-1] + 0.028), np.arange(len(SPINE_FRAMES)))
    low = np.minimum(at.astype(np.int64), len(SPINE_FRAMES) - 2)
    numbers = np.array([number[name] for name in SPINE_FRAMES])
    return np.column_stack([numbers[low], numbers[low + 1]]), (at - low)[:, None]


@per_build
def mesh() -> Mesh:
    """Return the mesh of the body."""
    found = carriers(upright_body(), straight_and_flat())
    names = tuple(found)
    number = {name: i for i, name in enumerate(names)}
    frames, origins = (np.array([found[name][k] for name in names]) for k in (0, 1))
    joints = np.array([found[name][1][1] for name in SPINE_FRAMES])
    vertices = [_hung(p, number, frames, origins, joints) for p in pieces()]
    counts = [p.points.shape[:2] for p in pieces()]
    first = np.cumsum([0, *(r * a for r, a in counts[:-1])])
    quad_first = np.cumsum([0, *((r - 1) * a for r, a in counts[:-1])])
    grids = [_grid(p, int(v), int(q)) for p, v, q in zip(pieces(), first, quad_first, strict=True)]
    extra = np.zeros(EXTRA, dtype=np.int64)
    weight = np.concatenate([row[2] for row in vertices])
    return Mesh(
        local=np.concatenate([row[0] for row in vertices]),
        carrier=np.concatenate([row[1] for row in vertices]),
        weight=weight,
        cloth=np.concatenate([p.cloth.reshape(-1) for p in pieces()]),
        quads=np.concatenate([g.quads for g in grids]),
        piece=np.concatenate(
            [
                np.repeat(np.arange(len(counts)), [(r - 1) * a for r, a in counts]),
                len(counts) + np.arange(EXTRA),
            ]
        ),
        ring=np.concatenate([*(g.ring for g in grids), extra]),
        place=np.concatenate([*(g.place for g in grids), extra]),
        names=names,
        first=first,
        mixed=np.flatnonzero(weight[:, 0] > 0),
        edges=np.concatenate([g.edges for g in grids]),
    )


def _hung(
    piece: Piece, number: Mapping[str, int], frames: Array, origins: Array, joints: Array
) -> tuple[Array, Ints, Array]:
    """Return a piece's places in its carriers' frames, the carriers and the weight of the second."""
    flat = piece.points.reshape(-1, 3)
    if piece.one == SPINE:
        pair, weight = _spine_weights(flat[:, 1], number, joints)
    else:
        pair = np.tile([number[piece.one], number[piece.two]], (len(flat), 1))
        weight = piece.weight.reshape(-1, 1)
    local = np.einsum("vkji,vkj->vki", frames[pair], flat[:, None] - origins[pair])
    return local, pair, weight


@dataclass(frozen=True)
class _Grid:
    quads: Ints
    ring: Ints
    place: Ints
    edges: Ints


def _grid(piece: Piece, first: int, quad_first: int) -> _Grid:
    """Return a piece's quads, turned to be seen from outside, and the edges where two of them meet."""
    rings, around = piece.points.shape[:2]
    i, j = np.meshgrid(np.arange(rings - 1), np.arange(around), indexing="ij")

    def vertex(a: Ints, b: Ints) -> Ints:
        out: Ints = first + a * around + b % around
        return out

    def quad(a: Ints, b: Ints) -> Ints:
        out: Ints = quad_first + a * around + b % around
        return out

    own = np.stack([vertex(i, j), vertex(i, j + 1), vertex(i + 1, j + 1), vertex(i + 1, j)], -1).reshape(
        -1, 4
    )
    if volume(piece.points.reshape(-1, 3), own - first) < 0:
        own = own[:, ::-1]
    along = np.stack([quad(i, j), quad(i, j + 1), vertex(i, j + 1), vertex(i + 1, j + 1)], -1)
    a, b = i[:-1], j[:-1]
    across = np.stack([quad(a, b), quad(a + 1, b), vertex(a + 1, b), vertex(a + 1, b + 1)], -1)
    return _Grid(
        own, i.reshape(-1), j.reshape(-1), np.concatenate([along.reshape(-1, 4), across.reshape(-1, 4)])
    )


def vertices(posed: Posed, hands: Mapping[str, HandShape]) -> Array:
    """Return the posed surface (v, 3) in H. Sums run in one fixed order, so that all machines agree."""
    m = mesh()
    found = carriers(posed, hands)
    frames, origins = (np.round(np.array([found[name][k] for name in m.names]), EXACT) for k in (0, 1))
    result = _placed(frames, origins, m.carrier[:, 0], m.local[:, 0])
    other = _placed(frames, origins, m.carrier[m.mixed, 1], m.local[m.mixed, 1])
    result[:, m.mixed] += m.weight[m.mixed, 0] * (other - result[:, m.mixed])
    return result.T


def _placed(frames: Array, origins: Array, carrier: Ints, local: Array) -> Array:
    """Return places (3, n), row by row."""
    x, y, z = np.ascontiguousarray(local.T)
    rows = np.concatenate([origins[:, :, None], frames], axis=2).reshape(len(frames), 12).T
    out = np.empty((3, len(carrier)))
    for k in range(3):
        o, a, b, c = (row.take(carrier) for row in np.ascontiguousarray(rows[4 * k : 4 * k + 4]))
        out[k] = o + a * x + b * y + c * z
    return out


@dataclass(frozen=True)
class PieceTable:
    """What a piece is, by number (p + EXTRA,), for the buffers and the lines."""

    limb: NDArray[np.int8]
    zone: NDArray[np.int8]
    fine: NDArray[np.bool_]
    materials: NDArray[np.int8]
    core: NDArray[np.bool_]
    sleeve: NDArray[np.bool_]
    trunk: NDArray[np.bool_]
    around: Ints
    furniture: int


@cache
def piece_table() -> PieceTable:
    """Return the properties of all pieces and of what is no body."""
    ps = pieces()
    no = [False] * EXTRA
    extra_limbs = list(range(FURNITURE_LIMB, FURNITURE_LIMB + EXTRA))
    return PieceTable(
        limb=np.array([LIMBS.index(p.limb) for p in ps] + extra_limbs, dtype=np.int8),
        zone=np.array([p.zone for p in ps] + list(range(50, 50 + EXTRA)), dtype=np.int8),
        fine=np.array([p.fine for p in ps] + no),
        materials=np.array(
            [p.materials for p in ps] + [(FURNITURE, FURNITURE)] + [(HELD, HELD)] * (EXTRA - 1), dtype=np.int8
        ),
        core=np.array([p.limb == "core" for p in ps] + no),
        sleeve=np.array([p.name.startswith("sleeve") for p in ps] + no),
        trunk=np.array([p.name == "trunk" for p in ps] + no),
        around=np.array([p.points.shape[1] for p in ps] + [1] * EXTRA),
        furniture=len(ps),
    )


def piece_number(name: str) -> int:
    """Return the number of a piece; ValueError when there is none of that name."""
    return [p.name for p in pieces()].index(name)
