"""From a solved figure to its panels: one camera, one scale and one floor for all, then marks, then frames.

The story in order: `draw_figure` chooses the camera, decides which limbs carry the accent and which side is far,
paints every pose (props, body, marks) into a `Picture`, and gives all panels the same frame. A `Drawing` then writes
itself as SVG, PNG or a moving picture from those display lists.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from diagrams.body import SIDES, Side
from diagrams.camera import Camera, Vec
from diagrams.displaylist import Box, Picture, Points, Shape, bounds
from diagrams.figure_paint import Look, paint_scene
from diagrams.marks import Trail, angle_shapes, arrow_shapes, highlight_shapes, joint_angle, part_places
from diagrams.prop_shapes import floor_shapes, prop_parts
from diagrams.raster import draw_png
from diagrams.solved import Problem, SolvedFigure, SolvedPose
from diagrams.style import STYLES, Style
from diagrams.svg import draw_svg
from diagrams.view import SEGMENTS, choose_view, figure_motions, near_side, view_problems
from diagrams.words import part_rows, read_part

SCALE = 300.0
"""User units to a body's height, for every figure."""
MARGIN = 10.0
LEG_JOINTS = {"hip", "knee", "ankle", "toes"}
LEG_SEGMENTS = {"thigh", "shank", "foot", "toes", "pelvis"}
LEADING_POSTURES = {"step_standing", "split_stance", "half_kneeling"}
"""Postures in which one leg does the work although no joint is stated."""
GAP = 28.0
"""Space between two panels side by side."""


@dataclass(frozen=True)
class Drawing:
    """All panels of a figure as display lists. Panels share scale, floor level and frame."""

    pictures: tuple[Picture, ...]
    camera: Camera
    problems: tuple[Problem, ...]
    solved: SolvedFigure
    style: str

    def panel_svg(self, index: int, *, title: str = "", desc: str = "", id_prefix: str = "") -> str:
        """Return one panel as an SVG document. Raises IndexError when there is no such panel."""
        return draw_svg([self.pictures[index]], title=title, desc=desc, id_prefix=id_prefix)

    def svg(self, *, title: str = "", desc: str = "", id_prefix: str = "") -> str:
        """Return all panels side by side as one SVG document."""
        return draw_svg(self.pictures, title=title, desc=desc, id_prefix=id_prefix, gap=GAP)

    def png(self, width: int, *, panel: int | None = None) -> bytes:
        """Return all panels (or one) as PNG bytes, `width` pixels wide."""
        shown = self.pictures if panel is None else (self.pictures[panel],)
        return draw_png(shown, width, gap=GAP)

    @cached_property
    def size(self) -> tuple[float, float]:
        """Width and height of one panel in user units."""
        frame = self.pictures[0].frame
        return frame.width, frame.height


def draw_figure(solved: SolvedFigure, *, style: str = "screen") -> Drawing:
    """Draw a solved figure. `style` is "screen" or "print" (safe in black and white); KeyError for another."""
    tones = STYLES[style]
    camera = choose_view(solved, SCALE)
    look = figure_look(solved, camera)
    problems = list(view_problems(solved, camera))
    scenes = [_scene(solved, number, camera, look, tones, problems) for number in range(len(solved.poses))]
    frame = bounds(shape for scene in scenes for shape in scene if shape.role != "floor").grown(MARGIN)
    pictures = []
    for number, scene in enumerate(scenes):
        floor = _floor(solved, solved.poses[number], camera, frame, tones)
        pictures.append(Picture(frame, (*floor, *scene)))
    if camera.elevation >= 4:
        frame = bounds(shape for picture in pictures for shape in picture.shapes).grown(MARGIN / 2)
        pictures = [picture.with_frame(frame) for picture in pictures]
    elif frame.bottom < 6:
        frame = Box(frame.left, frame.top, frame.right, 6.0)
        pictures = [picture.with_frame(frame) for picture in pictures]
    return Drawing(tuple(pictures), camera, (*solved.problems, *problems), solved, style)


def figure_look(solved: SolvedFigure, camera: Camera) -> Look:
    """Return which limbs carry the accent and which side is drawn as far."""
    far = ""
    if camera.side_like and not solved.poses[0].base_name.endswith("_side"):
        right = solved.poses[0].posed.base[:, 2] @ camera.toward
        if abs(right) > 0.5:
            far = "left" if right > 0 else "right"
    return Look(affected_limbs(solved), far)


def affected_limbs(solved: SolvedFigure) -> frozenset[str]:
    """Return the limbs of the affected side that the author's words are about: leg_right, arm_left ..."""
    side = solved.affected
    kinds: set[str] = set()
    spec = solved.spec
    for pose in spec.poses:
        limb = pose.joints.affected if pose.joints else None
        if limb:
            stated = set(limb.model_dump(exclude_none=True))
            kinds |= {"leg"} if stated & LEG_JOINTS else set()
            kinds |= {"arm"} if stated - LEG_JOINTS else set()
    parts = [contact.part for pose in spec.poses for contact in pose.contacts]
    parts += [d.level or d.vertical or "" for pose in spec.poses for d in pose.directions]
    parts += [*spec.arrow, *spec.highlight, spec.angle.joint if spec.angle else ""]
    parts += [text for prop in spec.props for text in (prop.under, prop.around, prop.held_by) if text]
    for text in parts:
        if text.startswith("affected"):
            segment = part_rows()[read_part(text).part]["samples"][0][0]
            kinds.add("leg" if segment in LEG_SEGMENTS else "arm")
    if not kinds and spec.poses[0].posture in LEADING_POSTURES:
        kinds.add("leg")
    return frozenset(f"{kind}_{side}" for kind in kinds)


