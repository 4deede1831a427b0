"""What a drawing looks like: whole, true to its angles, legible when small, safe in black and white."""

from __future__ import annotations

import numpy as np
import pytest
from drawing_help import KNEE, NAMES, demo, image, pieces, solved, tube_ends

from limberleaf.diagrams import draw_figure, figure
from limberleaf.diagrams.body.kinematics import posed_from_angles
from limberleaf.diagrams.body.skeleton import BASES, Posed
from limberleaf.diagrams.drawing.figure_paint import Look, bodies, paint_scene
from limberleaf.diagrams.drawing.paint_order import Solid, far_to_near
from limberleaf.diagrams.language.words import posture_rows
from limberleaf.diagrams.scene.camera import body_axes, camera_at, named_camera
from limberleaf.diagrams.scene.emphasis import affected_limbs
from limberleaf.diagrams.writing.displaylist import Paint, Picture, Shape, bounds, flatten
from limberleaf.diagrams.writing.raster import draw_image
from limberleaf.diagrams.writing.style import PRINT, SCREEN

SKIN = {"body", "affected", "far"}


def body_only(picture: Picture) -> Picture:
    """The body's own outlines, filled black."""
    shapes = [shape for shape in picture.shapes if shape.role in SKIN]
    black = tuple(
        shape.__class__(shape.path, Paint("#000000", "#000000", shape.paint.width, outside=True))
        for shape in shapes
    )
    return Picture(picture.frame, black)


@pytest.mark.parametrize("name", NAMES)
def test_the_body_hangs_together(name: str) -> None:
    """Neck, hands and feet join what they hang from: the body is one piece in every demo pose."""
    for picture in draw_figure(demo(name)).pictures:
        mask = np.asarray(draw_image([body_only(picture)], 260).convert("L")) < 128
        assert pieces(mask) == 1


def angle(one: np.ndarray, two: np.ndarray) -> float:
    cosine = one @ two / np.hypot(*one) / np.hypot(*two)
    return float(np.degrees(np.arccos(np.clip(cosine, -1, 1))))


@pytest.mark.parametrize("degrees", [5, 20, 45, 70, 90])
def test_drawn_knee_angle_is_the_stated_one(degrees: float) -> None:
    """Measured from the SVG's own coordinates, within half a degree, in a true plane (the side view)."""
    mapping = {
        "view": "side",
        "poses": [{"posture": "sitting"}, {"joints": {"affected": {"knee": {"flexion": degrees}}}}],
    }
    svg = figure(mapping).panel_svg(1)
    hip, knee = tube_ends(svg, "thigh-right")
    upper, ankle = tube_ends(svg, "shank-right")
    # Rings sit 0.001-0.002 H before the joint; both tubes share the knee's ring, so its place cancels out.
    assert angle(knee - hip, ankle - upper) == pytest.approx(degrees, abs=0.5)


@pytest.mark.parametrize(
    ("joint", "parts", "degrees"), [("elbow", ("upper-arm", "forearm"), d) for d in (10, 60, 120)]
)
def test_drawn_elbow_angle_is_the_stated_one(joint: str, parts: tuple[str, str], degrees: float) -> None:
    posed = posed_from_angles({f"{joint}_right.flexion": degrees, "shoulder_right.flexion": 20})
    from limberleaf.diagrams.writing.svg import draw_svg

    camera = named_camera(body_axes(posed.base, 1.0), "side", 300.0)
    shapes = tuple(paint_scene(bodies([posed], camera)[0], posed, (), camera, Look(frozenset(), ""), SCREEN))
    svg = draw_svg([Picture(bounds(shapes), shapes)])
    start, middle = tube_ends(svg, f"{parts[0]}-right")
    second, end = tube_ends(svg, f"{parts[1]}-right")
    assert angle(middle - start, end - second) == pytest.approx(degrees, abs=0.5)


