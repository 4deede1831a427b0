"""A solved pose as the placing of props reads it, and the spots of the body that props go by."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from limberleaf.diagrams.body.kinematics import Kinematics
from limberleaf.diagrams.body.skeleton import Array, Side, Vec3
from limberleaf.diagrams.body.vectors import cross, norm
from limberleaf.diagrams.solving.asked.state import State, Touch
from limberleaf.diagrams.solving.solved import Block
from limberleaf.diagrams.solving.touching.contacts import PALM_AT, plane_of
from limberleaf.diagrams.solving.touching.places import (
    UP,
    Thing,
    World,
    samples,
    segment_number,
    target,
)


@dataclass(frozen=True)
class Scene:
    """One solved pose as the placing of props reads it."""

    state: State
    kin: Kinematics
    base: Array


def forward_of(base: Array) -> Vec3:
    """Return the level direction a body faces; lying on the back or front, the direction of its feet or head."""
    level = base[:, 0] * np.array([1.0, 0.0, 1.0])
    if norm(level) < 0.5:
        level = -base[:, 1] if base[1, 0] > 0 else base[:, 1]
        level = level * np.array([1.0, 0.0, 1.0])
    out: Vec3 = level / norm(level)
    return out


def touching_points(thing: Thing, world: World, scene: Scene) -> list[tuple[Touch, list[Vec3]]]:
    """Return the touches that rest on a prop with their points on its surface."""
    found = []
    for touch in scene.state.touches:
        plane = plane_of(touch, world)
        if plane is None or plane.thing is not thing:
            continue
        points = [
            scene.kin.place(s.segment, s.at) - plane.normal * s.radius
            for s in samples(touch.part, touch.side)
        ]
        found.append((touch, points))
    return found


def palm(kin: Kinematics, side: Side) -> Vec3:
    """Return the middle of a palm, on its skin."""
    return kin.place(segment_number("hand", side), PALM_AT + np.array([0.016, 0.0, 0.0]))


def spot_of(kin: Kinematics, part: str, side: Side | None) -> Vec3:
    """Return the middle of a part of the body."""
    there = target(part, side)
    return kin.place(there.segment, there.at)


def _frame(forward: Vec3) -> Array:
    return np.column_stack([forward, UP, cross(forward, UP)])


def solid_block(name: str, centre: Vec3, forward: Vec3, size: tuple[float, float, float]) -> Block:
    """Return a box with its length along `forward`."""
    return Block(name, centre, _frame(forward), np.array(size) / 2)


@dataclass(frozen=True)
class Foot:
    """The plan of a standing prop: where its near edge begins along `forward` and its middle across."""

    near: float
    across: float
