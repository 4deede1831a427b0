"""The pictures between two poses, one that is just being changed, and pictures mirrored for the other side."""

from __future__ import annotations

from collections.abc import Iterable

from limberleaf.diagrams.drawing.body import Look, body_shapes
from limberleaf.diagrams.drawing.panel import panel
from limberleaf.diagrams.picture.displaylist import Box, Command, Picture, Shape, bounds
from limberleaf.diagrams.picture.style import Style
from limberleaf.diagrams.scene.camera import Camera
from limberleaf.diagrams.scene.furniture import furniture_shapes
from limberleaf.diagrams.scene.loops import loops_of
from limberleaf.diagrams.scene.staging import ground_shapes, with_staging
from limberleaf.diagrams.solving.interpolate import between
from limberleaf.diagrams.solving.solved import SolvedFigure
from limberleaf.diagrams.surface.buffers import COARSE

MARGIN = 6.0
FRAMES = 4
"""Steps between two poses: at the usual 2 seconds 2 pictures a second, as many as a page's weight and a build bear."""
UPRIGHT = frozenset({"angle-number"})
"""Parts that are read and so are moved, not mirrored."""


def motion_frames(
    solved: SolvedFigure, camera: Camera, look: Look, style: Style, still: Box
) -> list[Picture]:
    """Return the pictures from the first pose to the last, `FRAMES` steps between each two, all in one frame.

    `still` is the frame of the figure's panels; the moving one is at least as large and has the same floor.
    """
    poses = [solved.poses[0]]
    for before, after in zip(solved.poses[:-1], solved.poses[1:], strict=True):
        poses += [between(before, after, k / FRAMES) for k in range(1, FRAMES)]
        poses.append(after)
    bodies = [pose.posed for pose in solved.poses]
    poses = [with_staging(pose, bodies) for pose in poses]
    panels = [panel(pose, camera, loops_of(solved, pose), px=COARSE) for pose in poses]
    scenes = [
        [
            *furniture_shapes(one.pose.props, camera, style),
            *body_shapes(one.b, one.labels, one.pose.posed, camera, look, style),
        ]
        for one in panels
    ]
    frame = bounds(shape for scene in scenes for shape in scene).grown(MARGIN).whole()
    frame = Box(
        min(frame.left, still.left), min(frame.top, still.top), max(frame.right, still.right), still.bottom
    )
    ground = ground_shapes(solved, [panels[0].world, panels[-1].world], camera, frame, style)
    return [Picture(frame, (*ground, *scene)) for scene in scenes]


def changing_picture(
    solved: SolvedFigure, number: int, camera: Camera, look: Look, style: Style, still: Box
) -> Picture:
    """Return one panel of a figure that is just being changed: body and things alone, coarse, in the frame it had."""
    pose = with_staging(solved.poses[number], [one.posed for one in solved.poses])
    one = panel(pose, camera, loops_of(solved, pose), px=COARSE)
    shapes = [
        *ground_shapes(solved, [one.world], camera, still, style),
        *furniture_shapes(pose.props, camera, style),
        *body_shapes(one.b, one.labels, pose.posed, camera, look, style),
    ]
    return Picture(still, tuple(shapes))


def mirrored_pictures(pictures: Iterable[Picture]) -> tuple[Picture, ...]:
    """Return pictures as a mirror shows them: left and right change places, numbers stay readable."""
    return tuple(_mirrored(picture) for picture in pictures)


def _mirrored(picture: Picture) -> Picture:
    frame = _mirrored_box(picture.frame)
    insets = tuple((_mirrored_box(box), _mirrored(inset)) for box, inset in picture.insets)
    return Picture(frame, tuple(_mirrored_shape(shape) for shape in picture.shapes), insets)


def _mirrored_box(box: Box) -> Box:
    return Box(-box.right, box.top, -box.left, box.bottom)


def _mirrored_shape(shape: Shape) -> Shape:
    if shape.part in UPRIGHT:
        box = bounds([shape])
        shift = -(box.left + box.right)
        path = tuple(_moved(command, shift) for command in shape.path)
    else:
        path = tuple(_flipped(command) for command in shape.path)
    return Shape(path, shape.paint, shape.part, shape.role)


def _flipped(command: Command) -> Command:
    name, values = command
    if name == "A":
        radius, large, sweep, x, y = values
        return name, (radius, large, 1.0 - sweep, -x, y)
    return name, tuple(-value if i % 2 == 0 else value for i, value in enumerate(values))


def _moved(command: Command, shift: float) -> Command:
    name, values = command
    first = 3 if name == "A" else 0
    return name, tuple(
        value + shift if i >= first and (i - first) % 2 == 0 else value for i, value in enumerate(values)
    )