@pytest.mark.parametrize("posture", ["standing", "sitting", "squat", "standing_at_worktop"])
def test_feet_stand_flat_on_the_floor(posture: str) -> None:
    """The sole's lowest edge is the floor line's level, heel and ball alike (0.6 unit is 1/500 of the height)."""
    drawing = figure({"view": "side", "poses": [{"posture": posture}]})
    for shape in drawing.pictures[0].shapes:
        if shape.part == "foot-right" and shape.role in SKIN:
            points = np.vstack([run for run, _ in flatten(shape.path)])
            sole = points[points[:, 1] > points[:, 1].max() - 0.6]
            assert points[:, 1].max() == pytest.approx(0.0, abs=0.6)
            assert np.ptp(sole[:, 0]) > 0.07 * 300


@pytest.mark.parametrize("name", NAMES)
def test_affected_side_survives_photocopy(name: str) -> None:
    """In print, at 150 px and cut to black and white, the affected limb is dark and the rest of the skin is not."""
    drawing = draw_figure(demo(name), style="print")
    picture = drawing.pictures[-1]
    if not affected_limbs(demo(name)):
        return
    paper = image(drawing.png(150, panel=len(drawing.pictures) - 1)) > 128
    only = tuple(black_when_affected(shape) for shape in picture.shapes if shape.role not in {"mark", "halo"})
    own = np.asarray(draw_image([Picture(picture.frame, only)], 150).convert("L")) < 10
    assert own.sum() == 0 or (~paper[own]).mean() > 0.6


def black_when_affected(shape: Shape) -> Shape:
    """The accent black and all else white, so that only what is seen of the accent is left."""
    colour = "#000000" if shape.role == "affected" else "#ffffff"
    paint = shape.paint
    if shape.role == "detail":
        return Shape(shape.path, Paint(None))
    return Shape(
        shape.path,
        Paint(paint.fill and colour, paint.stroke and "#ffffff", paint.width, outside=paint.outside),
    )


def luminance(colour: str) -> float:
    """Relative luminance by the formula of WCAG 2.2 (sRGB)."""
    channels = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def test_luminance_formula_by_its_published_values() -> None:
    """WCAG 2.2: black 0, white 1, and #777777 on white gives the well-known 4.48 : 1."""
    assert luminance("#000000") == 0
    assert luminance("#ffffff") == pytest.approx(1)
    assert 1.05 / (luminance("#777777") + 0.05) == pytest.approx(4.48, abs=0.01)


def test_colours_hold_their_contrasts() -> None:
    for style in (SCREEN, PRINT):
        for ink, fill in (
            (style.ink, style.skin),
            (style.far_ink, style.far_skin),
            (style.affected_ink, "#ffffff"),
        ):
            assert (luminance(fill) + 0.05) / (luminance(ink) + 0.05) > 4.5
        # Outlines of the far side stay dark enough to survive a photocopy (common practice, no source: under 0.35).
        assert luminance(style.far_ink) < 0.35
    assert luminance(PRINT.affected_fill) < 0.5 * luminance(PRINT.far_skin)


def test_left_is_the_mirror_image_of_right() -> None:
    mapping = {"poses": [{"posture": "sitting"}, {"joints": {"affected": {"knee": {"flexion": 20}}}}]}
    right, left = (draw_figure(solved(mapping, side)).pictures[1] for side in ("right", "left"))
    swap = {"left": "right", "right": "left"}

    def rows(picture: Picture, *, mirrored: bool) -> list[tuple[str, str, tuple[float, ...]]]:
        result = []
        for shape in picture.shapes:
            box = bounds([shape])
            stem, _, side = shape.part.rpartition("-")
            name = f"{stem}-{swap[side]}" if mirrored and side in swap else shape.part
            sides = (-box.right, -box.left) if mirrored else (box.left, box.right)
            result.append((shape.role, name, (*sides, box.top, box.bottom)))
        return sorted(result, key=lambda row: (row[0], row[1], round(row[2][2]), round(row[2][0])))

    one, two = rows(right, mirrored=False), rows(left, mirrored=True)
    assert [row[:2] for row in one] == [row[:2] for row in two]
    for a, b in zip(one, two, strict=True):
        assert a[2] == pytest.approx(b[2], abs=0.6)


