"""Which parts of a figure get an arrow, and the way each goes."""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass

import numpy as np

from limberleaf.diagrams.body.kinematics import forward
from limberleaf.diagrams.body.origins import segment_origin
from limberleaf.diagrams.body.skeleton import SIDES, Posed, skeleton
from limberleaf.diagrams.picture.displaylist import Points
from limberleaf.diagrams.scene.camera import Camera, Vec
from limberleaf.diagrams.scene.emphasis import LEAST_TURN, figure_motions
from limberleaf.diagrams.scene.parts import part_places
from limberleaf.diagrams.solving.interpolate import mixed, rebase
from limberleaf.diagrams.solving.solved import SolvedFigure, SolvedPose

PATH_STEPS = 11


@dataclass(frozen=True)
class Trail:
    """Where a part goes (n, 3), its half thickness (H) and the segment it rides on."""

    places: Vec
    thickness: float
    segment: str


def path_of(before: Posed, after: Posed, segment: str, start: Vec, end: Vec) -> Vec:
    """Return the path (n, 3) of a point that rides on a segment from `start` to `end`, by joint angles."""
    local_start = before.frames[segment].T @ (start - segment_origin(before, segment))
    local_end = after.frames[segment].T @ (end - segment_origin(after, segment))
    number_of = skeleton().segment(segment)
    target = rebase(after, before.base)
    places = []
    for share in np.linspace(0.0, 1.0, PATH_STEPS):
        kinematics = forward(mixed(before.q, target, float(share)), before.base)
        places.append(kinematics.place(number_of, local_start * (1 - share) + local_end * share))
    return np.array(places)


def trails(
    solved: SolvedFigure, number: int, without: Collection[str] = (), least: float | None = None
) -> list[Trail]:
    """Return the trails of the parts that get an arrow on the way into a panel, the longest first but for what returns.

    `without`: parts told otherwise; `least`: the share of the longest way below which a part only sways.
    """
    if "none" in solved.spec.arrow:
        return []
    names = [name for name in solved.spec.arrow if name not in without]
    before, after = solved.poses[number - 1], solved.poses[number]
    found = []
    if names == ["head"]:  # the crown goes furthest: its path shows the tilt
        start, end = before.posed.points["vertex"], after.posed.points["vertex"]
        found = [_trail(before, after, start, end, 0.012, "head")]
    elif names:
        for name in names:
            first = part_places(name, before.posed, solved.affected, solved.lead)
            last = part_places(name, after.posed, solved.affected, solved.lead)
            for one, two in zip(first, last, strict=True):
                found.append(
                    _trail(before, after, (one[0] + one[1]) / 2, (two[0] + two[1]) / 2, one[2], one[3])
                )
    else:
        found = _moving_most(solved, before, after)
    found = [trail for trail in found if way_of(trail) > LEAST_WAY]
    most = max((way_of(trail) for trail in found), default=0.0)
    found = [trail for trail in found if way_of(trail) > (LEAST_SHARE if least is None else least) * most]
    return sorted(found, key=lambda trail: returns(trail, solved, number))


LEAST_WAY = 0.012
"""The way (H) below which a part gets no arrow."""
LEAST_SHARE, LEAST_ROCK = 0.25, 0.08
"""Of several parts named, one that goes less than this share of the longest way only sways; to and fro it rocks."""


def way_of(trail: Trail) -> float:
    """Return how far (H) a part goes in all."""
    return float(np.linalg.norm(trail.places[-1] - trail.places[0]))


def returns(trail: Trail, solved: SolvedFigure, number: int) -> bool:
    """Whether a part only comes back to where it was two panels ago: the first foot of a march goes down again."""
    if number < 2:
        return False
    earlier, before = solved.poses[number - 2].posed, solved.poses[number - 1].posed
    frame, origin = before.frames[trail.segment], segment_origin(before, trail.segment)
    there = frame.T @ (trail.places[0] - origin)
    first = segment_origin(earlier, trail.segment) + earlier.frames[trail.segment] @ there
    return float(np.linalg.norm(trail.places[-1] - first)) < LEAST_SHARE * way_of(trail)


# For a joint that moves: the places that may carry the arrow, the segment they ride on,
# its half thickness (H), and how much their way counts: an ankle speaks before a knee.
ARROW_ENDS: dict[str, tuple[tuple[str, str, float, float], ...]] = {
    "leg": (("ankle", "foot", 0.030, 1.0), ("knee", "shank", 0.036, 0.7)),
    "foot": (("toe", "toes", 0.016, 1.0), ("heel", "foot", 0.016, 1.0)),
    "arm": (("wrist", "hand", 0.026, 1.0), ("elbow", "forearm", 0.024, 0.7)),
    "hand": (("fingertip", "fingers", 0.016, 1.0),),
    "girdle": (("shoulder", "upper_arm", 0.034, 1.0),),
}
ARROW_OF_JOINT = {
    "hip": "leg",
    "knee": "leg",
    "ankle": "foot",
    "toes": "foot",
    "shoulder": "arm",
    "elbow": "arm",
    "shoulder_girdle": "girdle",
    "forearm": "hand",
    "wrist": "hand",
    "fingers": "hand",
}
WHOLE_BODY = 0.06
"""Path of the pelvis (H) above which the whole body moves."""


