"""From a solved figure to its panels: one camera, one scale and one floor for all, then signs, then frames.

The story in order: `draw_figure` chooses the camera and which limbs are tinted, looks at every pose through that camera
(`Panel`), paints ground, furniture, body and signs of each into a `Picture`, and gives all panels the same frame. The
left side is the right one's picture mirrored. A `Drawing` then writes itself as SVG, PNG or a moving picture.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from limberleaf.diagrams.adults import PLAIN, Adult, with_build
from limberleaf.diagrams.drawing.body import Look, body_shapes
from limberleaf.diagrams.drawing.panel import Panel, panel
from limberleaf.diagrams.frames import changing_picture, mirrored_pictures, motion_frames
from limberleaf.diagrams.picture.displaylist import Box, Picture, Shape, bounds
from limberleaf.diagrams.picture.style import Style, style_of
from limberleaf.diagrams.scene.body_places import body_points
from limberleaf.diagrams.scene.camera import Camera, camera_at
from limberleaf.diagrams.scene.emphasis import tinted_limbs
from limberleaf.diagrams.scene.furniture import furniture_shapes
from limberleaf.diagrams.scene.loops import loops_of
from limberleaf.diagrams.scene.staging import LOW_EYE, far_side, ground_shapes, staged
from limberleaf.diagrams.scene.view import choose_view, figure_axes
from limberleaf.diagrams.scene.view_checks import view_problems
from limberleaf.diagrams.signs.angle import angle_shapes, joint_angle
from limberleaf.diagrams.signs.arrows import movement_kind, panel_arrows, press_problems, press_shapes, rests
from limberleaf.diagrams.signs.felt import felt_problems, felt_shapes
from limberleaf.diagrams.signs.ghost import ghost_shapes, moved_limbs
from limberleaf.diagrams.signs.inset import (
    OWN_VIEW,
    border,
    inset_cameras,
    inset_picture,
    inset_regions,
    inset_size,
)
from limberleaf.diagrams.signs.inset_place import inset_place
from limberleaf.diagrams.signs.other_side import with_other_side
from limberleaf.diagrams.signs.picture_checks import picture_problems
from limberleaf.diagrams.signs.rest import with_rest
from limberleaf.diagrams.signs.sign_checks import sign_problems
from limberleaf.diagrams.solving.mirror import mirror_pose, mirror_problem, swap_spec
from limberleaf.diagrams.solving.solved import Problem, SolvedFigure
from limberleaf.diagrams.writing.motion import Pace, motion_image, motion_svg
from limberleaf.diagrams.writing.raster import draw_png
from limberleaf.diagrams.writing.svg import draw_svg

SCALE = 300.0
"""User units to a body's height, for every figure."""
LEAST_SHARE = 0.5
"""Share of the panel's width or height the body must fill."""
BESIDE_INSET = 1.2
"""How much further apart the knots of lines stand in a panel with a second view, which would weigh too much."""
GAP = 28.0
"""Space between two panels side by side."""
MARGIN = 4.0
MAX_CACHED = 16
"""Pictures of the right side kept for the page of the left side and for other languages."""


@dataclass(frozen=True)
class Drawing:
    """All panels of a figure as display lists. Panels share scale, floor level and frame."""

    pictures: tuple[Picture, ...]
    camera: Camera
    problems: tuple[Problem, ...]
    solved: SolvedFigure
    style: str
    one_sided: bool = True
    skin: str = PLAIN

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

    def with_changing(self, solved: SolvedFigure, index: int) -> Drawing:
        """Return this drawing with one panel as it is while the pose is being changed: quickly, without signs."""
        with with_build(solved.build):
            look, frame = self._look(solved), self.pictures[index].frame
            changing = changing_picture(solved, index, self.camera, look, self._tones, frame)
        pictures = (*self.pictures[:index], changing, *self.pictures[index + 1 :])
        return replace(self, pictures=pictures, solved=solved)

    def _look(self, solved: SolvedFigure) -> Look:
        return Look(tinted_limbs(solved, one_sided=self.one_sided), far_side(solved, self.camera))

    def _frames(self) -> list[Picture]:
        with with_build(self.solved.build):
            look, frame = self._look(self.solved), self.pictures[0].frame
            return motion_frames(self.solved, self.camera, look, self._tones, frame)

    @property
    def _tones(self) -> Style:
        return style_of(self.style, Adult(self.solved.build, self.skin))

    @cached_property
    def size(self) -> tuple[float, float]:
        """Width and height of one panel in user units."""
        frame = self.pictures[0].frame
        return frame.width, frame.height