@pytest.mark.parametrize("posture", sorted(posture_rows()))
def test_every_posture_draws_from_every_view(posture: str) -> None:
    for view in ("auto", "side", "front", "back", "above", "slant"):
        drawing = figure({"view": view, "poses": [{"posture": posture}]}, style="print")
        box = bounds(shape for shape in drawing.pictures[0].shapes if shape.role in SKIN)
        assert all(np.isfinite([box.left, box.top, box.right, box.bottom]))
        # A person is never wider than the span of the arms nor taller than the raised arms.
        assert 30 < box.width < 1.15 * 300 * 1.3
        assert 30 < box.height < 1.35 * 300


def test_panels_share_scale_frame_and_floor() -> None:
    drawing = figure(KNEE)
    assert len({picture.frame for picture in drawing.pictures}) == 1
    floors = [shape.path for picture in drawing.pictures for shape in picture.shapes if shape.role == "floor"]
    assert len(floors) == 2
    assert floors[0] == floors[1]
    heads = [
        bounds([next(s for s in picture.shapes if s.part == "head" and s.role == "body")]).height
        for picture in drawing.pictures
    ]
    assert heads[0] == pytest.approx(heads[1], abs=0.5)


def ordered(posed: Posed, azimuth: float) -> list[str]:
    camera = camera_at(body_axes(posed.base, 1.0), "slant", azimuth, 15, 300.0)
    parts = bodies([posed], camera)[0]
    return far_to_near([Solid(p.name, p.limb, p.places, p.radii) for p in parts.values()], camera)[0]


def test_near_limbs_are_painted_last() -> None:
    order = ordered(posed_from_angles({}), 0)
    for near, far in (
        ("thigh-right", "thigh-left"),
        ("upper-arm-right", "trunk"),
        ("trunk", "upper-arm-left"),
    ):
        assert order.index(near) > order.index(far)
    crossed = posed_from_angles({"shoulder_right.flexion": 80, "elbow_right.flexion": 30})
    front = ordered(crossed, 90)
    assert front.index("forearm-right") > front.index("trunk")
    back = ordered(crossed, -90)
    assert back.index("forearm-right") < back.index("trunk")


def test_depth_order_does_not_pop() -> None:
    """Lifting leg and arm a little at a time never makes two overlapping parts change places."""
    before: dict[tuple[str, str], int] = {}
    swaps: dict[tuple[str, str], int] = {}
    for step in range(40):
        posed = posed_from_angles({"hip_right.flexion": 2.0 * step, "shoulder_right.flexion": 1.5 * step})
        order = ordered(posed, 20)
        for one, two in (
            ("thigh-right", "trunk"),
            ("upper-arm-right", "trunk"),
            ("head", "neck"),
            ("neck", "trunk"),
        ):
            now = int(order.index(one) > order.index(two))
            swaps[one, two] = swaps.get((one, two), 0) + (before.get((one, two), now) != now)
            before[one, two] = now
    assert set(swaps.values()) == {0}


def test_far_side_is_grey_only_in_side_views() -> None:
    side = figure({"view": "side", "poses": [{"posture": "split_stance", "lead": "other"}]})
    assert any(shape.role == "far" for shape in side.pictures[0].shapes)
    for view, posture in (("front", "standing"), ("auto", "side_lying")):
        drawing = figure({"view": view, "poses": [{"posture": posture}]})
        assert not any(shape.role == "far" for shape in drawing.pictures[0].shapes)


def test_head_tells_lying_on_the_back_from_the_front() -> None:
    """Hair seen from above: little of it in lying on the back, the whole head in lying on the front."""
    share = {}
    for base, angles in (("supine", {}), ("prone", {})):
        posed = posed_from_angles(angles, BASES[base])
        camera = named_camera(body_axes(posed.base, 1.0), "above", 300.0)
        head = next(p for p in bodies([posed], camera)[0].values() if p.name == "head")
        hair = next(path for kind, path in head.details if kind == "hair")
        (line, _) = flatten(hair)[0]
        after = np.roll(line, -1, axis=0)
        share[base] = abs(float((line[:, 0] * after[:, 1] - after[:, 0] * line[:, 1]).sum())) / 2
    assert share["prone"] > 1.6 * share["supine"]
