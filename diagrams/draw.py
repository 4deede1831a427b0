"""From a solved figure to its panels: one camera, one scale and one floor for all, then marks, then frames.

The story in order: `draw_figure` chooses the camera, decides which limbs carry the accent and which side is far,
paints every pose (props, body, marks) into a `Picture`, and gives all panels the same frame. A `Drawing` then writes
itself as SVG, PNG or a moving picture from those display lists.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from diagrams.body import SIDES
from diagrams.camera import Camera, Vec
from diagrams.displaylist import Box, Picture, Shape, bounds
from diagrams.figure_paint import Look
from diagrams.marks import Trail, angle_shapes, arrow_shapes, highlight_shapes, joint_angle, part_places
from diagrams.motion import MARGIN, Pace, motion_frames, motion_image, motion_svg, path_of
from diagrams.raster import draw_png
from diagrams.scene import body_points, figure_look, floor, pose_shapes
from diagrams.solved import Problem, SolvedFigure, SolvedPose
from diagrams.style import STYLES, Style
from diagrams.svg import draw_svg
from diagrams.view import choose_view, figure_motions, view_problems

SCALE = 300.0
"""User units to a body's height, for every figure."""
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

    def motion_svg(self, *, title: str = "", desc: str = "", pace: Pace | None = None) -> str:
        """Return the movement between the poses as one standalone SVG file that plays and repeats."""
        return motion_svg(self._frames(), title=title, desc=desc, pace=pace)

    def motion_image(self, width: int, *, kind: str = "webp", pace: Pace | None = None) -> bytes:
        """Return the movement as an animated "webp" or "gif". ValueError for another kind."""
        return motion_image(self._frames(), width, kind=kind, pace=pace)

    def _frames(self) -> list[Picture]:
        return motion_frames(self.solved, self.camera, STYLES[self.style], self.pictures[0].frame)

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
    for scene in scenes:
        pictures.append(Picture(frame, (*floor(solved, camera, frame, tones), *scene)))
    if camera.elevation >= 4:
        frame = bounds(shape for picture in pictures for shape in picture.shapes).grown(MARGIN / 2)
        pictures = [picture.with_frame(frame) for picture in pictures]
    elif frame.bottom < 6:
        frame = Box(frame.left, frame.top, frame.right, 6.0)
        pictures = [picture.with_frame(frame) for picture in pictures]
    return Drawing(tuple(pictures), camera, (*solved.problems, *problems), solved, style)


def _scene(
    solved: SolvedFigure, number: int, camera: Camera, look: Look, style: Style, problems: list[Problem]
) -> list[Shape]:
    """Return everything in one panel but the floor."""
    pose = solved.poses[number]
    shapes = pose_shapes(pose, camera, look, style)
    body = body_points(pose, camera)
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
                found.append(
                    _trail(before, after, (one[0] + one[1]) / 2, (two[0] + two[1]) / 2, one[2], one[3])
                )
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
    return Trail(path_of(before.posed, after.posed, segment, start, end), radius, segment)
