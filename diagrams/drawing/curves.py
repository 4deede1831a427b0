"""Smooth lines cut into few cubics, all lines of a picture at once.

Knots are set where enough way or turning has gathered. At each knot a parabola is fitted to the places half a span to
either side; its value and slope there make the cubic, so that the steps of the pixels average out where a curve
through the places would keep them. Sums run in a fixed order and the small systems are solved by determinants, so that
all machines give the same digits.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from limberleaf.diagrams.body.skeleton import Array
from limberleaf.diagrams.drawing.chains import Chain
from limberleaf.diagrams.picture.displaylist import PathBuilder
from limberleaf.diagrams.surface.buffers import Buffers, Ints

WRAP = 8
"""Places by which a closed line runs on round its seam at both ends."""
HEADING = 5
"""Places before and after by which a line's heading is measured."""
WINDOW = 0.80
Fineness = tuple[float, float]
LINE, FILL, BODY = (34.0, 27.0), (40.0, 34.0), (55.0, 40.0)
"""Way (units) and turning (degrees) between two knots: of a line, of a colour that lies under its line, of the body."""

Cubics = tuple[Array, Array]
"""A start (2,) and rows (k, 6) of two control points and an end, in user units."""


@dataclass(frozen=True)
class _Run:
    """All places in one table (t, 2) and for each line its first and last row."""

    places: Array
    low: Ints
    high: Ints
    chain: Ints
    closed: NDArray[np.bool_]


def _run(chains: Sequence[Chain], b: Buffers) -> _Run:
    rows = []
    for c in chains:
        p = c.places
        if c.closed:
            p = np.vstack([p[-WRAP:], p, p[: WRAP + 1]]) if len(p) > WRAP else np.vstack([p, p, p, p[:1]])
        rows.append(p)
    sizes = np.array([len(p) for p in rows])
    low = np.cumsum(sizes) - sizes
    chain = np.repeat(np.arange(len(chains)), sizes)
    return _Run(
        b.units(np.concatenate(rows)), low, low + sizes - 1, chain, np.array([c.closed for c in chains])
    )


