"""Views, arrows and angle marks: the chosen one, the author's, and what is reported about them."""

from __future__ import annotations

import numpy as np
import pytest
from drawing_help import KNEE, demo, solved

from limberleaf.diagrams import draw_figure, figure
from limberleaf.diagrams.body.skeleton import BASES
from limberleaf.diagrams.picture.displaylist import bounds
from limberleaf.diagrams.scene.camera import body_axes, candidates, named_camera
from limberleaf.diagrams.scene.emphasis import NAMES, affected_limbs, near_side
from limberleaf.diagrams.scene.view import choose_view, sights
from limberleaf.diagrams.signs.movement import trails, turn_arrow


def at(azimuth: float, elevation: float) -> tuple[float, float, float]:
    """The direction to the eye of an upright body: azimuth from its right side (+Z) to its front (+X)."""
    a, e = np.radians(azimuth), np.radians(elevation)
    return float(np.cos(e) * np.sin(a)), float(np.sin(e)), float(np.cos(e) * np.cos(a))


def moving(posture: str, joints: dict) -> dict:  # type: ignore[type-arg]
    return {"poses": [{"posture": posture}, {"joints": joints}]}


def camera_of(mapping: dict, side: str = "right"):  # type: ignore[no-untyped-def, type-arg]
    return choose_view(solved(mapping, side), 300.0)


@pytest.mark.parametrize("base", sorted(BASES))
def test_cameras_are_true_frames(base: str) -> None:
    """Right, up and towards the eye are unit vectors square to each other, right-handed; the world stays upright."""
    for near in (1.0, -1.0):
        for camera in candidates(body_axes(BASES[base], near), 300.0):
            frame = np.array([camera.right, camera.up, camera.toward])
            assert frame @ frame.T == pytest.approx(np.eye(3), abs=1e-9)
            assert np.linalg.det(frame) == pytest.approx(1.0)
            assert camera.up[1] > -1e-9


@pytest.mark.parametrize(
    ("base", "name", "toward"),
    [
        # Upright: the right side is +Z, the front +X.
        ("upright", "side", at(13, 9)),
        ("upright", "front", at(90, 5)),
        ("upright", "back", at(-90, 5)),
        ("upright", "above", (0, 1, 0)),
        # Lying on the back or the front: the side is still the flank, the front of the body faces the ceiling.
        ("supine", "side", (0.166, 0.292, 0.942)),
        ("supine", "front", (0, 1, 0)),
        ("prone", "side", (0.166, 0.292, 0.942)),
        # Lying on the side: the flank faces the ceiling; the front is looked at from the chest's side of the mat.
        ("left_side", "side", (0, 1, 0)),
        ("left_side", "front", (np.cos(np.radians(18)), np.sin(np.radians(18)), 0)),
        ("right_side", "above", (0, 1, 0)),
    ],
)
def test_views_are_named_from_the_body(base: str, name: str, toward: tuple[float, ...]) -> None:
    camera = named_camera(body_axes(BASES[base], 1.0), name, 300.0)
    assert camera.toward == pytest.approx(np.array(toward, dtype=float), abs=1e-3)


def test_author_decides() -> None:
    for name in ("side", "front", "back", "above", "slant"):
        assert draw_figure(solved({**KNEE, "view": name})).camera.name == name


@pytest.mark.parametrize(
    ("mapping", "allowed"),
    [
        (KNEE, {"side"}),
        ({"poses": [{"posture": "sitting_on_edge"}, {"posture": "standing"}]}, {"side"}),
        ({"poses": [{"posture": "crook_lying"}, {"posture": "bridge"}]}, {"side"}),
        (moving("supine", {"affected": {"hip": {"flexion": 50}, "knee": {"flexion": 0}}}), {"side"}),
        (moving("standing", {"affected": {"shoulder": {"abduction": 90}}}), {"front", "back"}),
        (moving("standing", {"affected": {"hip": {"abduction": 30}}}), {"front", "back"}),
        (moving("sitting", {"trunk": {"rotation": 35}}), {"front", "slant"}),
    ],
)
def test_view_shows_the_movement(mapping: dict, allowed: set[str]) -> None:  # type: ignore[type-arg]
    assert camera_of(mapping).name in allowed


