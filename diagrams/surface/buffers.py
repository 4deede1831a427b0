"""Depth, part and material buffers of the posed surface: a z-buffer by dense sampling, in plain arrays.

Every quad that faces the eye is sampled on an even grid, at most `STEP` pixels apart; one whole number a sample holds
depth, quad and material, so that the nearest one wins by a plain maximum. Corners lie on a lattice of 1/64 pixel and
the weights are whole numbers: every sum is exact in double precision, in whatever order it is added, so that all
machines fill the same pixels.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace
from functools import cache

import numpy as np
from numpy.typing import NDArray

from limberleaf.diagrams.adults import per_build
from limberleaf.diagrams.body.skeleton import Array
from limberleaf.diagrams.scene.camera import Camera
from limberleaf.diagrams.surface.materials import EXTRA
from limberleaf.diagrams.surface.mesh import mesh, pieces

Bools = NDArray[np.bool_]
Ints = NDArray[np.int64]
Numbers = NDArray[np.int32]

FINE = 1.6
"""Pixels to a user unit for a still: a body of 300 units is 480 pixels high. Lines are moved to the true silhouette."""
COARSE = 0.9
"""The same for the pictures of a movement, which are seen for a third of a second each."""
STEP = 0.9
"""Greatest distance between two samples of a quad, pixels."""
SIZES = np.array([2, 3, 4, 5, 6, 8, 10, 13, 17, 24, 34, 48])
QUAD_BITS = 15
Z_UNIT = 16.0
GRID = 64.0
EMPTY = -1e4
"""Depth of a pixel with nothing in it."""
FAR_BACK = 1 << 14
"""The same in units of the buffer, for comparing neighbours."""


@dataclass
class Buffers:
    """What one camera sees, rasters (h, w). Depth `z` in pixels, larger is nearer; `EMPTY` where nothing is.

    `quad`: -1 where nothing. `second`: the piece's second material. `normal` (q + EXTRA, 3) on paper: x right, y down,
    z to the eye. `points` (v, 3): vertices in pixels. `rim`: the silhouette edge of the mesh that runs through a pixel,
    or -1. `left` and `top` in user units, `px` pixels to a unit.
    """

    left: float
    top: float
    px: float
    quad: Numbers
    z: NDArray[np.float64]
    second: Bools
    normal: Array
    points: Array
    rim: Numbers

    def units(self, pixels: Array) -> Array:
        """Return user units of places on the pixel lattice (n, 2)."""
        out: Array = pixels / self.px + (self.left, self.top)
        return out

    def pixels(self, places: Array) -> Ints:
        """Return the pixel column and row (n, 2) of places in user units; they may lie outside."""
        out: Ints = np.floor((places - (self.left, self.top)) * self.px).astype(np.int64)
        return out

    def clamped(self, pixels: Ints) -> Ints:
        """Return pixels (n, 2) moved to the nearest one of the raster."""
        height, width = self.z.shape
        out: Ints = np.clip(pixels, 0, (width - 1, height - 1))
        return out

    def cut(self, left: float, top: float, right: float, bottom: float) -> Buffers:
        """Return the part inside a box of user units, with an empty rim: what the box cuts is closed there."""
        (x0, y0), (x1, y1) = self.clamped(self.pixels(np.array([(left, top), (right, bottom)]))).tolist()
        if x1 - x0 < 2 or y1 - y0 < 2:
            return self
        rows = slice(y0, y1), slice(x0, x1)
        shift = np.array([x0, y0, 0.0])
        part = replace(
            self,
            left=self.left + x0 / self.px,
            top=self.top + y0 / self.px,
            quad=self.quad[rows].copy(),
            z=self.z[rows].copy(),
            second=self.second[rows].copy(),
            points=self.points - shift,
            rim=self.rim[rows].copy(),
        )
        for edge in (np.s_[0], np.s_[-1], np.s_[:, 0], np.s_[:, -1]):
            part.quad[edge], part.z[edge], part.second[edge], part.rim[edge] = -1, EMPTY, False, -1
        return part


def _weights(n: int) -> Array:
    """Return the bilinear weights (4, n * n) of a quad's samples as whole numbers; each column adds up to 4 n * n."""
    t = 2 * np.arange(n) + 1
    u, v = (a.reshape(-1) for a in np.meshgrid(t, t))
    m = 2 * n
    return np.stack([(m - u) * (m - v), u * (m - v), u * v, (m - u) * v]).astype(np.float64)


WEIGHTS = {int(n): _weights(int(n)) for n in SIZES}


@per_build
def _whole_cloth() -> Array:
    """Which side of a garment's edge the corners of all quads (q, 4) lie on, in whole millionths."""
    out: Array = np.rint(mesh().cloth[mesh().quads] * 1e6)
    return out


