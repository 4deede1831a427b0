"""Marks on a figure: the arrow along a movement, a joint's angle, where a stretch is felt, the ghost of a limb.

Every mark is worked out in the world and then seen by the camera, so that an arrow follows the true path of the part
that moves and an angle is printed only where it can be read truly.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from limberleaf.diagrams.body.skeleton import SIDES, Posed, Side
from limberleaf.diagrams.drawing.tube import Rings, outline
from limberleaf.diagrams.language.words import part_rows, read_part, sides_of
from limberleaf.diagrams.scene.camera import Camera, Vec
from limberleaf.diagrams.writing.digits import number_path
from limberleaf.diagrams.writing.displaylist import Paint, PathBuilder, Points, Shape
from limberleaf.diagrams.writing.style import Style

SHAFT = 4.0
HEAD_LENGTH = 13.0
HEAD_WIDTH = 14.0
EDGE = 2.0
SHORT_PATH = 30.0
"""A path shorter than this (units) cannot carry an arrow; the arrow then stands beside the limb."""
LEVEL_EYE = 4.0
"""Degrees of the eye's height below which the floor is seen as a line."""
TRUE_PLANE = 15.0
"""Degrees the plane of an angle may be turned from the paper before the number lies (error up to 3 degrees)."""
ANGLE_RADIUS = 0.085
NUMBER_HEIGHT = 17.0


def part_places(name: str, posed: Posed, affected: Side, lead: Side) -> list[tuple[Vec, Vec, float, str]]:
    """Return for each side a part means: its ends (two points), radius (H), and the segment it rides on."""
    word = read_part(name)
    row = part_rows()[word.part]
    segment, start, end, radius = row["line"]
    result = []
    for side in sides_of(word.side, affected, lead) or (None,):
        full = f"{segment}_{side}" if f"{segment}_{side}" in posed.frames else segment
        flip = np.array([1.0, 1.0, -1.0 if side == "left" else 1.0])
        origin = segment_origin(posed, full)
        frame = posed.frames[full]
        ends = [origin + frame @ (np.array(v, dtype=float) * flip) for v in (start, end)]
        result.append((ends[0], ends[1], float(radius), full))
    return result


_ORIGINS = {
    "hand": "wrist",
    "fingers": "knuckle",
    "forearm": "elbow",
    "upper_arm": "shoulder",
    "foot": "ankle",
    "toes": "ball",
    "shank": "knee",
    "thigh": "hip",
    "pelvis": "pelvis_mid",
    "lumbar_low": "spine_1",
    "lumbar": "spine_2",
    "thorax_low": "spine_3",
    "thorax_mid": "spine_4",
    "thorax": "spine_5",
    "neck": "spine_6",
    "head": "head_base",
}


def segment_origin(posed: Posed, segment: str) -> Vec:
    """Return the joint a segment hangs from, by the segment's full name ("shank_left", "head")."""
    kind, _, side = segment.rpartition("_")
    if side not in SIDES:
        return posed.points[_ORIGINS[segment]]
    return posed.points[f"{_ORIGINS[kind]}_{side}"]


@dataclass(frozen=True)
class Trail:
    """Where the tip and the middle of a part go (n, 3), its half thickness (H) and the segment it rides on."""

    places: Vec
    thickness: float
    segment: str


def arrow_shapes(trail: Trail, camera: Camera, style: Style, body: Points) -> list[Shape]:
    """Return an arrow along a trail: on the path itself when there is room, else beside the part.

    `body`: places of the body on paper with their half thickness (n, 3), that the short arrow keeps clear of.
    """
    path = camera.project(trail.places)
    steps = np.hypot(*np.diff(path, axis=0).T)
    gap = trail.thickness * camera.scale + 5.0
    roomy = steps.sum() - 2 * gap >= SHORT_PATH
    floor = 0.0 if camera.elevation < LEVEL_EYE else np.inf
    if not roomy:
        return draw_arrow(_beside(path, gap, body, floor), style)
    line = _trimmed(path, gap, gap)
    if not trail.segment.endswith(SIDES) and _covered(line, body) > 0.4:
        line = _beside(path, gap, body, floor)
    return draw_arrow(line, style)


