"""A posed body as drawable parts: rings become outlines, each with what the painter must know.

The story in order: `body_parts` walks the body and gives a `BodyPart` for the trunk, neck, head and each limb
segment, with the outline as the camera sees it, the spheres used to tell which part is in front, and the pieces
(clothes, joints, toes) painted on it. Surfaces come from `data/shapes.yml`; nothing is painted here.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cache
from typing import Any

import numpy as np

from diagrams.body import Posed, load_data
from diagrams.camera import Camera, Vec
from diagrams.displaylist import Command, PathBuilder, Points
from diagrams.tube import Outline, Rings, add_hull, ellipsoid_hull, outline

SIDES = ("left", "right")
Path = tuple[Command, ...]


@dataclass
class BodyPart:
    """One painted part of the body.

    `path`: the outline. `limb`: the limb it belongs to (leg_left, arm_right, core). `spheres`: (n, 3) places and
    (n,) radii in H for depth. `cloth`: the
    clothed piece, `hem` its edge (5, 2) at a ring number. `details`: thin lines or dark fills on the part, as
    (kind, path).
    """

    name: str
    limb: str
    side: str | None
    path: Path
    places: Vec
    radii: Vec
    tube: Outline | None = None
    cloth: Path | None = None
    hem: Points | None = None
    hem_place: float = 0.0
    details: list[tuple[str, Path]] = field(default_factory=list)


@cache
def shapes() -> dict[str, Any]:
    """Return the surface data, read once."""
    return load_data("shapes")


@cache
def ring_table(name: str) -> Vec:
    """Return the rings of a part as an array (n, 6), see data/shapes.yml."""
    return np.array(shapes()[name], dtype=float)


def rings_between(start: Vec, end: Vec, frame: Vec, table: Vec, outward: float) -> Rings:
    """Place the rings of a table between two points, turned by a frame; `outward` is +1 on the right, -1 left."""
    along = (end - start)[None, :] * table[:, :1]
    shift = table[:, 4:5] * frame[:, 0] + outward * table[:, 5:6] * frame[:, 2]
    axes = np.stack(
        [table[:, 1:2] * frame[:, 0], table[:, 3:4] * frame[:, 1], table[:, 2:3] * frame[:, 2]], axis=1
    )
    return Rings(start + along + shift, axes)


def sign(side: str) -> float:
    """+1 for the right side, -1 for the left."""
    return 1.0 if side == "right" else -1.0


def tube_path(tube: Outline) -> Path:
    """Return the closed outline of a tube."""
    path = PathBuilder()
    tube.whole(path)
    return path.done()


def seam_patch(tube: Outline, *, at_start: bool, reach: float) -> Path | None:
    """Return the short piece of a tube next to a joint, `reach` units long, that covers a neighbour's round end."""
    if tube.hull is not None or tube.length < 1.5 * reach:
        return None
    steps = np.hypot(*np.diff(tube.centres, axis=0).T)
    run = np.concatenate([[0.0], np.cumsum(steps)])
    places = np.arange(len(run), dtype=float)
    path = PathBuilder()
    if at_start:
        tube.strip(path, 0.0, float(np.interp(reach, run, places)))
    else:
        tube.strip(path, float(np.interp(run[-1] - reach, run, places)), len(run) - 1.0)
    return path.done()


def hem_points(rings: Rings, place: float, camera: Camera) -> Points:
    """Return the visible half of a ring at a fractional ring number on paper (5, 2): a hem round the limb."""
    low = int(min(place, len(rings.centres) - 1.001))
    part = place - low
    centre = rings.centres[low] * (1 - part) + rings.centres[low + 1] * part
    axes = rings.axes[low] * (1 - part) + rings.axes[low + 1] * part
    angles = np.linspace(0, 2 * np.pi, 25)
    unit = np.column_stack([np.cos(angles), np.sin(angles)])
    normal = unit[:, :1] * axes[0] / (axes[0] @ axes[0]) + unit[:, 1:] * axes[2] / (axes[2] @ axes[2])
    seen = normal @ camera.toward >= 0
    start = int(np.flatnonzero(seen & ~np.roll(seen, 1))[0]) if (seen.any() and not seen.all()) else 0
    order = [(start + i) % 24 for i in range(13)]
    points = centre + unit[order, :1] * axes[0] + unit[order, 1:] * axes[2]
    return camera.project(points)[::3]