@per_build
def _hemmed() -> Bools:
    """Quads (q,) of which some corner is of the second material."""
    out: Bools = _whole_cloth().min(axis=1) <= 0
    return out


@per_build
def _all_second() -> Bools:
    out: Bools = _whole_cloth().max(axis=1) <= 0
    return out


def rasterise(
    world: Array, camera: Camera, *, px: float = FINE, pad: int = 6, without: Collection[str] = ()
) -> Buffers:
    """Return the buffers of a posed surface (v, 3). `pad`: empty pixels round it; `without`: names left out."""
    flat = _on_paper(world, camera, camera.scale * px)
    low = [np.floor(c.min()) - pad for c in flat[:2]]
    w, h = (int(np.ceil(c.max()) + pad - start) for c, start in zip(flat, low, strict=False))
    columns = [np.rint((c - start) * GRID) for c, start in zip(flat, (*low, 0.0), strict=True)]
    points = np.stack(columns, axis=1) / GRID
    quads = mesh().quads
    x, y, z = (c[quads] for c in columns)
    normal, facing = _normals(x, y, z)
    if without:
        facing &= ~np.isin(mesh().piece[: len(quads)], _numbers_of(frozenset(without)))
    deepest = columns[2].min()
    found = _sampled(np.flatnonzero(facing), (x, y, (z - deepest) * Z_UNIT), (w, h)).reshape(h, w)
    _fill_holes(found, px)
    empty = found < 0
    quad = (found >> 1) & ((1 << QUAD_BITS) - 1)
    quad[empty] = -1
    depth = (found >> (QUAD_BITS + 1)) / Z_UNIT + float(deepest) / GRID
    depth[empty] = EMPTY
    second = ((found & 1) == 1) & ~empty
    rim = _rims(points, facing, w, h)
    return Buffers(float(low[0]) / px, float(low[1]) / px, px, quad, depth, second, normal, points, rim)


@cache
def _numbers_of(names: frozenset[str]) -> Ints:
    """Return the numbers of pieces named by their own names or by their limbs."""
    return np.array(
        [i for i, piece in enumerate(pieces()) if {piece.name, piece.limb} & names], dtype=np.int64
    )


def _on_paper(world: Array, camera: Camera, scale: float) -> list[Array]:
    """Return x to the right, y down and depth (n,) in pixels; products are added one by one, none is fused."""
    x, y, z = np.ascontiguousarray(world.T)
    axes = np.round(np.array([camera.right, -camera.up, camera.toward]), 12)
    return [(x * a + y * b + z * c) * scale for a, b, c in axes]


def _normals(x: Array, y: Array, z: Array) -> tuple[Array, Bools]:
    """Return unit normals of quads by their corners (q, 4), rows for what is no body, and which face the eye.

    Corners are whole numbers, so that a quad without area is found exactly.
    """
    ax, ay, az = x[:, 2] - x[:, 0], y[:, 2] - y[:, 0], z[:, 2] - z[:, 0]
    bx, by, bz = x[:, 3] - x[:, 1], y[:, 3] - y[:, 1], z[:, 3] - z[:, 1]
    nx, ny, nz = az * by - ay * bz, ax * bz - az * bx, ay * bx - ax * by  # turned round: y points down
    length = np.sqrt(nx * nx + ny * ny + nz * nz)
    facing = (nz > 1e-3 * length) & (length > 0)
    size = np.maximum(length, 1.0)
    normal = np.zeros((len(x) + EXTRA, 3))
    normal[: len(x), 0], normal[: len(x), 1], normal[: len(x), 2] = nx / size, ny / size, nz / size
    normal[len(x) :, 2] = 1.0
    return normal, facing


def _sampled(shown: Ints, corners: tuple[Array, Array, Array], size: tuple[int, int]) -> Numbers:
    """Return the greatest sample of every pixel (w * h,), -1 where none fell. `corners`: whole numbers (q, 4)."""
    w, h = size
    x4, y4, z4 = (c[shown] for c in corners)
    longest = np.zeros(len(shown))
    for c in (x4, y4):
        for k in range(4):
            np.maximum(longest, np.abs(c[:, k] - c[:, k - 1]), out=longest)
    group = np.minimum(np.searchsorted(SIZES, longest / (STEP * GRID)), len(SIZES) - 1)
    order = np.argsort(group, kind="stable")
    bounds = np.searchsorted(group[order], np.arange(len(SIZES) + 1))
    cloth, hemmed, second = _whole_cloth(), _hemmed(), _all_second()
    buffer = np.full(w * h, -1, dtype=np.int32)
    for g, n in enumerate(SIZES.tolist()):
        rows = order[bounds[g] : bounds[g + 1]]
        if not len(rows):
            continue
        weights = WEIGHTS[n]
        whole = 1.0 / (GRID * 4 * n * n)
        quads = shown[rows]
        key = (z4[rows] @ weights * whole).astype(np.int32)
        key <<= QUAD_BITS + 1
        key |= (quads[:, None] * 2 + second[quads, None]).astype(np.int32)
        mixed = np.flatnonzero(hemmed[quads] & ~second[quads])
        if len(mixed):
            key[mixed] |= cloth[quads[mixed]] @ weights <= 0
        index = (y4[rows] @ weights * whole).astype(np.int32)
        index *= np.int32(w)
        index += (x4[rows] @ weights * whole).astype(np.int32)
        np.maximum.at(buffer, index.reshape(-1), key.reshape(-1))
    return buffer