def _covered(line: Points, body: Points) -> float:
    """The share of an arrow that lies on the body: a trunk's way runs through where the trunk is now."""
    room = np.hypot(line[:, None, 0] - body[None, :, 0], line[:, None, 1] - body[None, :, 1]) - body[:, 2]
    return float((room.min(axis=1) < 0).mean())


def _trimmed(path: Points, start: float, end: float) -> Points:
    """Cut lengths off both ends of a polyline and spread 9 points evenly over the rest."""
    run = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(path, axis=0).T))])
    wanted = np.linspace(start, run[-1] - end, 9)
    return np.column_stack([np.interp(wanted, run, path[:, k]) for k in (0, 1)])


def _beside(path: Points, gap: float, body: Points, floor: float) -> Points:
    """A short arrow the way the part moves, beside it or before or behind it, where the paper is free.

    `floor`: the paper height of the floor seen edge-on; below it is no place for an arrow.
    """
    way = path[-1] - path[0]
    length = float(np.hypot(*way))
    unit = way / length if length > 1e-6 else np.array([0.0, -1.0])
    normal = np.array([-unit[1], unit[0]])
    reach = min(max(length, 40.0), 60.0)
    middle, end = (path[0] + path[-1]) / 2, path[-1]
    spots = [(middle + normal * side * (gap + far), far) for far in (5, 14, 26, 40) for side in (-1.0, 1.0)]
    spots += [(end + unit * (gap + far + reach / 2), far) for far in (2, 10)]
    spots += [(path[0] - unit * (gap + far + reach / 2), far + 6) for far in (2, 10)]
    best, best_room = middle, -1e9
    for centre, far in spots:
        points = centre + unit * np.linspace(-reach / 2, reach / 2, 7)[:, None]
        room = (
            np.hypot(points[:, None, 0] - body[None, :, 0], points[:, None, 1] - body[None, :, 1])
            - body[:, 2]
        )
        below = max(float(points[:, 1].max()) - floor, 0.0)
        worth = min(float(room.min()), 9.0) - 0.12 * far - below
        if worth > best_room:
            best, best_room = centre, worth
    return np.asarray(best + unit * np.linspace(-reach / 2, reach / 2, 9)[:, None])


def draw_arrow(line: Points, style: Style) -> list[Shape]:
    """Return the shaft and head of an arrow along a polyline, with a light edge."""
    tip = line[-1]
    run = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])
    back = max(run[-1] - HEAD_LENGTH, 0.0)
    neck = np.array([np.interp(back, run, line[:, k]) for k in (0, 1)])
    along = (tip - neck) / max(float(np.hypot(*(tip - neck))), 1e-9)
    across = np.array([-along[1], along[0]]) * HEAD_WIDTH / 2
    kept = np.vstack([line[run < back - 1.0], neck + along * 2.0])
    shaft = PathBuilder().move(kept[0]).through(kept).done()
    barb = along * -2.5
    head = PathBuilder().polygon([tip, neck + across + barb, neck, neck - across + barb]).done()
    return [
        Shape(shaft, Paint(None, style.paper, SHAFT + 2 * EDGE), "arrow", "mark"),
        Shape(head, Paint(style.paper, style.paper, 2 * EDGE), "arrow", "mark"),
        Shape(shaft, Paint(None, style.arrow, SHAFT), "arrow", "mark"),
        Shape(head, Paint(style.arrow), "arrow", "mark"),
    ]


