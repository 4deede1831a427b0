"""From cracks to smooth lines: chained at lattice corners, moved to the true silhouette, smoothed without shrinking.

Where more than two cracks meet at a corner, those of one owner go on into each other and the others end: the nearer
outline runs through and the farther one stops, which is how the eye reads "in front of".
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from limberleaf.diagrams.body.skeleton import Array
from limberleaf.diagrams.drawing.cracks import Cracks, Kind
from limberleaf.diagrams.surface.buffers import Buffers, Ints, snapped
from limberleaf.diagrams.surface.materials import CORE
from limberleaf.diagrams.surface.mesh import mesh, piece_table

ROUNDS, AREA_ROUNDS = 5, 3
"""Rounds of smoothing: a spread of about two pixels; outlines of colours lie under their lines and need less."""
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
    """Cracks to be chained, rows (n,). `link`: only cracks of one link go on into each other at a crossing.

    `least`: how many cracks a plain chain of this family has at least. Families of cracks that must not meet have the
    numbers of their corners set apart by whole lattices of `rows` rows.
    """

    start: Ints
    end: Ints
    kind: Ints
    owner: Ints
    fine: NDArray[np.bool_]
    link: Ints
    least: Ints
    across: int
    rows: int
    """Rows of corners in the lattice."""


def body_chains(b: Buffers, cracks: Cracks) -> tuple[list[Chain], dict[int, list[Chain]]]:
    """Return all lines of ink and the closed outlines of every colour's area."""
    rows = b.z.shape[0] + 1
    corners = cracks.across * rows
    strong = np.flatnonzero(cracks.kind >= Kind.INNER)
    weak = np.flatnonzero((cracks.kind > 0) & (cracks.kind < Kind.INNER))
    numbers = [
        n for n in range(int(max(cracks.one.max(initial=0), cracks.two.max(initial=0))) + 1) if n != BARE
    ]
    areas = [np.flatnonzero((cracks.one == number) != (cracks.two == number)) for number in numbers]
    ink = len(strong) + len(weak)
    chosen = np.concatenate([strong, weak, *areas])
    # The families are one table: their corners are set apart by whole lattices.
    lattice = np.repeat(np.arange(2 + len(areas)), [len(strong), len(weak), *map(len, areas)])
    apart = lattice * corners
    kind, owner, fine = cracks.kind.take(chosen), cracks.owner.take(chosen), cracks.fine.take(chosen)
    kind[ink:], fine[ink:] = 0, False
    owner[ink:] = np.repeat(numbers, [len(area) for area in areas])
    edges = _Edges(
        start=cracks.start.take(chosen) + apart,
        end=cracks.end.take(chosen) + apart,
        kind=kind,
        owner=owner,
        fine=fine,
        link=np.where(lattice == 0, owner, kind),
        least=np.array([LEAST, WEAK_LEAST, *(AREA_LEAST for _ in areas)]).take(lattice),
        across=cracks.across,
        rows=rows,
    )
    found, lines = _chains(edges, AREA_ROUNDS, ink, b)
    by_colour: dict[int, list[Chain]] = {number: [] for number in numbers}
    for chain in found[lines:]:
        if chain.closed:
            by_colour[chain.owner].append(chain)
    return found[:lines], by_colour


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
    edges = _Edges(start, end, zero, zero, zero.astype(bool), zero, zero + least, across, h + 1)
    return [c for c in _chains(edges, rounds)[0] if c.closed]


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
    for met in by.values():
        # Of three, the two strongest go on and the third ends there.
        same = met if len(met) != 3 else sorted(met, key=lambda e: -edges.kind[e >> 1])[:2]
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


def _long_enough(edges: _Edges, walks: _Walks) -> _Walks:
    """Drop chains too short to say anything."""
    first = np.cumsum(walks.sizes) - walks.sizes
    middle = walks.half[first + walks.sizes // 2] >> 1
    kind = edges.kind[middle]
    plain = edges.fine[middle] | (kind == Kind.NONE) | (kind == Kind.HEM) | (kind == Kind.OUTER)
    inner = np.where(edges.owner[middle] == CORE, SHIRT_LEAST, INNER_LEAST)
    keep = walks.sizes >= np.where(plain, 1.0, inner) * edges.least[middle]
    return _Walks(walks.half[np.repeat(keep, walks.sizes)], walks.sizes[keep], walks.closed[keep])


def _chains(
    edges: _Edges, rounds: int, ink: int = 0, buffers: Buffers | None = None
) -> tuple[list[Chain], int]:
    """Chain cracks and smooth them; return the chains and how many of them are ink.

    The first `ink` cracks are those of lines: they are moved to the true silhouette in the buffers and smoothed more.
    """
    if not len(edges.start):
        return [], 0
    walks = _long_enough(edges, _walks(_partners(edges)))
    if not len(walks.sizes):
        return [], 0
    sizes, closed, half = walks.sizes, walks.closed, walks.half
    edge = half >> 1
    enter, leave = np.where(
        half & 1, (edges.end[edge], edges.start[edge]), (edges.start[edge], edges.end[edge])
    )
    (ey, ex), (ly, lx) = np.divmod(enter, edges.across), np.divmod(leave, edges.across)
    ey, ly = ey % edges.rows, ly % edges.rows
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
    lines = int(np.searchsorted(edge[first], ink)) if buffers is not None else 0
    many = int(full[:lines].sum())
    if buffers is not None and many:
        at[:many] = snapped(buffers, at[:many], _edge_limbs(), own[:many])
    places = _smoothed(at, start, stop, closed, rounds)
    if many:
        places[:many] = _smoothed(places[:many], start[:lines], stop[:lines], closed[:lines], ROUNDS - rounds)
    kinds, owners = (_most(values[edge], chain, len(sizes)) for values in (edges.kind, edges.owner))
    fine = np.bincount(chain, edges.fine[edge], len(sizes)) * 2 > sizes
    rows = (a.tolist() for a in (start, stop + 1, closed, kinds, owners, fine))
    return [Chain(places[low:high], *rest) for low, high, *rest in zip(*rows, strict=True)], lines


@cache
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
    before, after = np.empty_like(at), np.empty_like(at)
    ends = np.concatenate([start[~closed], stop[~closed]])
    for _ in range(rounds):
        for share in (0.55, -0.58):
            before[1:], after[:-1] = at[:-1], at[1:]
            before[start], after[stop] = at[stop], at[start]
            middle = (before + after) / 2
            middle -= at
            middle[ends] = 0
            middle *= share
            at = at + middle
    return at
