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

from limberleaf.diagrams.drawing.arrows import trails, turn_arrow
from limberleaf.diagrams.drawing.figure_paint import Body, Look, bodies
from limberleaf.diagrams.drawing.ghost import with_ghost
from limberleaf.diagrams.drawing.inset import border, inset_picture, inset_place, inset_region
from limberleaf.diagrams.drawing.marks import (
    angle_shapes,
    arrow_shapes,
    draw_arrow,
    highlight_shapes,
    joint_angle,
)
from limberleaf.diagrams.scene.camera import Camera
from limberleaf.diagrams.scene.scene import body_points, figure_look, floor, pose_shapes
from limberleaf.diagrams.scene.view import choose_view, view_problems
from limberleaf.diagrams.solving.solved import Problem, SolvedFigure
from limberleaf.diagrams.writing.displaylist import Box, Picture, Shape, bounds
from limberleaf.diagrams.writing.motion import MARGIN, Pace, motion_frames, motion_image, motion_svg
from limberleaf.diagrams.writing.raster import draw_png
from limberleaf.diagrams.writing.style import STYLES, Style
from limberleaf.diagrams.writing.svg import draw_svg

SCALE = 300.0
"""User units to a body's height, for every figure."""
LEAST_SHARE = 0.5
"""Share of the panel's width or height the body must fill."""
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
    drawn = bodies([pose.posed for pose in solved.poses], camera)
    scenes = [_scene(solved, number, drawn, camera, look, tones, problems) for number in range(len(drawn))]
    frame = bounds(shape for scene in scenes for shape in scene).grown(MARGIN).whole()
    if camera.elevation < 4 and frame.bottom < 6:
        frame = Box(frame.left, frame.top, frame.right, 6.0)
    pictures = [Picture(frame, (*floor(solved, camera, frame, tones), *scene)) for scene in scenes]
    if camera.elevation >= 4:
        frame = bounds(shape for picture in pictures for shape in picture.shapes).grown(MARGIN / 2).whole()
        pictures = [picture.with_frame(frame) for picture in pictures]
    if solved.spec.inset:
        pictures = _with_insets(pictures, solved, camera, look, tones)
    problems += _size_problems(pictures[0].frame, solved, camera)
    return Drawing(tuple(pictures), camera, (*solved.problems, *problems), solved, style)


def _with_insets(
    pictures: list[Picture], solved: SolvedFigure, camera: Camera, look: Look, style: Style
) -> list[Picture]:
    kind = solved.spec.inset or "trunk"
    region = inset_region(solved, kind, camera)
    frame = pictures[0].frame
    lying = frame.width > frame.height
    place = inset_place(region, frame, lying=lying)
    whole = frame.union(place.grown(MARGIN / 2)).union(region.grown(3.0)).whole()
    result = []
    for picture, pose in zip(pictures, solved.poses, strict=True):
        enlarged = inset_picture(pose, kind, region, camera, look, style)
        marks = (border(region, style, 1.4), border(place.grown(0.7), style, 2.0))
        result.append(Picture(whole, (*picture.shapes, *marks), ((place, enlarged),)))
    return result


def _size_problems(frame: Box, solved: SolvedFigure, camera: Camera) -> list[Problem]:
    """Tell when the body fills so little of its panel that it cannot be read at the smallest size."""
    points = np.vstack([body_points(pose, camera) for pose in solved.poses])[:, :2]
    size = points.max(axis=0) - points.min(axis=0)
    share = max(float(size[0]) / frame.width, float(size[1]) / frame.height)
    if share >= LEAST_SHARE:
        return []
    names = " and ".join(f"the {prop.name}" for prop in solved.poses[0].props) or "what else is drawn"
    text = (
        f"The body fills only {int(100 * share)}% of its panel beside {names}, and needs {LEAST_SHARE:.0%}: "
        "at the smallest printed size it cannot be read."
    )
    return [
        Problem(
            "figure-too-small",
            "warning",
            text,
            "Use smaller props or move them nearer to the body.",
            ("props",),
        )
    ]


def _scene(
    solved: SolvedFigure,
    number: int,
    drawn: Sequence[Body],
    camera: Camera,
    look: Look,
    style: Style,
    problems: list[Problem],
) -> list[Shape]:
    """Return everything in one panel but the floor."""
    pose = solved.poses[number]
    shapes = pose_shapes(pose, drawn[number], camera, look, style)
    if number:
        shapes = with_ghost(shapes, solved, number, drawn[number - 1], style)
    body = body_points(pose, camera)
    last = number == len(solved.poses) - 1
    for name in solved.spec.highlight if last else ():
        shapes += highlight_shapes(name, pose.posed, camera, style, (solved.affected, solved.lead))
    if number:
        turn = turn_arrow(solved, number, camera)
        if turn is not None:
            shapes += draw_arrow(turn, style)
        for trail in trails(solved, number) if turn is None else ():
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
                    f"The angle at the {mark.joint} is not printed: this view turns it {angle.turned:.0f} degrees "
                    "from the paper, so the drawn angle would differ from the number.",
                    "Choose a view square to the movement, or say the degrees in the caption.",
                    ("angle",),
                )
            )
    return shapes
