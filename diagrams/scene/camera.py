"""Orthographic cameras, named from the body's base pose.

A camera is three unit vectors in the world: `toward` (from the body to the eye), `right` and `up` on the paper.
"Side", "front" and "above" are taken from how the body lies or stands, not from the room: the side of a person lying
on the side would be a look along the body. `BodyAxes` carries that reading; `candidates` lists the cameras tried.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

Vec = NDArray[np.float64]

WORLD_UP = np.array([0.0, 1.0, 0.0])


@dataclass(frozen=True)
class Camera:
    """An orthographic view. `azimuth` is 0 at the body's near side, 90 in front; `elevation` is the eye's height."""

    name: str
    azimuth: float
    elevation: float
    toward: Vec
    right: Vec
    up: Vec
    scale: float

    def project(self, points: Vec) -> Vec:
        """Return paper coordinates (n, 2), x right and y down, in user units."""
        return np.asarray(points.reshape(-1, 3) @ self._paper)

    @cached_property
    def _paper(self) -> Vec:
        """The two directions of the paper as columns (3, 2), in user units to an H."""
        return np.column_stack([self.right, -self.up]) * self.scale

    def depth(self, points: Vec) -> Vec:
        """Return how near the eye points are, in H; larger is nearer."""
        return np.asarray(np.atleast_2d(points) @ self.toward)

    def on_paper(self, direction: Vec) -> Vec:
        """Return the paper direction (2,), y down, of a world direction, its length as seen."""
        return np.array([direction @ self.right, -(direction @ self.up)])


@dataclass(frozen=True)
class BodyAxes:
    """The two level directions a base pose offers a camera: `flank` (azimuth 0) and `front` (azimuth 90).

    `lying` means that the trunk is level; `on_side` that the flank is under the body, so that the chest is looked at.
    """

    flank: Vec
    front: Vec
    lying: bool
    on_side: bool


def level(direction: Vec) -> Vec:
    """Return the level part of a direction as a unit vector."""
    flat = direction - (direction @ WORLD_UP) * WORLD_UP
    length = float(np.linalg.norm(flat))
    return flat / length if length > 1e-9 else np.array([1.0, 0.0, 0.0])


def body_axes(pelvis: Vec, near_side: float) -> BodyAxes:
    """Read the axes from a pelvis frame (columns forward, up, right).

    `near_side` is +1 when the right side is to be near the eye, -1 for the left.
    """
    forward, upward, right = pelvis.T
    lying = abs(upward @ WORLD_UP) < 0.6
    on_side = lying and abs(right @ WORLD_UP) > 0.7
    if on_side:
        return BodyAxes(flank=level(forward), front=-level(upward), lying=True, on_side=True)
    if lying:
        flank = level(right * near_side)
        face_up = forward @ WORLD_UP > 0
        return BodyAxes(flank=flank, front=level(-upward if face_up else upward), lying=True, on_side=False)
    return BodyAxes(flank=level(right * near_side), front=level(forward), lying=False, on_side=False)


def camera_at(axes: BodyAxes, name: str, azimuth: float, elevation: float, scale: float) -> Camera:
    """Return the camera at an azimuth (degrees from the flank towards the front) and an elevation (degrees)."""
    az, el = np.radians(azimuth), np.radians(elevation)
    flat = np.cos(az) * axes.flank + np.sin(az) * axes.front
    toward = np.cos(el) * flat + np.sin(el) * WORLD_UP
    # The cross products up x flat and toward x right, written out: np.cross takes longer than all the rest.
    right = np.array([flat[2], 0.0, -flat[0]])
    (x, y, z), (a, _, c) = toward, right
    up = np.array([y * c, z * a - x * c, -y * a])
    return Camera(name, azimuth, elevation, toward, right, up, scale)


SLICE, RAISE = 13.0, 9.0
"""A side view is turned so far from exact (97 % of every length is kept) and raised so far, so that the far limb always
shows a slice (our own measurements on the demo figures, no source)."""
FROM_BEHIND = -20.0
"""Azimuth of a side view with a wall or table ahead: its face and the hands on it are seen."""


def named_camera(axes: BodyAxes, name: str, scale: float) -> Camera:
    """Return the camera an author names: side, front, back, above or slant, for a body with nothing in its way."""
    if name == "front":
        return _front(axes, scale)
    if name == "back":
        azimuth = 180.0 if axes.on_side else -90.0
        return camera_at(axes, name, azimuth, 8 if axes.on_side else 5, scale)
    if name == "above":
        return camera_at(axes, name, 0 if axes.lying else 90, 90, scale)
    if name == "slant":
        return camera_at(axes, name, 30, 30, scale) if axes.lying else camera_at(axes, name, -30, 15, scale)
    if axes.on_side:
        # The flank of a body on its side faces the ceiling.
        return camera_at(axes, "above", 0, 90, scale)
    return (
        camera_at(axes, "side", 10, 17, scale) if axes.lying else camera_at(axes, "side", SLICE, RAISE, scale)
    )


def _front(axes: BodyAxes, scale: float) -> Camera:
    """The front of a lying body faces the ceiling; of a body lying on its side, the eye beside the mat."""
    if axes.on_side:
        return camera_at(axes, "front", 0, 18, scale)
    if axes.lying:
        return camera_at(axes, "above", 0, 90, scale)
    return camera_at(axes, "front", 90, 5, scale)


UPRIGHT = (
    ("side", SLICE, RAISE),
    ("side", -SLICE, RAISE),
    ("side", FROM_BEHIND, RAISE),
    ("side", SLICE, 14),
    ("front", 90, 5),
    ("front", 72, 12),
    ("back", -90, 5),
    ("slant", 36, 15),
    ("slant", 60, 14),
    ("slant", -36, 15),
    ("slant", -60, 14),
    ("slant", 120, 12),
)
LYING = (
    ("side", 10, 17),
    ("side", 9, 5),
    ("side", -10, 17),
    ("slant", 40, 24),
    ("slant", 74, 36),
    ("slant", -40, 24),
    ("slant", 0, 40),
    ("slant", 140, 24),
    ("above", 0, 90),
)
ON_SIDE = (
    ("front", 0, 18),
    ("front", 0, 10),
    ("front", 14, 18),
    ("slant", 25, 30),
    ("slant", -25, 30),
    ("back", 180, 15),
)


def candidates(axes: BodyAxes, scale: float) -> list[Camera]:
    """Return the cameras worth trying for a base pose, the plainest first."""
    table = ON_SIDE if axes.on_side else LYING if axes.lying else UPRIGHT
    return [camera_at(axes, name, azimuth, elevation, scale) for name, azimuth, elevation in table]