def _scene(
    solved: SolvedFigure, number: int, camera: Camera, look: Look, style: Style, problems: list[Problem]
) -> list[Shape]:
    """Return everything in one panel but the floor."""
    pose = solved.poses[number]
    props = [
        part
        for index, prop in enumerate(pose.props, start=1)
        for part in prop_parts(prop, index, camera, style)
    ]
    shapes = paint_scene(pose.posed, props, camera, look, style)
    body = _body_points(pose, camera)
    last = number == len(solved.poses) - 1
    for name in solved.spec.highlight if last else ():
        shapes += highlight_shapes(name, pose.posed, camera, style, (solved.affected, solved.lead))
    if number:
        for trail in trails(solved, number):
            shapes += arrow_shapes(trail, camera, style, body)
    mark = solved.spec.angle
    if mark and (mark.pose or len(solved.poses)) == number + 1:
        angle = joint_angle(mark.joint, pose.posed, camera, solved.affected, solved.lead)
        if angle and angle.true:
            shapes += angle_shapes(angle, camera, style, body)
        elif angle:
            problems.append(
                Problem(
                    "figure-angle-distorted",
                    "warning",
                    f"the angle at the {mark.joint} is not printed: this view turns it {angle.turned:.0f} degrees "
                    "from the paper, so the drawn angle would differ from the number",
                    "choose a view square to the movement, or say the degrees in the caption",
                    ("angle",),
                )
            )
    return shapes


def _body_points(pose: SolvedPose, camera: Camera) -> Points:
    rows = [
        pose.posed.points[a] * (1 - t) + pose.posed.points[b] * t
        for _, a, b, _ in SEGMENTS
        for t in (0.0, 0.25, 0.5, 0.75, 1.0)
    ]
    return camera.project(np.array(rows))


def _floor(
    solved: SolvedFigure, pose: SolvedPose, camera: Camera, frame: Box, style: Style
) -> list[Shape]:
    """Return the floor, or nothing where a bed hides it in a view from above."""
    points = np.array([p for other in solved.poses for p in other.posed.points.values()])
    low, high = points.min(axis=0) - 0.07, points.max(axis=0) + 0.07
    corners = np.array(
        [[low[0], 0, low[2]], [high[0], 0, low[2]], [high[0], 0, high[2]], [low[0], 0, high[2]]]
    )
    if pose.ground > 0.05 and camera.elevation > 4:
        return []
    return floor_shapes(camera, (frame.left + 2, frame.right - 2), corners, style)


def trails(solved: SolvedFigure, number: int) -> list[Trail]:
    """Return the trails of the parts that get an arrow on the way into a panel."""
    if "none" in solved.spec.arrow:
        return []
    names = [name for name in solved.spec.arrow if name != "none"]
    before, after = solved.poses[number - 1], solved.poses[number]
    found = []
    if names:
        for name in names:
            first = part_places(name, before.posed, solved.affected, solved.lead)
            last = part_places(name, after.posed, solved.affected, solved.lead)
            for one, two in zip(first, last, strict=True):
                found.append(_trail(before, after, (one[0] + one[1]) / 2, (two[0] + two[1]) / 2, one[2], one[3]))
    else:
        found = _moving_most(solved, before, after)
    return [trail for trail in found if np.linalg.norm(trail.places[-1] - trail.places[0]) > 0.012]


# For a joint that moves: the places that may carry the arrow, with the segment they ride on and its half thickness.
ARROW_ENDS: dict[str, tuple[tuple[str, str, float], ...]] = {
    "leg": (("ankle", "foot", 0.030), ("knee", "shank", 0.036)),
    "foot": (("toe", "toes", 0.016), ("heel", "foot", 0.016)),
    "arm": (("wrist", "hand", 0.026), ("elbow", "forearm", 0.024)),
    "hand": (("fingertip", "fingers", 0.016),),
    "girdle": (("shoulder", "upper_arm", 0.034),),
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
    rows: list[tuple[float, Trail]] = []

    def add(point: str, segment: str, radius: float, worth: float = 1.0) -> None:
        a, b = before.posed.points[point], after.posed.points[point]
        rows.append((float(np.linalg.norm(b - a)) * worth, _trail(before, after, a, b, radius, segment)))

    for motion in figure_motions(solved):
        joint = motion.split(".", maxsplit=1)[0]
        side = next((s for s in SIDES if joint.endswith(f"_{s}")), None)
        if side:
            # The affected side speaks first: the other only carries the arrow when it alone moves.
            worth = 1.0 if side == solved.affected else 0.6
            for point, segment, radius in ARROW_ENDS[ARROW_OF_JOINT[joint.removesuffix(f"_{side}")]]:
                add(f"{point}_{side}", f"{segment}_{side}", radius, worth)
        elif joint == "neck":
            add("head_centre", "head", 0.075)
        else:
            for one in SIDES:
                add(f"shoulder_{one}", "thorax", 0.045, 1.0 if one == solved.affected else 0.9)
    pelvis = float(np.linalg.norm(after.posed.points["pelvis_mid"] - before.posed.points["pelvis_mid"]))
    if pelvis > WHOLE_BODY:
        rows.clear()
        add("pelvis_mid", "pelvis", 0.08)
    rows.sort(key=lambda row: -row[0])
    return [rows[0][1]] if rows and rows[0][0] > 0.02 else []


def _trail(before: SolvedPose, after: SolvedPose, start: Vec, end: Vec, radius: float, segment: str) -> Trail:
    """The path of a point fixed to a segment, by the joint angles between two poses."""
    from diagrams.motion import path_of

    return Trail(path_of(before.posed, after.posed, segment, start, end), radius, segment)


__all__ = ["GAP", "SCALE", "Drawing", "Sequence", "Side", "affected_limbs", "draw_figure", "near_side"]
