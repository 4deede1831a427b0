"""What a drawing looks like: whole, true to its angles, legible when small, safe in black and white."""

from __future__ import annotations

import numpy as np
import pytest
from colours import contrast, luminance
from drawing_help import KNEE, NAMES, demo, drawn, image, pieces, pixels_of, solved, stand

from limberleaf.diagrams import draw_figure, figure
from limberleaf.diagrams.body.kinematics import posed_from_angles
from limberleaf.diagrams.body.skeleton import BASES
from limberleaf.diagrams.language.words import posture_rows
from limberleaf.diagrams.picture.displaylist import Paint, Picture, Shape, bounds
from limberleaf.diagrams.picture.style import PRINT, SCREEN
from limberleaf.diagrams.scene.camera import body_axes, camera_at, named_camera
from limberleaf.diagrams.scene.emphasis import affected_limbs
from limberleaf.diagrams.surface.buffers import rasterise
from limberleaf.diagrams.surface.hands import named_hand
from limberleaf.diagrams.surface.mesh import vertices
from limberleaf.diagrams.writing.raster import draw_image


@pytest.mark.parametrize("name", NAMES)
def test_the_body_hangs_together(name: str) -> None:
    """Neck, hands and feet join what they hang from: the surface is one piece in every demo pose."""
    figure_solved = demo(name)
    camera = drawn(name).camera
    for pose in figure_solved.poses:
        assert pieces(rasterise(vertices(pose.posed, {}), camera, px=0.8).quad >= 0) == 1


def axis_of(mask: np.ndarray) -> float:
    """Return the direction in degrees in which a mask is longest."""
    y, x = np.nonzero(mask)
    values, ways = np.linalg.eigh(np.cov(np.array([x, y])))
    return float(np.degrees(np.arctan2(*ways[::-1, int(np.argmax(values))])))


def shank_on_paper(degrees: float) -> float:
    mapping = {"poses": [{"posture": "sitting"}, {"joints": {"affected": {"knee": {"flexion": degrees}}}}]}
    posed = solved(mapping).poses[1].posed
    camera = camera_at(body_axes(posed.base, 1.0), "side", 0, 0, 300.0)
    return axis_of(pixels_of(rasterise(vertices(posed, {}), camera), "shank_right"))


@pytest.mark.parametrize("degrees", [20, 45, 70, 90])
def test_drawn_knee_turns_as_far_as_it_is_stated(degrees: float) -> None:
    """The lower leg's pixels turn by the stated angle in a true plane, within 1.5 degrees (the knee hides some)."""
    turn = (shank_on_paper(degrees) - shank_on_paper(5.0) + 90) % 180 - 90
    assert abs(turn) == pytest.approx(degrees - 5, abs=1.5)


def test_limbs_are_as_long_on_paper_as_in_the_body() -> None:
    """A surface piece reaches from joint to joint: the lower leg's pixels span the bone and the knee's own radius."""
    posed = posed_from_angles({})
    camera = camera_at(body_axes(posed.base, 1.0), "side", 0, 0, 300.0)
    b = rasterise(vertices(posed, {}), camera)
    rows = np.nonzero(pixels_of(b, "shank_right"))[0]
    bone = float(np.linalg.norm(posed.points["knee_right"] - posed.points["ankle_right"])) * 300
    assert np.ptp(rows) / b.px == pytest.approx(bone + 0.031 * 300, abs=8)


@pytest.mark.parametrize("posture", ["standing", "sitting", "squat", "standing_at_worktop"])
def test_feet_stand_flat_on_the_floor(posture: str) -> None:
    """The sole's lowest edge is the floor's level, heel and ball alike (a pixel is 1/480 of the height)."""
    posed = solved({"poses": [{"posture": posture}]}).poses[0].posed
    b = rasterise(vertices(posed, {}), camera_at(body_axes(posed.base, 1.0), "side", 0, 0, 300.0))
    y, x = np.nonzero(pixels_of(b, "foot_right") | pixels_of(b, "toes_right"))
    assert (y.max() + 1) / b.px + b.top == pytest.approx(0.0, abs=1.0)
    assert np.ptp(x[y >= y.max() - 1]) / b.px > 0.07 * 300


@pytest.mark.parametrize("name", NAMES)
def test_affected_side_survives_photocopy(name: str) -> None:
    """In print, at 150 px and cut to black and white, the tinted limb is dark."""
    drawing = drawn(name, "print")
    last = len(drawing.pictures) - 1
    picture = drawing.pictures[last]
    tint = [Shape(s.path, Paint("#000000"), s.part, s.role) for s in picture.shapes if s.role == "affected"]
    if not tint:
        return
    paper = image(drawing.png(150, panel=last)) > 128
    own = np.asarray(draw_image([Picture(picture.frame, tuple(tint))], 150).convert("L")) < 10
    assert own.sum() == 0 or (~paper[own]).mean() > 0.6


def test_luminance_formula_by_its_published_values() -> None:
    """WCAG 2.2: black 0, white 1, and #777777 on white gives the well-known 4.48 : 1."""
    assert luminance("#000000") == 0
    assert luminance("#ffffff") == pytest.approx(1)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.01)


