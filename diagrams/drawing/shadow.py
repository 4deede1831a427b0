"""The shadow of contact: what lies close under the body, let down on each surface it nearly touches."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from limberleaf.diagrams.body.skeleton import Array
from limberleaf.diagrams.scene.camera import Camera
from limberleaf.diagrams.scene.prop_kinds import SOFT, is_held
from limberleaf.diagrams.solving.solved import Block, PlacedProp
from limberleaf.diagrams.surface.buffers import Bools, Buffers

NEAR, SUNK = 0.020, -0.030
"""How far (H) above a surface the body may be, or how deep in it, to count as touching."""
SCALE_DOWN = 4
"""The shadow is soft: a quarter of the pixels will do."""
LEAST_SEEN = 0.05
"""Sine of the angle between the eye and a surface below which its shadow is a line and left out."""


def _planes(
    props: Sequence[PlacedProp], camera: Camera, level: str
) -> Iterator[tuple[Array, Array, Block | None]]:
    """Yield the surfaces that can carry a shadow: a place, the way out and the block they belong to."""
    if level == "floor":
        yield np.zeros(3), np.array([0.0, 1.0, 0.0]), None
        return
    for prop in props:
        if is_held(prop) or prop.kind in SOFT:
            continue
        for block in prop.blocks:
            for k in range(3):
                for sign in (-1, 1):
                    out = block.axes[:, k] * sign
                    if out @ camera.toward > 0.08 and (out[1] > 0.9 or prop.kind == "wall"):
                        yield block.centre + out * block.half[k], out, block


def contact_shadow(
    b: Buffers, world: Array, props: Sequence[PlacedProp], camera: Camera, level: str
) -> Bools:
    """Return a mask (h / 4 + 2, w / 4 + 2) of the shadow on the "floor" or on the "blocks" of furniture."""
    h, w = b.z.shape
    mask = np.zeros((h // SCALE_DOWN + 2, w // SCALE_DOWN + 2))
    for at, out, block in _planes(props, camera, level):
        if out @ camera.toward < LEAST_SEEN:
            continue
        off = (world - at) @ out
        near = np.flatnonzero((off < NEAR) & (off > SUNK))
        if block is not None and len(near):
            local = np.abs((world[near] - block.centre) @ block.axes)
            inside = (local <= block.half + 0.004) | (np.abs(block.axes.T @ out) > 0.5)
            near = near[inside.all(axis=1)]
        if not len(near):
            continue
        low = world[near] - off[near, None] * out
        pixel = ((camera.project(low) - (b.left, b.top)) * b.px / SCALE_DOWN).astype(int)
        pixel = np.clip(pixel, 2, (w // SCALE_DOWN - 2, h // SCALE_DOWN - 2))
        mask[pixel[:, 1], pixel[:, 0]] = 1.0
    for _ in range(2):  # close gaps, round corners; wider than high
        mask[:, 1:-1] = (mask[:, :-2] + mask[:, 1:-1] + mask[:, 2:]) / 3
    mask[1:-1] = (mask[:-2] + mask[1:-1] + mask[2:]) / 3
    return np.asarray(mask > 0.10)