def _moving_most(solved: SolvedFigure, before: SolvedPose, after: SolvedPose) -> list[Trail]:
    """The end that moves most among those the figure is about."""
    rows: list[tuple[float, str, str, float]] = []

    def add(point: str, segment: str, radius: float, worth: float) -> None:
        way = float(np.linalg.norm(after.posed.points[point] - before.posed.points[point])) * worth
        rows.append((round(way, 6), point, segment, radius))

    motions = figure_motions(solved)
    stated = any(motion in solved.poses[-1].stated for motion in motions)
    pelvis = float(np.linalg.norm(after.posed.points["pelvis_mid"] - before.posed.points["pelvis_mid"]))
    if stated:
        legs = any(motion.startswith(("hip", "knee", "ankle")) for motion in motions)
        for motion in motions:
            _add_ends(motion, solved.affected, legs, add)
    if pelvis > WHOLE_BODY and not (stated and max((row[0] for row in rows), default=0.0) > 2 * pelvis):
        rows.clear()
        add("pelvis_mid", "pelvis", 0.055, 1.0)
    elif not stated:
        add("head_centre", "head", 0.075, 1.0)
        for motion in motions:
            _add_ends(motion, solved.affected, True, lambda p, s, r, w: add(p, s, r, w * 0.5))
    if not rows:
        return []
    way, point, segment, radius = max(rows, key=lambda row: row[0])
    start, end = before.posed.points[point], after.posed.points[point]
    return [_trail(before, after, start, end, radius, segment)] if way > 0.02 else []


def _add_ends(motion: str, affected: str, legs: bool, add: Callable[[str, str, float, float], None]) -> None:
    """Offer the ends that show one motion. The affected side speaks first, and a leg before an arm."""
    joint = motion.split(".", maxsplit=1)[0]
    side = next((s for s in SIDES if joint.endswith(f"_{s}")), None)
    if side:
        kind = ARROW_OF_JOINT[joint.removesuffix(f"_{side}")]
        worth = (1.0 if side == affected else 0.6) * (0.6 if legs and kind not in {"leg", "foot"} else 1.0)
        for point, segment, radius, share in ARROW_ENDS[kind]:
            add(f"{point}_{side}", f"{segment}_{side}", radius, worth * share)
    elif joint == "neck":
        add("head_centre", "head", 0.075, 1.0)
    else:
        for one in SIDES:
            add(f"shoulder_{one}", "thorax", 0.045, 1.0 if one == affected else 0.9)


def _trail(before: SolvedPose, after: SolvedPose, start: Vec, end: Vec, radius: float, segment: str) -> Trail:
    """The path of a point fixed to a segment, by the joint angles between two poses."""
    return Trail(path_of(before.posed, after.posed, segment, start, end), radius, segment)


TURNING_PARTS = {"head", "neck", "chin", "forehead", "trunk", "chest", "upper back"}
"""Parts whose turn an author may name for the arrow; any other part gets its own way."""
TURN_RADIUS = 0.105
TURN_FLATNESS = 0.36
"""A turn is drawn as a flat ring over the head; seen from the side it stays at least this round."""


def turn_arrow(solved: SolvedFigure, number: int, camera: Camera) -> Points | None:
    """Return the arrow (9, 2) of a turn about the body's own length, over the head, or None when there is none."""
    motions = [
        name for name in figure_motions(solved)[:1] if "rotation_right" in name and "pelvis" not in name
    ]
    if not motions or not set(solved.spec.arrow) <= TURNING_PARTS:
        return None
    before, after = solved.poses[number - 1].posed, solved.poses[number].posed
    right_turn = sum(
        after.angles[name] - before.angles[name]
        for name in figure_motions(solved)
        if name.endswith("rotation_right")
    )
    axis = after.frames["head"][:, 1]
    across = np.cross(axis, camera.toward)
    size = float(np.linalg.norm(across))
    if abs(right_turn) < LEAST_TURN or size < 0.2:
        return None
    across = across / size
    nearest = np.cross(across, axis)
    # A turn to the right carries the front of the body about the axis, clockwise seen from the head.
    way = -np.sign(right_turn) * float(np.sign(np.cross(axis, nearest) @ across))
    centre = camera.project(after.points["vertex"] + axis * 0.075)[0]
    sideways = camera.on_paper(across)
    along = camera.on_paper(-axis)
    flat = max(TURN_FLATNESS, abs(float(nearest @ camera.up)))
    angles = np.radians(np.linspace(-75, 75, 9)) * way
    ring = np.sin(angles)[:, None] * sideways + np.cos(angles)[:, None] * along / np.hypot(*along) * flat
    return np.asarray(centre + ring * TURN_RADIUS * camera.scale)
