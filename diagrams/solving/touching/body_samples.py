"""Points all over the body, to see what is inside a prop."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from limberleaf.diagrams.adults import per_build
from limberleaf.diagrams.body.girths import girth
from limberleaf.diagrams.body.kinematics import Kinematics
from limberleaf.diagrams.body.skeleton import SIDES, Array, skeleton
from limberleaf.diagrams.solving.solved import Block


@per_build
def body_samples() -> tuple[NDArray[np.intp], Array, Array]:
    """Return segment numbers, places in their frames and radii of points all over the limbs."""
    body = skeleton()
    segments, places, radii = [], [], []
    for name, start, end, count, r0, r1 in (
        ("thigh", (0, -0.03, 0), (0, -0.245, 0), 6, 0.040, 0.029),
        ("shank", (0, -0.02, 0), (0, -0.246, 0), 6, 0.029, 0.019),
        ("foot", (-0.025, -0.030, 0), (0.079, -0.030, 0), 4, 0.009, 0.009),
        ("toes", (0.015, 0.008, 0), (0.035, 0.008, 0), 2, 0.008, 0.008),
        ("upper_arm", (0, -0.04, 0), (0, -0.167, 0), 4, 0.024, 0.021),
        ("forearm", (0, -0.02, 0), (0, -0.15, 0), 4, 0.020, 0.015),
        ("hand", (0, -0.02, 0), (0, -0.055, 0), 2, 0.013, 0.012),
        ("fingers", (0, -0.02, 0), (0, -0.055, 0), 2, 0.010, 0.007),
    ):
        for side in SIDES:
            for share in np.linspace(0, 1, count):
                segments.append(body.segment(f"{name}_{side}"))
                places.append((1 - share) * np.array(start) + share * np.array(end))
                radii.append(((1 - share) * r0 + share * r1) * girth(name, float(places[-1][1])))
    for name, at, radius in (
        ("pelvis", (0, 0, 0), 0.05),
        ("pelvis", (0, 0.05, 0), 0.05),
        ("lumbar", (0, 0, 0), 0.05),
        ("thorax_low", (0, 0, 0), 0.05),
        ("thorax", (0, 0, 0), 0.05),
        ("head", (0.004, 0.023, 0), 0.062),
    ):
        segments.append(body.segment(name))
        places.append(np.array(at, dtype=float))
        radii.append(radius * girth(name, at[1]))
    return np.array(segments, dtype=np.intp), np.array(places), np.array(radii)


@per_build
def sample_girths() -> Array:
    """Return the build's factor on the radius of each of `body_samples`, (k,): more flesh gives way further."""
    segments, places, _ = body_samples()
    kinds = [skeleton().segments[i].removesuffix("_left").removesuffix("_right") for i in segments]
    return np.array([girth(kind, float(at[1])) for kind, at in zip(kinds, places, strict=True)])


def sample_places(kin: Kinematics) -> Array:
    """Return the world places of `body_samples`, (k, 3)."""
    segments, places, _ = body_samples()
    return kin.places(segments, places)


def inside(block: Block, points: Array, radius: Array) -> Array:
    """Return how deep points with a radius are in a box, (k,); 0 outside."""
    local = np.abs((points - block.centre) @ block.axes) - block.half
    depth = radius - local.max(axis=1)
    corner = np.maximum(local, 0.0)
    touching = np.sqrt(np.einsum("ij,ij->i", corner, corner)) < radius + 1e-9
    return np.where(touching, np.maximum(depth, 0.0), 0.0)