def smooth_line(points: Points) -> Path:
    """Return an open smooth line through points."""
    return PathBuilder().move(points[0]).through(points).done()


def _spheres(rings: Rings, count: int) -> tuple[Vec, Vec]:
    """Spread spheres evenly along a tube."""
    places = np.linspace(0, len(rings.centres) - 1, count)
    index = np.arange(len(rings.centres))
    centres = np.column_stack([np.interp(places, index, rings.centres[:, k]) for k in range(3)])
    return centres, np.interp(places, index, rings.radius())


SEGMENTS = (
    # part, frame, from, to, rings, spheres, limb
    ("thigh", "thigh", "hip", "knee", "thigh", 6, "leg"),
    ("shank", "shank", "knee", "ankle", "shank", 6, "leg"),
    ("upper-arm", "upper_arm", "shoulder", "elbow", "upper_arm", 5, "arm"),
    ("forearm", "forearm", "elbow", "wrist", "forearm", 5, "arm"),
)
CLOTHED = {"thigh": "shorts", "upper-arm": "sleeve"}


def limb_part(
    posed: Posed, camera: Camera, row: tuple[str, str, str, str, str, int, str], side: str
) -> BodyPart:
    """Return a long limb segment."""
    name, frame, start, end, table, count, limb = row
    rings = rings_between(
        posed.points[f"{start}_{side}"],
        posed.points[f"{end}_{side}"],
        posed.frames[f"{frame}_{side}"],
        ring_table(table),
        sign(side),
    )
    tube = outline(rings, camera)
    places, radii = _spheres(rings, count)
    part = BodyPart(f"{name}-{side}", f"{limb}_{side}", side, tube_path(tube), places, radii, tube)
    if name in CLOTHED:
        _dress(part, rings, tube, camera, shapes()["clothes"][CLOTHED[name]])
    return part


def _dress(part: BodyPart, rings: Rings, tube: Outline, camera: Camera, along: float) -> None:
    table = ring_table(part.name.rsplit("-", 1)[0].replace("-", "_"))
    place = float(np.interp(along, table[:, 0], np.arange(len(table))))
    if tube.hull is not None:
        part.cloth = part.path
        return
    hem = hem_points(rings, place, camera)
    path = PathBuilder()
    tube.piece(path, 0.0, place, cap_start=True, edge=hem)
    part.cloth, part.hem, part.hem_place = path.done(), hem, place
    part.details.append(("hem", smooth_line(hem)))


def scaled(frame: Vec, row: dict[str, list[float]], origin: Vec, outward: float) -> tuple[Vec, Vec]:
    """Return centre and half-axes of one named ellipsoid of the data, in the world."""
    at = np.array(row["at"]) * (1, 1, outward)
    return origin + frame @ at, frame.T * np.array(row["axes"])[:, None]


def foot_part(posed: Posed, camera: Camera, side: str) -> BodyPart:
    """Return a foot: heel, instep and toes as two overlapping hulls, with toe lines when their tops are seen."""
    data, outward = shapes(), sign(side)
    foot, toes = posed.frames[f"foot_{side}"], posed.frames[f"toes_{side}"]
    ankle, ball = posed.points[f"ankle_{side}"], posed.points[f"ball_{side}"]
    rows = [scaled(foot, data["foot"][key], ankle, outward) for key in ("heel", "ankle", "instep", "ball")]
    rows += [scaled(toes, data["toes"][key], ball, outward) for key in ("root", "tip")]
    centres, axes = (np.array(column) for column in zip(*rows, strict=True))
    path = PathBuilder()
    for members in ([0, 1, 2], [0, 2, 3], [3, 4, 5]):
        add_hull(path, ellipsoid_hull(centres[members], axes[members], camera, 8))
    part = BodyPart(
        f"foot-{side}", f"leg_{side}", side, path.done(), centres, np.linalg.norm(axes, axis=2)[:, 1]
    )
    part.details += [("thin", line) for line in _toe_lines(toes, ball, camera, outward)]
    return part


