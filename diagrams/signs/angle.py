"""A joint's angle printed in a picture, only where the paper shows it truly."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from limberleaf.diagrams.body.skeleton import Posed, Side
from limberleaf.diagrams.language.words import read_part, sides_of
from limberleaf.diagrams.picture.digits import number_path
from limberleaf.diagrams.picture.displaylist import Paint, PathBuilder, Points, Shape
from limberleaf.diagrams.picture.style import Style
from limberleaf.diagrams.scene.camera import Camera, Vec

TRUE_PLANE = 15.0
"""Degrees the plane of an angle may be turned from the paper before the number lies (error up to 3 degrees)."""
ANGLE_RADIUS = 0.085
NUMBER_HEIGHT = 17.0

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
    """Where the number is drawn: beyond the arc or beside it, as clear of the body as can be."""
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