# For a joint: the frame and axis its zero points along, the segment that moves and its axis, and its centre.
_ANGLES = {
    "hip": (("pelvis", 1, -1.0), ("thigh", 1, -1.0), "hip"),
    "knee": (("thigh", 1, -1.0), ("shank", 1, -1.0), "knee"),
    "ankle": (("shank", 0, 1.0), ("foot", 0, 1.0), "ankle"),
    "shoulder": (("thorax", 1, -1.0), ("upper_arm", 1, -1.0), "shoulder"),
    "elbow": (("upper_arm", 1, -1.0), ("forearm", 1, -1.0), "elbow"),
    "wrist": (("forearm", 1, -1.0), ("hand", 1, -1.0), "wrist"),
}
_JOINT_OF_PART = {
    "knee": "knee",
    "hip": "hip",
    "thigh": "hip",
    "ankle": "ankle",
    "foot": "ankle",
    "shoulder": "shoulder",
    "upper arm": "shoulder",
    "arm": "shoulder",
    "elbow": "elbow",
    "wrist": "wrist",
    "hand": "wrist",
}


@dataclass(frozen=True)
class Angle:
    """A joint's angle: its centre, the two directions (unit vectors in the world), degrees, and how far off true."""

    joint: str
    centre: Vec
    zero: Vec
    limb: Vec
    degrees: float
    turned: float

    @property
    def true(self) -> bool:
        """Whether the paper shows this angle truly enough to print it."""
        return self.turned <= TRUE_PLANE


def joint_angle(name: str, posed: Posed, camera: Camera, affected: Side, lead: Side) -> Angle | None:
    """Return the angle at the joint a part names, or None when that part has no joint to measure."""
    word = read_part(name)
    joint = _JOINT_OF_PART.get(word.part)
    sides = sides_of(word.side, affected, lead)
    if joint is None or not sides:
        return None
    side = sides[0]
    (zero_frame, zero_axis, zero_sign), (frame, axis, sign), point = _ANGLES[joint]
    fixed = posed.frames.get(f"{zero_frame}_{side}", posed.frames.get(zero_frame))
    assert fixed is not None  # noqa: S101 - every frame of the table exists
    zero = fixed[:, zero_axis] * zero_sign
    limb = posed.frames[f"{frame}_{side}"][:, axis] * sign
    cosine = float(np.clip(zero @ limb, -1, 1))
    normal = np.cross(zero, limb)
    size = float(np.linalg.norm(normal))
    hinge = posed.frames[f"{frame}_{side}"][:, 2]
    plane = normal / size if size > 0.05 else hinge
    turned = float(np.degrees(np.arccos(min(1.0, abs(float(plane @ camera.toward))))))
    return Angle(
        f"{joint}-{side}",
        posed.points[f"{point}_{side}"],
        zero,
        limb,
        float(np.degrees(np.arccos(cosine))),
        turned,
    )


def angle_shapes(angle: Angle, camera: Camera, style: Style, body: Points) -> list[Shape]:
    """Return the mark of an angle: the line the zero points along, the arc, and the number."""
    centre = camera.project(angle.centre)[0]
    zero, limb = camera.on_paper(angle.zero), camera.on_paper(angle.limb)
    zero, limb = zero / np.hypot(*zero), limb / np.hypot(*limb)
    radius = ANGLE_RADIUS * camera.scale * 1.35
    start = float(np.arctan2(zero[1], zero[0]))
    turn = float(np.arctan2(zero[0] * limb[1] - zero[1] * limb[0], zero @ limb))
    ray = PathBuilder().move(centre).line(centre + zero * (radius + 24)).done()
    shapes = [
        Shape(ray, Paint(None, style.paper, 5.0), "angle", "mark"),
        Shape(ray, Paint(None, style.ink, 1.8, cap="butt", dash=(5.0, 4.0)), "angle", "mark"),
    ]
    turns = start + turn * np.linspace(0, 1, 9)
    ring = centre + radius * np.column_stack([np.cos(turns), np.sin(turns)])
    arc = PathBuilder().move(ring[0]).through(ring).done()
    shapes += [
        Shape(arc, Paint(None, style.paper, 5.4), "angle", "mark"),
        Shape(arc, Paint(None, style.ink, 2.2), "angle", "mark"),
    ]
    text = f"{round(angle.degrees)}°"
    spot = _number_spot(centre, start, turn, radius, len(text), body)
    number = number_path(text, spot, NUMBER_HEIGHT)
    return [
        *shapes,
        Shape(number, Paint(None, style.paper, 7.0), "angle-number", "mark"),
        Shape(number, Paint(None, style.ink, 2.4), "angle-number", "mark"),
    ]