def _fill_holes(found: Numbers, px: float) -> None:
    """Give a pixel that no sample of a surface hit, but all around it did, to its neighbour."""
    z = found >> (QUAD_BITS + 1)
    z[z < 0] = -FAR_BACK
    inside, gap = z[1:-1, 1:-1], int(px * Z_UNIT)
    deep = np.maximum(np.minimum(z[1:-1, :-2], z[1:-1, 2:]), np.minimum(z[:-2, 1:-1], z[2:, 1:-1]))
    y, x = np.nonzero(deep - inside > gap)
    y, x = y + 1, x + 1
    across = np.minimum(z[y, x - 1], z[y, x + 1]) - z[y, x] > gap
    found[y, x] = found[y - np.where(across, 0, 1), x - np.where(across, 1, 0)]


RIM = (np.arange(9) + 0.5) / 9
"""Where along a silhouette edge of the mesh the pixels it runs through are looked up."""


def _rims(points: Array, facing: Bools, w: int, h: int) -> Numbers:
    """Mark through which pixels the mesh's own silhouette edges run; the nearest edge wins."""
    one, two, start, end = mesh().edge_columns
    rows = np.flatnonzero(facing.take(one) != facing.take(two))
    start, end = start.take(rows), end.take(rows)
    at = []
    for k in range(3):
        column = np.ascontiguousarray(points[:, k])
        a, b = column.take(start)[:, None], column.take(end)[:, None]
        at.append(a + (b - a) * RIM)
    key = ((at[2] - points[:, 2].min()) * 8).astype(np.int32) << 15
    key |= np.arange(len(rows), dtype=np.int32)[:, None]
    rim = np.full(w * h, -1, dtype=np.int32)
    pixel = at[1].astype(np.int32) * w + at[0].astype(np.int32)
    np.maximum.at(rim, pixel.reshape(-1), key.reshape(-1))
    marked = np.flatnonzero(rim >= 0)
    rim[marked] = rows[rim[marked] & ((1 << 15) - 1)]
    return rim.reshape(h, w)


def snapped(b: Buffers, places: Array, edge_limb: NDArray[np.int8], limb: Ints, reach: float = 1.3) -> Array:
    """Return places (n, 2) on the pixel lattice moved to the true silhouette of their own limb, where one is near.

    `reach` in pixels. Without this, outlines keep the steps of the pixels, whatever they are smoothed with.
    """
    h, w = b.rim.shape
    _, _, start, end = mesh().edge_columns
    best = np.full(len(places), reach)
    result = places.copy()
    x0, y0 = (np.floor(places[:, k] - 0.5).astype(np.int64) for k in (0, 1))
    columns = [np.clip(x0 + step, 0, w - 1) for step in (0, 1)]
    rows = [np.clip(y0 + step, 0, h - 1) * w for step in (0, 1)]
    rim, flat = b.rim.reshape(-1), b.points[:, :2]
    for row in rows:
        for column in columns:
            edge = rim.take(row + column)
            near = np.flatnonzero((edge >= 0) & (edge_limb.take(edge) == limb))
            edge = edge.take(near)
            one, place = flat.take(start.take(edge), 0), places.take(near, 0)
            run, from_one = flat.take(end.take(edge), 0) - one, place - one
            along = from_one[:, 0] * run[:, 0] + from_one[:, 1] * run[:, 1]
            size = run[:, 0] * run[:, 0] + run[:, 1] * run[:, 1]
            share = np.clip(along / np.maximum(size, 1e-9), 0, 1)
            foot = one + run * share[:, None]
            gap = np.hypot(foot[:, 0] - place[:, 0], foot[:, 1] - place[:, 1])
            better = np.flatnonzero(gap < best.take(near))
            best[near[better]], result[near[better]] = gap[better], foot[better]
    return result