def _toe_lines(toes: Vec, ball: Vec, camera: Camera, outward: float) -> list[Path]:
    """Four short lines between the toes, when the upper side of the foot faces the eye."""
    if toes[:, 1] @ camera.toward < 0.35 and toes[:, 0] @ camera.toward < 0.6:
        return []
    lines = []
    for across in (-0.011, -0.002, 0.007, 0.015):
        start = ball + toes @ np.array([0.020, 0.0165, across * outward])
        end = ball + toes @ np.array([0.037 - abs(across + 0.006) * 0.35, 0.009, across * outward])
        ends = camera.project(np.array([start, end]))
        if np.hypot(*(ends[1] - ends[0])) > 1.2:
            lines.append(PathBuilder().move(ends[0]).line(ends[1]).done())
    return lines


def hand_part(posed: Posed, camera: Camera, side: str) -> BodyPart:
    """Return a hand: palm, mitt of fingers, and the thumb on its own side."""
    outward = sign(side)
    hand, fingers = posed.frames[f"hand_{side}"], posed.frames[f"fingers_{side}"]
    wrist, knuckle, tip = (posed.points[f"{name}_{side}"] for name in ("wrist", "knuckle", "fingertip"))
    palm = rings_between(wrist, knuckle, hand, ring_table("palm"), outward)
    mitt = rings_between(knuckle, tip, fingers, ring_table("fingers"), outward)
    thumb = shapes()["thumb"]
    joints = np.array(
        [wrist + hand @ (np.array(thumb[key]) * (1, 1, outward)) for key in ("start", "bend", "tip")]
    )
    balls = np.array([np.eye(3) * r for r in thumb["radius"]])
    path = PathBuilder()
    straight = float(hand[:, 1] @ fingers[:, 1]) > 0.9
    if straight:
        whole = Rings(np.vstack([palm.centres, mitt.centres[1:]]), np.vstack([palm.axes, mitt.axes[1:]]))
        tube = outline(whole, camera)
        tube.whole(path)
    else:
        tube = outline(palm, camera)
        for rings in (palm, mitt):
            add_hull(path, ellipsoid_hull(rings.centres, rings.axes, camera, 8))
    for ends in (slice(0, 2), slice(1, 3)):
        add_hull(path, ellipsoid_hull(joints[ends], balls[ends], camera, 6))
    places = np.vstack([palm.centres, mitt.centres, joints])
    radii = np.concatenate([palm.axes[:, 0, :], mitt.axes[:, 0, :]])
    part = BodyPart(
        f"hand-{side}",
        f"arm_{side}",
        side,
        path.done(),
        places,
        np.concatenate([np.linalg.norm(radii, axis=1) * 1.3, np.array(thumb["radius"])]),
    )
    part.tube = tube
    part.details += [("thin", line) for line in _finger_lines(mitt, fingers, camera)]
    return part


def _finger_lines(mitt: Rings, frame: Vec, camera: Camera) -> list[Path]:
    """Three lines between the fingers when palm or back of the hand is seen."""
    if abs(frame[:, 0] @ camera.toward) < 0.5:
        return []
    lines = []
    for share in (-0.46, 0.0, 0.46):
        across = mitt.axes[:, 2] * share
        ends = camera.project(
            np.array(
                [mitt.centres[0] * 0.75 + mitt.centres[1] * 0.25 + across[0], mitt.centres[-1] + across[-1]]
            )
        )
        lines.append(PathBuilder().move(ends[0]).line(ends[1]).done())
    return lines
