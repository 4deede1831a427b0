"""Trunk, neck and head as drawable parts."""

from __future__ import annotations

from functools import cache

import numpy as np

from limberleaf.diagrams.body.skeleton import SIDES, Posed
from limberleaf.diagrams.body.vectors import cross, norm
from limberleaf.diagrams.drawing.figure_ends import ellipsoids_placed
from limberleaf.diagrams.drawing.figure_shapes import (
    BodyPart,
    Path,
    Tracing,
    Wish,
    hem_points,
    ring_table,
    rings_between,
    shapes,
    smooth_line,
    tube_path,
)
from limberleaf.diagrams.drawing.hull import Blob, add_hull
from limberleaf.diagrams.drawing.tube import Rings
from limberleaf.diagrams.scene.camera import Camera, Vec
from limberleaf.diagrams.writing.displaylist import PathBuilder

SPINE_FRAMES = ("pelvis", "pelvis", "lumbar_low", "lumbar", "thorax_low", "thorax_mid", "thorax")


def trunk_rings(posed: Posed) -> Rings:
    """Place the trunk's rings along the curved and twisted spine."""
    table = ring_table("trunk")
    spine = np.array([posed.points[f"spine_{i}"] for i in range(7)])
    frames = np.array([posed.frames[name] for name in SPINE_FRAMES])
    steps = np.linalg.norm(np.diff(spine, axis=0), axis=1)
    run = np.concatenate([[0.0], np.cumsum(steps)]) / steps.sum()
    places = np.interp(table[:, 0], run, np.arange(7.0))
    low = np.minimum(places.astype(int), 5)
    part = (places - low)[:, None]
    centres = spine[low] * (1 - part) + spine[low + 1] * part
    for row, edge, out in ((0, 0, table[0, 0]), (-1, 6, table[-1, 0] - 1)):
        centres[row] = spine[edge] + frames[edge][:, 1] * out * steps.sum()
    # A frame belongs to the piece above its point: the pose turns between pieces, so neighbours are blended.
    mixed = frames[low] * (1 - part[..., None]) + frames[low + 1] * part[..., None]
    mixed /= np.linalg.norm(mixed, axis=1, keepdims=True)
    centres = centres + table[:, 4:5] * mixed[:, :, 0]
    axes = np.stack(
        [table[:, 1:2] * mixed[:, :, 0], table[:, 3:4] * mixed[:, :, 1], table[:, 2:3] * mixed[:, :, 2]],
        axis=1,
    )
    return Rings(centres, axes)


@cache
def _waist() -> float:
    """Return the ring number of the waist."""
    table = ring_table("trunk")
    return float(np.interp(shapes()["clothes"]["waist"], table[:, 0], np.arange(len(table))))


def trunk_part(posed: Posed, camera: Camera) -> Tracing:
    """Return the trunk: one outline along the spine, joined with the shoulders."""
    rings = trunk_rings(posed)
    traced = yield Wish([rings], [_shoulders(posed, rings)])
    tube = traced.tubes[0]
    path = PathBuilder()
    tube.whole(path)
    add_hull(path, traced.hulls[0])
    across = rings.axes[:, 2] * 0.55
    inner = np.vstack([rings.centres, rings.centres + across, rings.centres - across])
    depth = ring_table("trunk")[:, 1]
    part = BodyPart("trunk", "core", None, path.done(), inner, np.tile(depth * 0.9, 3), tube)
    if tube.hull is None:
        hem = hem_points(rings, _waist(), camera)
        bottom = PathBuilder()
        tube.piece(bottom, 0.0, _waist(), cap_start=True, edge=hem)
        part.cloth = bottom.done()
        part.details.append(("hem", smooth_line(hem)))
    return part


def _shoulders(posed: Posed, rings: Rings) -> Blob:
    """The yoke from the root of the neck to both shoulders, following the shoulder girdle."""
    top = len(rings.centres) - 1
    centres = [rings.centres[top], rings.centres[top - 2]]
    axes = [rings.axes[top], rings.axes[top - 2] * 0.8]
    ball = posed.frames["thorax"].T * np.array([0.030, 0.027, 0.026])[:, None]
    for side in SIDES:
        centres.append(posed.points[f"shoulder_{side}"])
        axes.append(ball)
    return Blob(np.array(centres), np.array(axes), 8)


