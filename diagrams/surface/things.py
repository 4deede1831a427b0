"""What is held or worn, and furniture in front of the body, in the same depth buffer as the surface.

Fingers close round a stick and a band runs round a foot because both are compared pixel by pixel. A new kind of held
thing needs rods, lines or spheres from the solver; one with a shape of its own adds bars in `_bars`.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from limberleaf.diagrams.body.skeleton import Array
from limberleaf.diagrams.scene.camera import Camera
from limberleaf.diagrams.scene.prop_kinds import SOFT, is_held
from limberleaf.diagrams.solving.solved import Block, PlacedProp
from limberleaf.diagrams.surface.buffers import EMPTY, Bools, Buffers
from limberleaf.diagrams.surface.materials import MOST_HELD
from limberleaf.diagrams.surface.mesh import mesh

LEAST_ROD, STRAP, LOOP = 0.008, 0.0075, 0.0065
"""Radii (H) of the thinnest bar, of a strap and of a loop that are still seen."""
GIVES_WAY, TOUCHES = 0.022, 0.010
"""How far (H) behind a soft or a hard thing the body must be before the thing hides it."""
UNDER_SKIN = 0.17
"""A strap that the solver ran through a body up to this deep (H) is laid on the side that is seen."""


@dataclass(frozen=True)
class _Window:
    """Pixels round a thing: slices of the rasters, and the world's right and up (H) of their centres."""

    rows: slice
    columns: slice
    x: Array
    y: Array


def _window(b: Buffers, camera: Camera, places: Array, grow: float) -> _Window | None:
    flat = (camera.project(places) - (b.left, b.top)) * b.px
    room = grow * camera.scale * b.px
    h, w = b.z.shape
    x0, y0 = np.maximum(np.floor(flat.min(axis=0) - room).astype(int), 0).tolist()
    x1, y1 = np.minimum(np.ceil(flat.max(axis=0) + room).astype(int), (w, h)).tolist()
    if x1 <= x0 or y1 <= y0:
        return None
    x = ((np.arange(x0, x1) + 0.5) / b.px + b.left) / camera.scale
    y = -((np.arange(y0, y1) + 0.5) / b.px + b.top) / camera.scale
    return _Window(slice(y0, y1), slice(x0, x1), x[None, :], y[:, None])


def _give(b: Buffers, window: _Window, hit: Bools, number: int, depth: Array) -> None:
    """Give pixels of a window to a thing."""
    place = window.rows, window.columns
    b.quad[place][hit] = number
    b.z[place][hit] = depth[hit]
    b.second[place][hit] = False


def hide_behind_blocks(b: Buffers, props: Sequence[PlacedProp], camera: Camera) -> None:
    """Give body pixels that lie behind a block of furniture to the piece `furniture` (slab test)."""
    number = len(mesh().quads)
    for prop in props:
        if is_held(prop):
            continue
        gap = GIVES_WAY if prop.kind in SOFT else TOUCHES
        for block in prop.blocks:
            window = _window(b, camera, block_corners(block), 0.0)
            if window is None:
                continue
            near, far = _through(block, camera, window)
            scale = camera.scale * b.px
            place = window.rows, window.columns
            hit = (far > near) & (b.quad[place] >= 0) & (far * scale > b.z[place] + gap * scale)
            _give(b, window, hit, number, far * scale)


def block_corners(block: Block) -> Array:
    """Return the eight corners of a block."""
    signs = np.array([[i, j, k] for i in (-1, 1) for j in (-1, 1) for k in (-1, 1)], dtype=float)
    out: Array = block.centre + (signs * block.half) @ block.axes.T
    return out


def _through(block: Block, camera: Camera, window: _Window) -> tuple[Array, Array]:
    """Return the depths (H) at which each pixel's ray enters and leaves a block; a miss has the first larger."""
    way = camera.toward @ block.axes
    way = np.where(np.abs(way) < 1e-9, 1e-9, way)
    along_x, along_y, middle = camera.right @ block.axes, camera.up @ block.axes, block.centre @ block.axes
    near = np.full((window.y.shape[0], window.x.shape[1]), -np.inf)
    far = np.full_like(near, np.inf)
    for k in range(3):
        at = window.x * along_x[k] + window.y * along_y[k] - middle[k]
        one, two = (-block.half[k] - at) / way[k], (block.half[k] - at) / way[k]
        near, far = np.maximum(near, np.minimum(one, two)), np.minimum(far, np.maximum(one, two))
    return near, far


@dataclass(frozen=True)
class _Bar:
    """A round bar in the world with a radius (H)."""

    start: Array
    end: Array
    radius: float