def curves(chains: Sequence[Chain], b: Buffers, fineness: Sequence[Fineness]) -> list[Cubics]:
    """Return the cubics of each line by its own fineness."""
    if not chains:
        return []
    run = _run(chains, b)
    p, low, high, chain = run.places, run.low, run.high, run.chain
    index = np.arange(len(p))
    step = np.hypot(*np.diff(p, axis=0, prepend=p[:1]).T)
    step[low] = 0.0
    way = p[np.minimum(index + HEADING, high[chain])] - p[np.maximum(index - HEADING, low[chain])]
    heading = np.round(np.arctan2(way[:, 1], way[:, 0]), 9)
    bend = np.abs((np.diff(heading, prepend=heading[:1]) + np.pi) % (2 * np.pi) - np.pi)
    bend[low] = 0.0
    each = np.array(fineness)
    way_to_go, turn_to_go = each[chain, 0], np.radians(each[:, 1])[chain]
    gathered = np.round(np.cumsum(step / way_to_go + np.minimum(bend / turn_to_go, 0.5)), 9)
    along = np.cumsum(step)
    sizes = high - low + 1
    pad = np.where(run.closed, np.where(sizes > 3 * WRAP + 1, WRAP, (sizes - 1) // 3), 0)
    first, last = low + pad, high - pad  # a closed line comes back to where it began
    total = gathered[last] - gathered[first]
    spans = np.maximum(np.ceil(total - 1e-6).astype(np.int64), np.where(run.closed, 3, 1))
    base = np.repeat(np.arange(len(chains)), spans + 1)
    number = np.arange(len(base)) - np.repeat(np.cumsum(spans + 1) - spans - 1, spans + 1)
    target = gathered[first][base] + number / spans[base] * total[base]
    at = np.clip(np.searchsorted(gathered, target - 1e-6), first[base], last[base])
    at[number == 0], at[number == spans[base]] = first, last
    reach = total[base] / spans[base] * WINDOW
    start = np.clip(np.searchsorted(gathered, gathered[at] - reach), low[base], np.maximum(at - 2, low[base]))
    stop = (
        np.clip(np.searchsorted(gathered, gathered[at] + reach), np.minimum(at + 2, high[base]), high[base])
        + 1
    )
    knot, slope = _parabolas(p, along, (low + high) // 2, chain, base, at, (start, stop))
    end = number == spans[base]
    stay = ~run.closed[base] & ((number == 0) | end)
    knot[stay] = p[at[stay]]
    begin = np.cumsum(spans + 1) - spans - 1
    seam = begin[run.closed]
    knot[seam + spans[run.closed]] = knot[seam]
    slope[seam + spans[run.closed]] = slope[seam]
    j = np.flatnonzero(~end)
    chord = np.hypot(*(knot[j + 1] - knot[j]).T)
    third = np.minimum((along[at[j + 1]] - along[at[j]]) / 3, 0.55 * chord)[:, None]
    rows = np.hstack([knot[j] + slope[j] * third, knot[j + 1] - slope[j + 1] * third, knot[j + 1]])
    ends = np.cumsum(spans)
    return [
        (knot[b0], rows[e - n : e])
        for b0, e, n in zip(begin.tolist(), ends.tolist(), spans.tolist(), strict=True)
    ]


def _parabolas(
    p: Array,
    along: Array,
    middle: Ints,
    chain: Ints,
    base: Ints,
    at: Ints,
    window: tuple[Ints, Ints],
) -> tuple[Array, Array]:
    """Return place and unit slope (k, 2) at knots `at`, each by a parabola over its window of places."""
    t = (along - along[middle][chain]) / 100.0
    x = p - p[middle][chain]
    t2 = t * t
    table = np.column_stack([np.ones(len(t)), t, t2, t2 * t, t2 * t2, x, x * t[:, None], x * t2[:, None]])
    sums = np.vstack([np.zeros(table.shape[1]), np.cumsum(table, axis=0)])
    m = sums[window[1]] - sums[window[0]]
    c = t[at]
    m0, m1, m2, m3, m4 = m[:, :5].T
    # Moments about the knot itself.
    c1 = m1 - c * m0
    c2 = m2 - 2 * c * m1 + c**2 * m0
    c3 = m3 - 3 * c * m2 + 3 * c**2 * m1 - c**3 * m0
    c4 = m4 - 4 * c * m3 + 6 * c**2 * m2 - 4 * c**3 * m1 + c**4 * m0
    y0, y1 = m[:, 5:7], m[:, 7:9] - c[:, None] * m[:, 5:7]
    y2 = m[:, 9:11] - 2 * c[:, None] * m[:, 7:9] + (c**2)[:, None] * m[:, 5:7]
    size = np.maximum(c2 / m0, 1e-9)  # the width of the window squared
    d1, d2 = size**-0.5, 1 / size
    a01, a02 = c1 / m0 * d1, c2 / m0 * d2
    a11, a12 = c2 / m0 * d1 * d1 + 1e-6, c3 / m0 * d1 * d2
    a22 = c4 / m0 * d2 * d2 + 1e-4 + 1e-6
    b0, b1, b2 = y0 / m0[:, None], y1 * (d1 / m0)[:, None], y2 * (d2 / m0)[:, None]
    det = a11 * a22 - a12 * a12 - a01 * (a01 * a22 - a12 * a02) + a02 * (a01 * a12 - a11 * a02)
    value = (a11 * a22 - a12 * a12)[:, None] * b0
    value += (a02 * a12 - a01 * a22)[:, None] * b1 + (a01 * a12 - a02 * a11)[:, None] * b2
    slope = (a02 * a12 - a01 * a22)[:, None] * b0
    slope += (a22 - a02 * a02)[:, None] * b1 + (a01 * a02 - a12)[:, None] * b2
    knot = value / det[:, None] + p[middle][base]
    slope = slope / det[:, None]
    slope = slope / np.maximum(np.hypot(*slope.T), 1e-9)[:, None]
    return knot, slope


def add_cubics(path: PathBuilder, cubics: Cubics, *, closed: bool) -> None:
    """Add one line to a path."""
    path.move(cubics[0]).curves(cubics[1])
    if closed:
        path.close()