def neck_part(posed: Posed, camera: Camera) -> Tracing:
    """Return the neck from the neckline of the shirt, which dips in front, into the head."""
    table = ring_table("neck")
    low, high = posed.frames["thorax"], posed.frames["head"]
    start, end = posed.points["spine_6"], posed.points["head_base"]
    first = rings_between(start, end, low, table)
    last = rings_between(start, end, high, table)
    share = np.clip(table[:, 0], 0, 1)[:, None]
    centres = first.centres * (1 - share) + last.centres * share
    axes = first.axes * (1 - share[..., None]) + last.axes * share[..., None]
    dip = np.radians(shapes()["clothes"]["neckline_dip"])
    fore = norm(axes[0, 0])
    axes[0, 0] = fore * (np.cos(dip) * low[:, 0] - np.sin(dip) * low[:, 1])
    rings = Rings(centres, axes)
    # The tube is followed from the head down, so that the neckline can end it.
    traced = yield Wish([Rings(centres[::-1], axes[::-1])])
    tube = traced.tubes[0]
    if tube.hull is None:
        path = PathBuilder()
        tube.piece(path, 0.0, len(centres) - 1.0, cap_start=True, edge=hem_points(rings, 0.0, camera))
        shown = path.done()
    else:
        shown = tube_path(tube)
    return BodyPart("neck", "core", None, shown, rings.centres, rings.radius(), tube)


def head_part(posed: Posed, camera: Camera) -> Tracing:
    """Return the head: skull and jaw, nose, ears, eyes, mouth and a cap of hair."""
    frame, centre = posed.frames["head"], posed.points["head_centre"]
    centres, axes = ellipsoids_placed("head", ("skull", "jaw"), frame, centre, 1.0)
    facing = float(frame[:, 0] @ camera.toward)
    head = [Blob(centres, axes, 12)] + ([_nose(frame, centre)] if abs(facing) < 0.9 else [])
    ears = [
        Blob(*ellipsoids_placed("head", ("ear",), frame, centre, side), 6)
        for side in (-1.0, 1.0)
        if side * (frame[:, 2] @ camera.toward) > -0.35
    ]
    traced = yield Wish(blobs=[*head, *ears])
    path = PathBuilder()
    for hull in traced.hulls[: len(head)]:
        add_hull(path, hull)
    part = BodyPart("head", "core", None, path.done(), centres, np.array([0.052, 0.030]))
    part.details.append(("hair", _hair(centres[0], axes[0], camera)))
    for hull in traced.hulls[len(head) :]:
        ear = PathBuilder()
        add_hull(ear, hull)
        part.details.append(("ear", ear.done()))
    part.details += _face(frame, centre, centres[0], camera, facing)
    return part


def _nose(frame: Vec, centre: Vec) -> Blob:
    row = shapes()["head"]["nose"]
    half = row["half_width"]
    points = [row["root"], row["tip"], *([*row["base"][:2], z] for z in (-half, half))]
    ball = np.eye(3) * 0.0035
    return Blob(centre + np.array(points) @ frame.T, np.array([ball * 0.6, ball * 1.3, ball, ball]), 8)


@cache
def _eyes() -> tuple[Vec, Vec]:
    """Return the directions of both eyes (2, 3) in the head's frame and their places from the skull's centre."""
    data = shapes()["head"]
    eye, half = data["eye"], np.array(data["skull"]["axes"])
    ways = np.array([[eye["forward"], eye["up"], side * eye["outward"]] for side in (-1.0, 1.0)])
    ways /= np.linalg.norm(ways, axis=1, keepdims=True)
    return ways, ways / np.sqrt(((ways / half) ** 2).sum(axis=1, keepdims=True))


@cache
def _mouth() -> tuple[Vec, Vec]:
    """Return places along the mouth (5, 3) in the head's frame and the directions they face."""
    places = np.array([[0.0455, -0.0395, z] for z in (-0.014, -0.007, 0.0, 0.007, 0.014)])
    places[:, 0] -= np.abs(places[:, 2]) ** 2 * 45
    places[:, 1] += np.abs(places[:, 2]) ** 2 * 14
    normal = np.column_stack([np.ones(5), np.full(5, -0.25), places[:, 2] * 40])
    return places, normal / np.linalg.norm(normal, axis=1, keepdims=True)