@dataclass(frozen=True)
class _Seen:
    """The pictures of the right side with its camera and what is wrong with them."""

    pictures: tuple[Picture, ...]
    camera: Camera
    problems: tuple[Problem, ...]


_SEEN: OrderedDict[tuple[str, str, bool, Adult], _Seen] = OrderedDict()


def draw_figure(
    solved: SolvedFigure,
    *,
    style: str = "screen",
    one_sided: bool = True,
    in_turn: bool = False,
    skin: str = PLAIN,
) -> Drawing:
    """Draw a solved figure. `style` is "screen" or "print" (safe in black and white); KeyError for another.

    `one_sided`: whether one side is the affected one; when both sides work alike no limb is tinted.
    `in_turn`: whether the other side is to be done afterwards, which gets a sign below the last panel.
    `skin`: a tone of `data/adults.yml`, on the screen; KeyError for another.
    """
    adult = Adult(solved.build, skin)
    tones = style_of(style, adult)
    right_words = solved.spec if solved.affected == "right" else swap_spec(solved.spec)
    key = (right_words.words_of_body(), style, one_sided, adult)
    if key not in _SEEN:
        right = solved if solved.affected == "right" else _other_side(solved)
        with with_build(solved.build):
            _SEEN[key] = _drawn(right, tones, tinted_limbs(right, one_sided=one_sided))
        while len(_SEEN) > MAX_CACHED:
            _SEEN.popitem(last=False)
    _SEEN.move_to_end(key)
    seen = _SEEN[key]
    if in_turn and movement_kind(solved) != "to_and_fro":  # which goes to both sides as it is
        seen = replace(seen, pictures=with_other_side(seen.pictures, tones))
    problems = (*solved.problems, *seen.problems)
    if solved.affected == "right":
        return Drawing(seen.pictures, seen.camera, problems, solved, style, one_sided, skin)
    problems = (*solved.problems, *(mirror_problem(one) for one in seen.problems))
    camera = seen.camera
    other = camera_at(figure_axes(solved), camera.name, camera.azimuth, camera.elevation, SCALE)
    pictures = mirrored_pictures(seen.pictures)
    return Drawing(pictures, other, problems, solved, style, one_sided, skin)


def _other_side(solved: SolvedFigure) -> SolvedFigure:
    """Return the figure for the right side as the affected one."""
    return replace(
        solved,
        affected="right",
        lead="right" if solved.lead == "left" else "left",
        poses=tuple(mirror_pose(pose) for pose in solved.poses),
        spec=swap_spec(solved.spec),
    )


def _drawn(solved: SolvedFigure, style: Style, tinted: frozenset[str]) -> _Seen:
    camera = choose_view(solved, SCALE)
    look = Look(tinted, far_side(solved, camera), BESIDE_INSET if solved.spec.inset else 1.0)
    problems = list(view_problems(solved, camera))
    poses = staged(solved)
    panels = [panel(pose, camera, loops_of(solved, pose)) for pose in poses]
    problems += picture_problems(solved, panels)
    problems += press_problems(solved, panels)
    problems += felt_problems(solved, panels)
    scenes = [_scene(solved, number, panels, look, style, problems) for number in range(len(panels))]
    problems += sign_problems(solved, panels, scenes, tinted)
    frame = bounds(shape for scene in scenes for shape in scene).grown(MARGIN).whole()
    if camera.elevation < LOW_EYE and frame.bottom < 6:
        frame = Box(frame.left, frame.top, frame.right, 6.0)
    ground = ground_shapes(solved, [one.world for one in panels], camera, frame, style)
    pictures = [Picture(frame, (*ground, *scene)) for scene in scenes]
    frame = bounds(shape for picture in pictures for shape in picture.shapes).grown(MARGIN - 1).whole()
    pictures = [picture.with_frame(frame) for picture in pictures]
    problems += _size_problems(frame, solved, camera)
    if solved.spec.inset:
        pictures = _with_insets(pictures, replace(solved, poses=tuple(poses)), camera, look, style)
    resting = [number for number in range(len(poses)) if rests(solved, number)]
    if resting:
        pictures = with_rest(pictures, resting, panels, tinted, style)
    return _Seen(tuple(pictures), camera, tuple(problems))