def test_colours_hold_their_contrasts() -> None:
    """WCAG 2.2 asks 3 : 1 of graphics that must be understood; lines and arrows keep 4.5 : 1 on all they run over."""
    for style in (SCREEN, PRINT):
        for fill in (style.skin, style.shirt, style.shorts, style.held, style.affected):
            assert contrast(style.ink, fill) > 4.5
        assert contrast(style.arrow, style.paper) > 4.5
        assert contrast(style.felt, style.paper) > 4.5
        assert contrast(style.ghost, style.paper) > 3
        # Tint and garments are told apart in grey (common practice, no source: a third of the luminance).
        assert luminance(style.affected) < 0.67 * luminance(style.shorts)


def test_left_is_the_mirror_image_of_right() -> None:
    right, left = (draw_figure(solved(KNEE, side)).pictures[1] for side in ("right", "left"))
    assert [shape.part for shape in right.shapes] == [shape.part for shape in left.shapes]
    for one, two in zip(right.shapes, left.shapes, strict=True):
        a, b = bounds([one]), bounds([two])
        assert (-a.right, -a.left, a.top, a.bottom) == pytest.approx(
            (b.left, b.right, b.top, b.bottom), abs=1e-6
        )


@pytest.mark.parametrize("posture", sorted(posture_rows()))
def test_every_posture_draws_from_every_view(posture: str) -> None:
    for view in ("auto", "side", "front", "back", "above", "slant"):
        drawing = figure({"view": view, "poses": [{"posture": posture}]}, style="print")
        box = bounds(shape for shape in drawing.pictures[0].shapes if shape.part == "body")
        assert all(np.isfinite([box.left, box.top, box.right, box.bottom]))
        # A person is never wider than the span of the arms nor taller than the raised arms.
        assert 30 < box.width < 1.15 * 300 * 1.3
        assert 30 < box.height < 1.35 * 300


def test_panels_share_scale_frame_and_furniture() -> None:
    drawing = figure(KNEE)
    assert len({picture.frame for picture in drawing.pictures}) == 1
    chairs = [[s.path for s in picture.shapes if s.part.startswith("chair")] for picture in drawing.pictures]
    assert chairs[0] == chairs[1] != []
    heads = [bounds([next(s for s in p.shapes if s.part == "hair")]).height for p in drawing.pictures]
    assert heads[0] == pytest.approx(heads[1], abs=0.5)


def test_what_is_nearer_hides_what_is_farther() -> None:
    """A forearm across the chest is seen from in front and hidden from behind."""
    crossed = posed_from_angles({"shoulder_right.flexion": 50, "elbow_right.flexion": 100})
    axes = body_axes(crossed.base, 1.0)
    world = vertices(crossed, {})
    seen = {
        azimuth: int(
            pixels_of(rasterise(world, camera_at(axes, "front", azimuth, 5, 300.0)), "forearm_right").sum()
        )
        for azimuth in (90, -90)
    }
    assert seen[90] > 8 * max(seen[-90], 1)  # the elbow looks out beside the trunk


def test_head_tells_lying_on_the_back_from_the_front() -> None:
    """Hair seen from above: little of it in lying on the back, the whole head in lying on the front."""
    share = {}
    for base in ("supine", "prone"):
        posed = posed_from_angles({}, BASES[base])
        b = rasterise(vertices(posed, {}), named_camera(body_axes(posed.base, 1.0), "above", 300.0))
        share[base] = int(pixels_of(b, "hair").sum())
    assert share["prone"] > 1.6 * share["supine"]


@pytest.mark.parametrize(("shape", "least", "most"), [("flat", 0.100, 0.116), ("fist", 0.045, 0.090)])
def test_hands_open_and_close(shape: str, least: float, most: float) -> None:
    """A flat hand reaches as far as wrist to finger tip (ANSUR II: 0.108 H); a fist folds to its palm and knuckles."""
    posed = posed_from_angles({})
    hands = {side: named_hand(shape) for side in ("left", "right")}
    b = rasterise(vertices(posed, hands), camera_at(body_axes(posed.base, 1.0), "side", 0, 0, 300.0))
    names = ["palm_right", *(f"finger{i}{j}_right" for i in range(4) for j in range(3))]
    rows = np.nonzero(np.any([pixels_of(b, name) for name in names], axis=0))[0]
    assert least * 300 < np.ptp(rows) / b.px < most * 300


def test_two_sided_work_tints_nothing_and_one_sided_work_tints_its_limb() -> None:
    assert not any(s.role == "affected" for s in figure({"poses": [{"posture": "squat"}]}).pictures[0].shapes)
    assert affected_limbs(solved(KNEE)) == {"leg_right"}
    assert any(s.role == "affected" for s in figure(KNEE).pictures[1].shapes)


def test_stand_in_for_a_thing_in_the_hand_is_painted_over_the_body() -> None:
    drawing = figure({"props": [{"kind": "stick"}], "view": "front", "poses": [stand("stick")]})
    assert any(shape.part == "held" for shape in drawing.pictures[0].shapes)