def _face(frame: Vec, centre: Vec, skull: Vec, camera: Camera, facing: float) -> list[tuple[str, Path]]:
    marks: list[tuple[str, Path]] = []
    toward = frame.T @ camera.toward
    ways, spots = _eyes()
    eyes = camera.project(skull + spots @ frame.T)[ways @ toward > 0.28]
    radius = shapes()["head"]["eye"]["radius"] * camera.scale
    marks += [("ink", PathBuilder().circle(spot, radius).done()) for spot in eyes.tolist()]
    mouth, normal = _mouth()
    seen = normal @ toward > 0.15
    if seen.sum() >= 2:
        flat = camera.project(centre + mouth[seen] @ frame.T)
        marks.append(("thin", PathBuilder().move(flat[0]).through(flat).done()))
    if facing >= 0.75:
        nose = np.array([[0.060, 0.004, 0.0], [0.068, -0.013, 0.004], [0.060, -0.017, -0.004]])
        nose[:, 2] *= np.sign(frame[:, 2] @ camera.right or 1.0)
        flat = camera.project(centre + nose @ frame.T)
        marks.append(("thin", PathBuilder().move(flat[0]).through(flat).done()))
    return marks


HAIRLINE = 48
"""Places along the edge of the hair."""
_BEFORE = np.arange(HAIRLINE) - 1


@cache
def _hairline() -> tuple[Vec, Vec]:
    """Return the middle of the hair cap (3,) and its edge (48, 3) on the unit sphere the skull is stretched from."""
    data = shapes()["head"]["hair"]
    axis = np.array([data["direction"][0], data["direction"][1], 0.0])
    axis /= np.linalg.norm(axis)
    one = np.array([-axis[1], axis[0], 0.0])
    angles = np.linspace(0, 2 * np.pi, HAIRLINE, endpoint=False)
    wave = data["edge"] + data["temple"] * np.abs(np.sin(angles)) ** 2
    across = np.array([0.0, 0.0, 1.0])
    line = np.cos(angles)[:, None] * one + np.sin(angles)[:, None] * across
    return axis, axis * wave[:, None] + np.sqrt(1 - wave**2)[:, None] * line


def _hair(centre: Vec, axes: Vec, camera: Camera) -> Path:
    """The visible part of a spherical cap, worked out on the unit sphere the skull is stretched from.

    Its outline is the hairline where that faces the eye, closed along the edge of the skull.
    """
    # Depth on the skull grows with this direction of the unit sphere; the skull's edge is where it is square to it.
    eye = axes @ camera.toward
    eye = eye / norm(eye)
    axis, line = _hairline()
    seen = line @ eye > 0
    if not seen.any():
        rim = _rim(eye, np.linspace(0, 2 * np.pi, 12, endpoint=False))
        return PathBuilder().loop(camera.project(centre + rim @ axes)).done() if axis @ eye > 0 else ()
    if seen.all():
        return PathBuilder().loop(camera.project(centre + line[::4] @ axes)).done()
    first = int((seen & ~seen[_BEFORE]).argmax())
    shown = line[(first + np.arange(int(seen.sum()))) % HAIRLINE]
    ends = [point - (point @ eye) * eye for point in (shown[-1], shown[0])]
    closing = _rim_between(eye, ends[0], ends[1], axis)
    hairline = camera.project(centre + shown[(np.arange(6) * (len(shown) - 1)) // 5] @ axes)
    edge = camera.project(centre + closing @ axes)
    path = PathBuilder().move(edge[-1]).line(hairline[0]).through(hairline).line(edge[0]).through(edge)
    return path.close().done()


def _rim(eye: Vec, angles: Vec) -> Vec:
    first = cross(eye, np.array([0.31, 0.53, 0.79]))
    first /= norm(first)
    return np.asarray(np.cos(angles)[:, None] * first + np.sin(angles)[:, None] * cross(eye, first))


def _rim_between(eye: Vec, start: Vec, end: Vec, through: Vec) -> Vec:
    """Points on the great circle square to `eye` from start to end, on the side of `through`."""
    start, end = start / norm(start), end / norm(end)
    second = cross(eye, start)
    turn = float(np.arctan2(end @ second, end @ start)) % (2 * np.pi)
    middle = np.cos(turn / 2) * start + np.sin(turn / 2) * second
    if middle @ through < 0 and turn > 0:
        turn -= 2 * np.pi
    angles = turn * np.arange(5) / 4
    return np.asarray(np.cos(angles)[:, None] * start + np.sin(angles)[:, None] * second)
