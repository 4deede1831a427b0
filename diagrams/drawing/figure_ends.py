"""Hands and feet as drawable parts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache

import numpy as np

from limberleaf.diagrams.body.skeleton import Posed
from limberleaf.diagrams.drawing.figure_shapes import BodyPart, Path, Tracing, Wish, ring_table, shapes, sign
from limberleaf.diagrams.drawing.hull import Blob, add_hull
from limberleaf.diagrams.drawing.tube import Rings
from limberleaf.diagrams.scene.camera import Camera, Vec
from limberleaf.diagrams.writing.displaylist import PathBuilder

FOOT, TOES = ("heel", "ankle", "instep", "ball"), ("root", "tip")
"""The ellipsoids of the two pieces of a foot, by their names in data/shapes.yml."""
FOOT_BLOBS = ([0, 1, 2], [0, 2, 3], [3, 4, 5])
"""Which ellipsoids (heel, ankle, instep, ball, toes' root and tip) make one convex piece of the foot."""
TOE_GAPS = (-0.011, -0.002, 0.007, 0.015)


@cache
def ellipsoids(group: str, names: tuple[str, ...], outward: float) -> tuple[Vec, Vec]:
    """Return places (n, 3) and half-axes (n, 3) of named ellipsoids in their own frame, for one side."""
    rows = [shapes()[group][name] for name in names]
    return np.array([row["at"] for row in rows]) * (1, 1, outward), np.array([row["axes"] for row in rows])


def ellipsoids_placed(
    group: str, names: tuple[str, ...], frame: Vec, origin: Vec, outward: float
) -> tuple[Vec, Vec]:
    """Return centres (n, 3) and half-axes (n, 3, 3) of named ellipsoids in the world."""
    at, half = ellipsoids(group, names, outward)
    return origin + at @ frame.T, frame.T * half[:, :, None]


def foot_part(posed: Posed, side: str, camera: Camera) -> Tracing:
    """Return a foot: heel, instep and toes as overlapping hulls, with toe lines when their tops are seen."""
    outward = sign(side)
    toes, ball = posed.frames[f"toes_{side}"], posed.points[f"ball_{side}"]
    foot, ankle = posed.frames[f"foot_{side}"], posed.points[f"ankle_{side}"]
    back = ellipsoids_placed("foot", FOOT, foot, ankle, outward)
    front = ellipsoids_placed("toes", TOES, toes, ball, outward)
    centres, axes = np.concatenate([back[0], front[0]]), np.concatenate([back[1], front[1]])
    traced = yield Wish(blobs=[Blob(centres[rows], axes[rows], 8) for rows in FOOT_BLOBS])
    path = PathBuilder()
    for hull in traced.hulls:
        add_hull(path, hull)
    part = BodyPart(f"foot-{side}", f"leg_{side}", side, path.done(), centres, _foot_radii())
    part.details += [("thin", line) for line in _toe_lines(toes, ball, camera, outward)]
    return part


@cache
def _foot_radii() -> Vec:
    back, front = (
        ellipsoids("foot", FOOT, 1.0),
        ellipsoids("toes", TOES, 1.0),
    )
    return np.concatenate([back[1][:, 1], front[1][:, 1]])


@cache
def _toe_gaps(outward: float) -> Vec:
    """Return the ends of the lines between the toes, (2 n, 3), in the frame of the toes."""
    ends = []
    for across in TOE_GAPS:
        ends.append((0.020, 0.0165, across * outward))
        ends.append((0.037 - abs(across + 0.006) * 0.35, 0.009, across * outward))
    return np.array(ends)


def _toe_lines(toes: Vec, ball: Vec, camera: Camera, outward: float) -> list[Path]:
    """Four short lines between the toes, when the upper side of the foot faces the eye."""
    if toes[:, 1] @ camera.toward < 0.35 and toes[:, 0] @ camera.toward < 0.6:
        return []
    return _lines(camera.project(ball + _toe_gaps(outward) @ toes.T), least=1.2)


def _lines(ends: Vec, least: float = 0.0) -> list[Path]:
    """Return straight lines between places (2 n, 2) taken two by two; those no longer than `least` are left out."""
    pairs = zip(ends[::2].tolist(), ends[1::2].tolist(), strict=True)
    return [
        PathBuilder().move(a).line(b).done()
        for a, b in pairs
        if not least or np.hypot(b[0] - a[0], b[1] - a[1]) > least
    ]


@cache
def _thumb(outward: float) -> tuple[Vec, Vec, Vec]:
    """Return the thumb's joints (3, 3) in the hand's frame, its balls (3, 3, 3) and their radii (3,)."""
    data = shapes()["thumb"]
    joints = np.array([data[key] for key in ("start", "bend", "tip")]) * (1, 1, outward)
    radii = np.array(data["radius"])
    return joints, radii[:, None, None] * np.eye(3), radii


@cache
def _hand_radii() -> Vec:
    palm, mitt = ring_table("palm")[:, 1], ring_table("fingers")[:, 1]
    return np.concatenate([np.concatenate([palm, mitt]) * 1.3, _thumb(1.0)[2]])


def hand_part(posed: Posed, rings: Mapping[str, Rings], side: str, camera: Camera) -> Tracing:
    """Return a hand: palm, mitt of fingers, and the thumb on its own side."""
    hand, fingers = posed.frames[f"hand_{side}"], posed.frames[f"fingers_{side}"]
    palm, mitt = rings[f"palm-{side}"], rings[f"mitt-{side}"]
    at, balls, _ = _thumb(sign(side))
    joints = posed.points[f"wrist_{side}"] + at @ hand.T
    thumb = [Blob(joints[ends], balls[ends], 6) for ends in (slice(0, 2), slice(1, 3))]
    straight = float(hand[:, 1] @ fingers[:, 1]) > 0.9
    if straight:
        whole = Rings(
            np.concatenate([palm.centres, mitt.centres[1:]]), np.concatenate([palm.axes, mitt.axes[1:]])
        )
        traced = yield Wish([whole], thumb)
    else:
        bent = [Blob(piece.centres, piece.axes, 8) for piece in (palm, mitt)]
        traced = yield Wish([palm], [*bent, *thumb])
    tube = traced.tubes[0]
    path = PathBuilder()
    if straight:
        tube.whole(path)
    for hull in traced.hulls:
        add_hull(path, hull)
    places = np.concatenate([palm.centres, mitt.centres, joints])
    part = BodyPart(f"hand-{side}", f"arm_{side}", side, path.done(), places, _hand_radii(), tube)
    part.details += [("thin", line) for line in _finger_lines(mitt, fingers, camera)]
    return part


def _finger_lines(mitt: Rings, frame: Vec, camera: Camera) -> Sequence[Path]:
    """Three lines between the fingers when palm or back of the hand is seen."""
    if abs(frame[:, 0] @ camera.toward) < 0.5:
        return ()
    share = np.array([-0.46, 0.0, 0.46])[:, None]
    starts = mitt.centres[0] * 0.75 + mitt.centres[1] * 0.25 + mitt.axes[0, 2] * share
    stops = mitt.centres[-1] + mitt.axes[-1, 2] * share
    return _lines(camera.project(np.stack([starts, stops], axis=1).reshape(-1, 3)))