def _number_spot(
    centre: Points, start: float, turn: float, radius: float, letters: int, body: Points
) -> Points:
    """Where the number stands: beyond the arc or beside it, as clear of the body as can be."""
    best, best_room = centre, -1e9
    for share in (0.5, -0.25, 1.25, 0.2, 0.8):
        for far in (26.0, 40.0):
            reach = radius + far + letters * 2.0
            angle = start + turn * share
            if not 0 <= share <= 1:
                angle += np.sign(share - 0.5) * np.sign(turn or 1.0) * 0.25
            spot = centre + reach * np.array([np.cos(angle), np.sin(angle)])
            room = (
                min(float((np.hypot(*(body[:, :2] - spot).T) - body[:, 2]).min()), 16.0)
                - 0.15 * far
                - abs(share - 0.5) * 3
            )
            if room > best_room:
                best, best_room = spot, room
    return best


# Which way a named area lies from the middle of its segment: columns of the frame (fore, up, outward) and size.
_AREAS = {
    "calf": (-0.014, 0.0),
    "back of thigh": (-0.020, 0.0),
    "front of thigh": (0.020, 0.0),
    "inner thigh": (0.0, -0.020),
    "outer hip": (0.0, 0.022),
    "buttock": (-0.020, 0.010),
    "lower back": (-0.022, 0.0),
    "upper back": (-0.022, 0.0),
    "chest": (0.028, 0.0),
    "belly": (0.028, 0.0),
    "groin": (0.008, 0.0),
}


def highlight_shapes(
    name: str, posed: Posed, camera: Camera, style: Style, sides: tuple[Side, Side]
) -> list[Shape]:
    """Return a soft patch with short lines where a stretch or a muscle is felt. `sides`: affected, lead."""
    word = read_part(name)
    fore, outward = _AREAS.get(word.part, (0.0, 0.0))
    shapes = []
    for start, end, radius, segment in part_places(name, posed, *sides):
        frame = posed.frames[segment]
        flip = -1.0 if segment.endswith("left") else 1.0
        shift = frame[:, 0] * fore + frame[:, 2] * outward * flip
        share = np.array([0.12, 0.5, 0.88])[:, None]
        centres = start * (1 - share) + end * share + shift
        sizes = np.array([0.5, 0.62, 0.45]) * min(radius, 0.036)
        tube = outline(Rings(centres, sizes[:, None, None] * frame.T[None]), camera)
        path = PathBuilder()
        tube.whole(path)
        shapes.append(
            Shape(path.done(), Paint(style.highlight, style.highlight_ink, 1.6), "highlight", "mark")
        )
        shapes += _hatch(tube.centres, float(sizes.mean()) * camera.scale, style)
    return shapes


def _hatch(centres: Points, half: float, style: Style) -> list[Shape]:
    along = centres[-1] - centres[0]
    length = float(np.hypot(*along))
    if length < 4:
        return []
    unit = along / length
    slant = np.array([-unit[1], unit[0]]) * half * 0.55 + unit * half * 0.35
    path = PathBuilder()
    for share in np.linspace(0.08, 0.92, max(3, int(length / 9))):
        middle = centres[0] + along * share
        path.move(middle - slant).line(middle + slant)
    return [Shape(path.done(), Paint(None, style.highlight_ink, 1.6), "highlight", "mark")]