def draw_held(
    b: Buffers, props: Sequence[PlacedProp], camera: Camera, loops: Sequence[tuple[str, Array]]
) -> None:
    """Draw what is held or worn; `loops`: closed rings (n, 3) of what goes round a part, by the prop's name."""
    first = len(mesh().quads) + 1
    held = [prop for prop in props if is_held(prop)][:MOST_HELD]
    for i, prop in enumerate(held):
        for bar in _bars(prop, b, camera):
            _stroke(b, camera, bar, first + i)
        for name, ring in loops:
            if name == prop.name:
                for start, end in zip(ring, np.roll(ring, -1, axis=0), strict=True):
                    _stroke(b, camera, _Bar(start, end, LOOP), first + i)


def _bars(prop: PlacedProp, b: Buffers, camera: Camera) -> Iterator[_Bar]:
    """Yield the bars a held thing is made of."""
    for rod in prop.rods:
        radius = max(rod.radius, LEAST_ROD)
        if prop.kind == "bottle":
            neck = rod.start + (rod.end - rod.start) * 0.74
            yield _Bar(rod.start, neck, radius)
            yield _Bar(neck, rod.end, radius * 0.42)
        else:
            yield _Bar(rod.start, rod.end, radius)
        if prop.kind == "weight":
            along = (rod.end - rod.start) / max(float(np.linalg.norm(rod.end - rod.start)), 1e-9)
            for end, way in ((rod.start, along), (rod.end, -along)):
                yield _Bar(end, end + way * 0.018, max(radius * 1.15, 0.020))
    for line in prop.lines:
        places = _laid(b, camera, np.array([*line.points, *(line.points[:1] if line.closed else ())]))
        for start, end in pairwise(places):
            yield _Bar(start, end, STRAP)
    for ball in prop.spheres:
        yield _Bar(ball.centre, ball.centre + 1e-6, ball.radius)


def _stroke(b: Buffers, camera: Camera, bar: _Bar, number: int) -> None:
    """Draw a round bar."""
    window = _window(b, camera, np.array([bar.start, bar.end]), bar.radius + 0.004)
    if window is None:
        return
    ways = np.array([camera.right, camera.up, camera.toward])
    start, run = ways @ bar.start, ways @ (bar.end - bar.start)
    size = max(float(run[0] * run[0] + run[1] * run[1]), 1e-9)
    x, y = window.x - start[0], window.y - start[1]
    share = np.clip((x * run[0] + y * run[1]) / size, 0, 1)
    gap = (x - share * run[0]) ** 2 + (y - share * run[1]) ** 2
    depth = start[2] + share * run[2] + np.sqrt(np.maximum(bar.radius**2 - gap, 0))
    depth = depth * camera.scale * b.px
    hit = (gap < bar.radius**2) & (depth > b.z[window.rows, window.columns])
    _give(b, window, hit, number, depth)


def _laid(b: Buffers, camera: Camera, places: Array) -> Array:
    """A strap never runs through a body: where it would, it lies on the side of the body that is seen."""
    share = np.linspace(0, 1, 13)[:-1, None]
    pieces = [start * (1 - share) + end * share for start, end in pairwise(places)]
    fine = np.vstack([*pieces, places[-1:]])
    pixel = b.clamped(b.pixels(camera.project(fine)))
    scale = camera.scale * b.px
    depth = b.z[pixel[:, 1], pixel[:, 0]] - fine @ camera.toward * scale
    push = np.where((depth > 0) & (depth < UNDER_SKIN * scale), depth + 1.0, 0.0)
    push[:2] = push[-2:] = 0.0
    out: Array = fine + (push / scale)[:, None] * camera.toward
    return out


def seen(world: Array, camera: Camera, b: Buffers, slack: float = 3.0) -> Bools:
    """Return whether places (n, 3) are not hidden by the surface, give or take `slack` pixels of depth."""
    pixel = b.pixels(camera.project(world))
    h, w = b.z.shape
    inside = (pixel >= 0).all(axis=1) & (pixel[:, 0] < w) & (pixel[:, 1] < h)
    pixel = b.clamped(pixel)
    depth = world @ camera.toward * camera.scale * b.px
    return np.asarray(inside & (depth > b.z[pixel[:, 1], pixel[:, 0]] - slack))


def drawn_at(world: Array, camera: Camera, b: Buffers) -> Bools:
    """Return whether anything is drawn where places (n, 3) fall: a limb that is left out leaves its marks nowhere."""
    pixel = b.clamped(b.pixels(camera.project(world)))
    return np.asarray(b.z[pixel[:, 1], pixel[:, 0]] > EMPTY)