def _with_insets(
    pictures: list[Picture], solved: SolvedFigure, camera: Camera, look: Look, style: Style
) -> list[Picture]:
    kind = solved.spec.inset or "trunk"
    elsewhere = kind in OWN_VIEW
    cameras = inset_cameras(solved, kind, camera)
    regions = inset_regions(solved, kind, cameras)
    frame = pictures[0].frame
    lying = frame.width > frame.height
    # A part seen from elsewhere stands beside its own height in the panel and has no frame there.
    level = inset_regions(solved, kind, [camera] * len(pictures))[0]
    place = inset_place(inset_size(kind, regions[0]), level, pictures, lying=lying)
    whole = frame.union(place.grown(MARGIN)).whole()
    for region in () if elsewhere else regions:
        whole = whole.union(region.grown(3.0)).whole()
    result = []
    for number, (picture, region) in enumerate(zip(pictures, regions, strict=True)):
        enlarged = inset_picture(solved, number, kind, region, cameras[number], look, style)
        marks = [] if elsewhere else [border(region, style, 1.4)]
        marks.append(border(place.grown(0.7), style, 2.0))
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
    way_out = "Use smaller props or move them nearer to the body."
    return [Problem("figure-too-small", "warning", text, way_out, ("props",))]


def _scene(
    solved: SolvedFigure,
    number: int,
    panels: Sequence[Panel],
    look: Look,
    style: Style,
    problems: list[Problem],
) -> list[Shape]:
    """Return everything in one panel but the ground."""
    one = panels[number]
    shapes = one.shadow("floor", style) + furniture_shapes(one.pose.props, one.camera, style)
    shapes += one.shadow("blocks", style)
    shapes += body_shapes(one.b, one.labels, one.pose.posed, one.camera, look, style)
    if number:
        limbs = moved_limbs(solved, number, look.tinted)
        shapes += ghost_shapes(limbs, panels[number - 1], one, style)
    if number == len(panels) - 1:
        shapes += felt_shapes(solved.spec.highlight, solved.affected, solved.lead, one, style)
    if number == 0 == len(panels) - 1 and movement_kind(solved, 0) == "press":
        shapes += press_shapes(solved, one, style)
    if number:
        shapes += panel_arrows(
            solved, number, (panels[number - 1], one), movement_kind(solved, number), style
        )
    return shapes + _angle(solved, number, one, style, problems)


def _angle(
    solved: SolvedFigure, number: int, one: Panel, style: Style, problems: list[Problem]
) -> list[Shape]:
    """Return the printed angle, or report that the view would make it a lie."""
    mark = solved.spec.angle
    if not mark or (mark.pose or len(solved.poses)) != number + 1:
        return []
    angle = joint_angle(mark.joint, one.pose.posed, one.camera, solved.affected, solved.lead)
    if angle and angle.true:
        return angle_shapes(angle, one.camera, style, body_points(one.pose, one.camera))
    if angle:
        text = (
            f"The angle at the {mark.joint} is not printed: this view turns it {angle.turned:.0f} degrees "
            "from the paper, so the drawn angle would differ from the number."
        )
        way_out = "Choose a view square to the movement, or say the degrees in the caption."
        problems.append(Problem("figure-angle-distorted", "warning", text, way_out, ("angle",)))
    return []
