"""From cracks to smooth lines: chained at lattice corners, moved to the true silhouette, smoothed without shrinking.

Where more than two cracks meet at a corner, those of one owner go on into each other and the others end: the nearer
outline runs through and the farther one stops, which is how the eye reads "in front of".
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from limberleaf.diagrams.body.skeleton import Array
from limberleaf.diagrams.drawing.cracks import Cracks, Kind
from limberleaf.diagrams.surface.buffers import Buffers, Ints, snapped
from limberleaf.diagrams.surface.materials import CORE
from limberleaf.diagrams.surface.mesh import mesh, piece_table

ROUNDS = 5
"""Rounds of smoothing: a spread of about two pixels."""
LEAST = 5
"""Cracks a line has at least; inner lines and those inside the shirt need more, as stubs there say nothing."""
INNER_LEAST, SHIRT_LEAST, WEAK_LEAST, AREA_LEAST = 2.5, 4.5, 7, 10
BARE = 1
"""Number of the colour the whole body is filled with; it needs no outline of its own."""


@dataclass(frozen=True)
class Chain:
    """A smooth line: places (n, 2) in pixels, closed or not, its kind, owner and whether it is a small feature.

    `owner` is a limb's number, or for the outline of a colour its number.
    """

    places: Array
    closed: bool
    kind: int
    owner: int
    fine: bool


@dataclass(frozen=True)
class _Edges:
    """Cracks to be chained, rows (n,). `link`: only cracks of one link go on into each other at a crossing."""

    start: Ints
    end: Ints
    kind: Ints
    owner: Ints
    fine: NDArray[np.bool_]
    link: Ints


def ink_chains(b: Buffers, cracks: Cracks) -> list[Chain]:
    """Return all lines of ink."""
    found: list[Chain] = []
    for strong in (True, False):
        chosen = (cracks.kind >= Kind.INNER) == strong
        chosen &= cracks.kind > 0
        rows = np.flatnonzero(chosen)
        owner, kind = cracks.owner[rows], cracks.kind[rows]
        edges = _Edges(
            cracks.start[rows], cracks.end[rows], kind, owner, cracks.fine[rows], owner if strong else kind
        )
        found += _chains(edges, cracks.across, least=LEAST if strong else WEAK_LEAST, buffers=b)
    return found


def colour_areas(cracks: Cracks, corners: int) -> dict[int, list[Chain]]:
    """Return the closed outlines of every colour's area. `corners`: lattice corners of the whole raster."""
    numbers = np.setdiff1d(np.concatenate([cracks.one, cracks.two]), [BARE])
    rows = [np.flatnonzero((cracks.one == number) != (cracks.two == number)) for number in numbers]
    if not rows:
        return {}
    edge = np.concatenate(rows)
    colour = np.repeat(numbers, [len(row) for row in rows])
    zero = np.zeros(len(edge), dtype=np.int64)
    # Cracks of different colours are kept apart by the numbers of their corners.
    start, end = cracks.start[edge] + colour * corners, cracks.end[edge] + colour * corners
    edges = _Edges(start, end, zero, colour, zero.astype(bool), zero)
    found = _chains(edges, cracks.across, least=AREA_LEAST, rounds=3, rows_to_drop=corners // cracks.across)
    return {int(n): [c for c in found if c.closed and c.owner == n] for n in numbers}


def mask_loops(mask: NDArray[np.bool_], rounds: int = ROUNDS, least: int = 12) -> list[Chain]:
    """Return the outlines of a mask (h, w) as closed smooth lines."""
    h, w = mask.shape
    across = w + 1
    m = np.zeros((h + 2, w + 2), dtype=bool)
    m[1:-1, 1:-1] = mask
    y, x = np.nonzero(m[1:-1, :-1] != m[1:-1, 1:])
    row, column = np.nonzero(m[:-1, 1:-1] != m[1:, 1:-1])
    start = np.concatenate([y * across + x, row * across + column])
    end = np.concatenate([(y + 1) * across + x, row * across + column + 1])
    zero = np.zeros(len(start), dtype=np.int64)
    edges = _Edges(start, end, zero, zero, zero.astype(bool), zero)
    return [c for c in _chains(edges, across, least=least, rounds=rounds) if c.closed]


def _partners(edges: _Edges) -> Ints:
    """Return for each half crack (2 e: at its start, 2 e + 1: at its end) the half crack it goes on to, or -1."""
    node = np.column_stack([edges.start, edges.end]).reshape(-1)
    order = np.argsort(node, kind="stable")
    ordered = node[order]
    first = (
        np.flatnonzero(np.r_[True, ordered[1:] != ordered[:-1]]) if len(ordered) else np.zeros(0, np.int64)
    )
    size = np.diff(np.r_[first, len(order)])
    partner = np.full(len(node), -1, dtype=np.int64)
    two = first[size == 2]
    partner[order[two]], partner[order[two + 1]] = order[two + 1], order[two]
    crossings = size > 2
    for begin, count in zip(first[crossings].tolist(), size[crossings].tolist(), strict=True):
        _cross(order[begin : begin + count].tolist(), edges, partner)
    return partner


def _cross(ends: list[int], edges: _Edges, partner: Ints) -> None:
    """Join the half cracks that meet in one corner."""
    by: dict[int, list[int]] = {}
    for end in ends:
        by.setdefault(int(edges.link[end >> 1]), []).append(end)
    for same in by.values():
        if len(same) == 3:  # the two strongest go on, the third ends there
            same = sorted(same, key=lambda e: -edges.kind[e >> 1])[:2]  # noqa: PLW2901
        if len(same) == 2:
            partner[same[0]], partner[same[1]] = same[1], same[0]
        elif len(same) == 4:  # two corners of one shape touch: keep to the side
            for a, b in ((0, 1), (2, 3)):
                partner[same[a]], partner[same[b]] = same[b], same[a]


@dataclass(frozen=True)
class _Walks:
    """Chains of half cracks entered, one behind the other in `half`, with how many each has and whether it closes."""

    half: Ints
    sizes: Ints
    closed: NDArray[np.bool_]


def _walks(partner: Ints) -> _Walks:
    """Follow all half cracks at once: each step doubles the distance that is known."""
    here = np.arange(len(partner))
    after = partner[here ^ 1]
    doublings = max(len(partner).bit_length(), 1)
    jump, lowest = np.where(after < 0, here, after), here.copy()
    for _ in range(doublings):
        lowest = np.minimum(lowest, lowest[jump])
        jump = jump[jump]
    closed = after[jump] >= 0
    after[closed & (after == lowest)] = -1  # a closed chain begins at its lowest half crack
    steps, jump = (after >= 0).astype(np.int64), np.where(after < 0, here, after)
    for _ in range(doublings):
        steps = steps + steps[jump]
        jump = jump[jump]
    one_way = np.flatnonzero(jump < jump[here ^ 1])  # each chain is there in both directions
    order = one_way[np.lexsort((-steps[one_way], jump[one_way]))]
    ends = jump[order]
    first = np.flatnonzero(np.r_[True, ends[1:] != ends[:-1]]) if len(order) else order
    return _Walks(order, np.diff(np.r_[first, len(order)]), closed[order[first]])


def _long_enough(edges: _Edges, walks: _Walks, least: float) -> _Walks:
    """Drop chains too short to say anything."""
    first = np.cumsum(walks.sizes) - walks.sizes
    middle = walks.half[first + walks.sizes // 2] >> 1
    kind = edges.kind[middle]
    plain = edges.fine[middle] | (kind == Kind.NONE) | (kind == Kind.HEM) | (kind == Kind.OUTER)
    inner = np.where(edges.owner[middle] == CORE, SHIRT_LEAST, INNER_LEAST)
    keep = walks.sizes >= np.where(plain, 1.0, inner) * least
    return _Walks(walks.half[np.repeat(keep, walks.sizes)], walks.sizes[keep], walks.closed[keep])


def _chains(
    edges: _Edges,
    across: int,
    *,
    least: float,
    rounds: int = ROUNDS,
    buffers: Buffers | None = None,
    rows_to_drop: int = 0,
) -> list[Chain]:
    """Chain cracks and smooth them. `rows_to_drop`: rows by which the corners of different colours were set apart."""
    if not len(edges.start):
        return []
    walks = _long_enough(edges, _walks(_partners(edges)), least)
    if not len(walks.sizes):
        return []
    sizes, closed, half = walks.sizes, walks.closed, walks.half
    edge = half >> 1
    enter = np.where(half & 1, edges.end[edge], edges.start[edge])
    leave = np.where(half & 1, edges.start[edge], edges.end[edge])
    (ey, ex), (ly, lx) = np.divmod(enter, across), np.divmod(leave, across)
    if rows_to_drop:
        ey, ly = ey % rows_to_drop, ly % rows_to_drop
    # One table for all: the middles of the cracks, and for open chains their two ends.
    first = np.cumsum(sizes) - sizes
    full = sizes + np.where(closed, 0, 2)
    start = np.cumsum(full) - full
    stop = start + full - 1
    chain = np.repeat(np.arange(len(sizes)), sizes)
    slot = np.arange(len(half)) - first[chain] + start[chain] + ~closed[chain]
    at, own = np.empty((int(full.sum()), 2)), np.empty(int(full.sum()), dtype=np.int64)
    at[slot, 0], at[slot, 1], own[slot] = (ex + lx) / 2, (ey + ly) / 2, edges.owner[edge]
    o = ~closed
    last = first + sizes - 1
    at[start[o], 0], at[start[o], 1], own[start[o]] = ex[first[o]], ey[first[o]], edges.owner[edge[first[o]]]
    at[stop[o], 0], at[stop[o], 1], own[stop[o]] = lx[last[o]], ly[last[o]], edges.owner[edge[last[o]]]
    if buffers is not None:
        at = snapped(buffers, at, _edge_limbs(), own)
    places = _smoothed(at, start, stop, closed, rounds)
    kinds, owners = (_most(values[edge], chain, len(sizes)) for values in (edges.kind, edges.owner))
    fine = np.bincount(chain, edges.fine[edge], len(sizes)) * 2 > sizes
    return [
        Chain(places[low : high + 1], *rest)
        for low, high, *rest in zip(
            start.tolist(),
            stop.tolist(),
            closed.tolist(),
            kinds.tolist(),
            owners.tolist(),
            fine.tolist(),
            strict=True,
        )
    ]


def _edge_limbs() -> NDArray[np.int8]:
    out: NDArray[np.int8] = piece_table().limb[mesh().piece[mesh().edges[:, 0]]]
    return out


def _most(values: Ints, chain: Ints, count: int) -> Ints:
    """Return the value that most cracks of each chain have."""
    top = int(values.max()) + 1
    out: Ints = np.bincount(chain * top + values, minlength=count * top).reshape(-1, top).argmax(axis=1)
    return out


def _smoothed(at: Array, start: Ints, stop: Ints, closed: NDArray[np.bool_], rounds: int) -> Array:
    """Return many polylines smoothed forth and back so that they do not shrink (Taubin 1995); open ends stay."""
    before, after = np.arange(len(at)) - 1, np.arange(len(at)) + 1
    before[start], after[stop] = np.where(closed, stop, start), np.where(closed, start, stop)
    open_start, open_stop = start[~closed], stop[~closed]
    after[open_start], before[open_stop] = open_start, open_stop
    for _ in range(rounds):
        for share in (0.55, -0.58):
            at = at + share * ((at[before] + at[after]) / 2 - at)
    return at
