"""The sign of rest: a small body that lies on a bed, beside what is only laid there without any effort."""

from __future__ import annotations

import numpy as np

from limberleaf.diagrams.drawing.panel import Panel
from limberleaf.diagrams.picture.displaylist import Box, Paint, PathBuilder, Picture, Shape
from limberleaf.diagrams.picture.style import Style
from limberleaf.diagrams.scene.body_places import body_points
from limberleaf.diagrams.signs.inset_place import inset_place

WIDE, HIGH = 62.0, 38.0
"""Size of the sign (units): 28 pixels on a panel 150 pixels wide, where a smaller bed is a smudge."""
EDGE = 2.6
"""The light edge round it, as round an arrow."""
ENDS = {"arm": ("shoulder", "elbow", "wrist"), "leg": ("hip", "knee", "ankle")}
"""The places of a limb between which it lies."""


def with_rest(
    pictures: list[Picture], numbers: list[int], panels: list[Panel], limbs: frozenset[str], style: Style
) -> list[Picture]:
    """Return the pictures with the sign in those of the given numbers, on free paper near the limbs that rest.

    Without a limb the whole body rests. Frames stay alike in all panels.
    """
    frame = pictures[0].frame
    places = {}
    for number in numbers:
        level = _middle(panels[number], limbs)
        lying = frame.width > frame.height  # beside a lying body the sign would lie on its mat
        places[number] = inset_place((WIDE, HIGH), level, [pictures[number]], lying=lying)
        frame = frame.union(places[number].grown(EDGE + 1)).whole()
    result = [picture.with_frame(frame) for picture in pictures]
    for number, place in places.items():
        middle = (place.left + place.right) / 2, (place.top + place.bottom) / 2
        shapes = (*result[number].shapes, *rest_shapes(*middle, style))
        result[number] = Picture(frame, shapes, result[number].insets)
    return result


def _middle(panel: Panel, limbs: frozenset[str]) -> Box:
    """Return a box of no size where the resting limbs have their middle on paper."""
    points = panel.pose.posed.points
    names = [
        f"{joint}_{side}"
        for limb in sorted(limbs)
        for kind, _, side in [limb.partition("_")]
        for joint in ENDS[kind]
    ]
    places = (
        panel.camera.project(np.array([points[name] for name in names]))
        if names
        else body_points(panel.pose, panel.camera)
    )
    x, y = ((places[:, axis].min() + places[:, axis].max()) / 2 for axis in (0, 1))
    return Box(float(x), float(y), float(x), float(y))


def rest_shapes(x: float, y: float, style: Style) -> list[Shape]:
    """Return the sign about a place: bed frame, pillow, head and a body that lies flat."""
    bed = PathBuilder().move((x - 29, y - 14)).line((x - 29, y + 17))
    bed.move((x - 29, y + 11)).line((x + 29, y + 11)).move((x + 29, y + 4)).line((x + 29, y + 17)).done()
    head = PathBuilder().circle((x - 17, y - 4), 6.5).done()
    body = PathBuilder().move((x - 3, y + 1)).line((x + 20, y + 1)).done()
    lines = ((bed.done(), 4.5, "butt"), (body, 10.0, "round"))
    edge = [
        Shape(path, Paint(None, style.paper, wide + 2 * EDGE, cap=cap), "rest", "mark")
        for path, wide, cap in lines
    ]
    edge.append(Shape(head, Paint(style.paper, style.paper, 2 * EDGE), "rest", "mark"))
    sign = [Shape(path, Paint(None, style.arrow, wide, cap=cap), "rest", "mark") for path, wide, cap in lines]
    return [*edge, *sign, Shape(head, Paint(style.arrow), "rest", "mark")]