def test_clam_is_looked_at_from_the_front() -> None:
    """Body notes, section 7.3: the clam is best seen from the front, 0-15 degrees up; along the body is useless."""
    camera = draw_figure(demo("clam")).camera
    assert camera.name == "front"
    assert camera.elevation <= 25


def test_figure_four_is_not_looked_at_from_the_plain_side() -> None:
    """Body notes, section 7.3: in the plain side view the crossed leg does not open into a 4."""
    camera = draw_figure(demo("figure-four-lying")).camera
    assert camera.name == "slant" or camera.elevation >= 15


def test_affected_side_is_near() -> None:
    for side, sign in (("right", 1.0), ("left", -1.0)):
        assert near_side(solved(KNEE, side)) == sign
        camera = camera_of(KNEE, side)
        assert camera.toward[2] * sign > 0.9
        assert affected_limbs(solved(KNEE, side)) == {f"leg_{side}"}


def test_hidden_limb_is_reported() -> None:
    arm = {"shoulder": {"extension": 25}, "elbow": {"flexion": 110}}
    behind = {"poses": [{"posture": "standing"}, {"joints": {"affected": arm}}]}
    hidden = {"figure-limb-hidden", "figure-limb-foreshortened"}
    assert hidden & {p.code for p in figure({**behind, "view": "front"}).problems}
    assert not hidden & {p.code for p in figure({**behind, "view": "side"}).problems}


def test_foreshortened_limb_is_reported_with_its_place() -> None:
    drawing = figure({**KNEE, "view": "front"})
    problems = [p for p in drawing.problems if p.code == "figure-limb-foreshortened"]
    assert problems
    assert problems[0].path == ("view",)
    assert "affected" in problems[0].message
    assert not [p for p in figure({**KNEE, "view": "side"}).problems if p.code.startswith("figure-limb")]


def test_angle_is_printed_only_where_it_is_true() -> None:
    true = figure({**KNEE, "view": "side", "angle": "affected knee"})
    assert any(shape.part == "angle-number" for shape in true.pictures[1].shapes)
    assert not any(shape.part == "angle-number" for shape in true.pictures[0].shapes)
    assert "figure-angle-distorted" not in {p.code for p in true.problems}
    false = figure({**KNEE, "view": "front", "angle": "affected knee"})
    assert not any(shape.part == "angle-number" for shape in false.pictures[1].shapes)
    assert "figure-angle-distorted" in {p.code for p in false.problems}


def tip_of(drawing):  # type: ignore[no-untyped-def]
    heads = [
        s
        for p in drawing.pictures
        for s in p.shapes
        if s.part == "arrow" and s.paint.fill and not s.paint.stroke
    ]
    return np.array(heads[0].path[0][1]) if heads else None


def test_arrow_goes_the_way_of_the_foot() -> None:
    drawing = figure({**KNEE, "view": "side", "arrow": "affected foot"})
    solved_figure = drawing.solved
    (trail,) = trails(solved_figure, 1)
    start, end = drawing.camera.project(trail.places[[0, -1]])
    tip = tip_of(drawing)
    assert np.hypot(*(tip - end)) < np.hypot(*(tip - start))
    # By joint angles the foot swings about the knee: every place of the trail keeps its distance from it.
    knee = solved_figure.poses[1].posed.points["knee_right"]
    reach = np.linalg.norm(trail.places - knee, axis=1)
    assert np.ptp(reach) < 0.012


def test_no_arrow_when_the_author_says_none() -> None:
    drawing = figure({**KNEE, "arrow": "none"})
    assert not any(shape.part == "arrow" for picture in drawing.pictures for shape in picture.shapes)
    assert any(shape.part == "arrow" for shape in figure(KNEE).pictures[1].shapes)


@pytest.mark.parametrize(("side", "way"), [("rotation_affected", -1), ("rotation_other", 1)])
def test_turn_arrow_goes_the_way_the_face_goes(side: str, way: int) -> None:
    """Facing the reader, a turn to the body's right carries the near front of it to the reader's left."""
    mapping = {"view": "front", "poses": [{"posture": "sitting"}, {"joints": {"trunk": {side: 35}}}]}
    figure_solved = solved(mapping)
    arrow = turn_arrow(figure_solved, 1, choose_view(figure_solved, 300.0))
    assert arrow is not None
    assert np.sign(arrow[-1, 0] - arrow[0, 0]) == way


def test_marks_stay_inside_the_frame() -> None:
    for mapping in (KNEE, {**KNEE, "angle": "affected knee"}):
        drawing = figure(mapping)
        for picture in drawing.pictures:
            box = bounds(picture.shapes)
            assert box.left >= picture.frame.left - 0.1
            assert box.right <= picture.frame.right + 0.1
            assert box.top >= picture.frame.top - 0.1
            assert box.bottom <= picture.frame.bottom + 0.1


def test_wall_in_the_way_is_never_chosen() -> None:
    """A person with both hands on a wall in front is not looked at through the wall."""
    pose = {"posture": "standing", "contacts": [{"part": "both hands", "on": "wall"}]}
    mapping = {"props": [{"kind": "wall"}], "poses": [pose]}
    camera = camera_of(mapping)
    assert camera.toward[0] < 0.5


def arrow_tops(figure, panel):  # type: ignore[no-untyped-def]
    boxes = [bounds([shape]) for shape in draw_figure(figure).pictures[panel].shapes if shape.part == "arrow"]
    return [box.bottom for box in boxes]


@pytest.mark.parametrize("name", ["heel-raise-step", "plank", "pelvic-tilt"])
def test_no_arrow_under_the_floor(name: str) -> None:
    found = arrow_tops(demo(name), 1)
    assert found
    assert max(found) <= 8.0  # the light edge and the head's half width may touch the line


def test_a_foot_that_only_comes_back_gets_the_thinner_arrow() -> None:
    lift = {"hip": {"flexion": 65}, "knee": {"flexion": 80}}
    march = {
        "view": "side",
        "poses": [
            {"posture": "standing"},
            {"joints": {"affected": lift}},
            {"posture": "standing", "joints": {"other": lift}},
        ],
        "arrow": ["affected knee", "other knee"],
    }
    widths = [
        sorted(
            {
                shape.paint.width
                for shape in draw_figure(solved(march)).pictures[panel].shapes
                if shape.part == "arrow" and shape.paint.stroke and not shape.paint.fill
            },
            reverse=True,
        )
        for panel in (1, 2)
    ]
    assert len(widths[0]) == 2  # the shaft and its light edge
    assert len(widths[1]) == 4  # the same again, thinner
    assert widths[1][1] < widths[0][0]


def test_both_hands_are_seen_on_a_cloth_that_slides_over_a_table() -> None:
    """From lower down one hand hid the other, and one hand alone was read as the one that slides."""
    arms = {"both": {"shoulder": {"abduction": 20, "internal_rotation": 20}, "elbow": {"flexion": 75}}}
    hands = [{"part": "both hands", "on": "table"}]
    drawing = figure(
        {
            "view": "side",
            "props": [
                {"kind": "chair"},
                {"kind": "table", "in_front_of": "pelvis"},
                {"kind": "towel", "form": "flat", "under": "both hands"},
            ],
            "poses": [{"posture": "sitting", "joints": arms, "contacts": hands}],
        }
    )
    seen = sights(drawing.solved.poses[0].posed, [drawing.camera], drawing.solved.poses[0].props)[0]
    assert min(seen.seen[NAMES.index(f"hand_{side}")] for side in ("left", "right")) > 0.8


@pytest.mark.parametrize("part", ["heel", "foot"])
def test_a_cloth_under_a_heel_shows_before_the_toes_and_at_both_sides(part: str) -> None:
    towel = {"kind": "towel", "form": "flat", "under": f"affected {part}"}
    down = [{"part": f"affected {part}", "on": "floor"}]
    bent = {"joints": {"affected": {"knee": {"flexion": 95}}}, "contacts": down}
    pose = solved({"props": [towel], "poses": [{"posture": "supine"}, bent]}).poses[1]
    [block] = [block for prop in pose.props if prop.kind == "towel" for block in prop.blocks]
    heel, ball = pose.posed.points["heel_right"], pose.posed.points["ball_right"]
    assert block.centre[0] > (heel[0] if part == "heel" else heel[0] - 0.02)
    assert block.half[2] > 0.1
    assert abs(ball[2] - block.centre[2]) < block.half[2]
