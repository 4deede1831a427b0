"""Signs with one meaning each: how a movement is shown, and what is tinted."""

from __future__ import annotations

import io
from itertools import combinations
from pathlib import Path
from typing import Any, Literal

import numpy as np
import pytest
import resvg_py
from drawing_help import KNEE, solved
from PIL import Image

from limberleaf.diagrams import draw_figure, figure, sign_names, sign_svg
from limberleaf.diagrams.picture.displaylist import Picture, bounds, flatten
from limberleaf.diagrams.picture.style import STYLES
from limberleaf.diagrams.scene.emphasis import affected_limbs, tinted_limbs
from limberleaf.diagrams.signs.arrow_shapes import arrow_shapes
from limberleaf.diagrams.signs.arrows import movement_kind
from limberleaf.diagrams.signs.hand_inset import hand_cameras
from limberleaf.diagrams.signs.inset import inset_cameras


def heads(picture: Picture) -> int:
    """Count the arrowheads: the closed sub-paths of the filled shapes of arrows, edges left out."""
    filled = [s for s in picture.shapes if s.part == "arrow" and s.paint.fill and not s.paint.stroke]
    return sum(name == "Z" for shape in filled for name, _ in shape.path)


@pytest.mark.parametrize(
    ("movement", "count"), [("one_way", 1), ("to_and_fro", 2), ("round", 1), ("hold", 0)]
)
def test_movement_says_how_many_heads_an_arrow_has(movement: str, count: int) -> None:
    drawing = figure({**KNEE, "view": "side", "arrow": "affected foot", "movement": movement})
    assert heads(drawing.pictures[1]) == count


def test_pressing_stands_on_the_part_and_points_down() -> None:
    drawing = figure({**KNEE, "view": "side", "arrow": "affected knee", "movement": "press"})
    picture = drawing.pictures[1]
    bar = bounds([next(s for s in picture.shapes if s.part == "press")])
    arrow = bounds([s for s in picture.shapes if s.part == "arrow"])
    knee = drawing.camera.project(drawing.solved.poses[1].posed.points["knee_right"])[0]
    assert bar.left < knee[0] < bar.right
    assert arrow.top < bar.top < knee[1]


@pytest.mark.parametrize(
    ("view", "press", "way"),
    [
        ("side", "up", (0, -1)),
        ("side", "down", (0, 1)),
        ("side", "forward", (1, 0)),
        ("side", "back", (-1, 0)),
        ("front", "out", (-1, 0)),
        ("front", "in", (1, 0)),
    ],
)
def test_a_press_points_the_way_that_is_stated(view: str, press: str, way: tuple[int, int]) -> None:
    """On paper x runs to the right and y down; from the front the right side of a body is on the left."""
    standing = {"poses": [{"posture": "standing"}], "arrow": "affected forearm", "movement": "press"}
    picture = figure({**standing, "view": view, "press": press}).pictures[0]
    bar = bounds([next(shape for shape in picture.shapes if shape.part == "press")])
    arrow = bounds([shape for shape in picture.shapes if shape.part == "arrow"])
    gone = np.array(
        [bar.left + bar.right - arrow.left - arrow.right, bar.top + bar.bottom - arrow.top - arrow.bottom]
    )
    assert gone @ np.array(way) > 0.8 * float(np.hypot(*gone))


def test_knees_that_roll_lying_go_to_and_fro() -> None:
    roll: dict[str, Any] = {
        "poses": [{"posture": "crook_lying"}, {"joints": {"pelvis": {"rotation_affected": 25}}}]
    }
    assert movement_kind(solved(roll)) == "to_and_fro"
    assert movement_kind(solved(KNEE)) == "one_way"


def test_nothing_is_tinted_when_both_sides_work_alike() -> None:
    drawing = draw_figure(solved(KNEE), one_sided=False)
    assert not any(shape.role == "affected" for picture in drawing.pictures for shape in picture.shapes)
    assert any(
        shape.role == "affected" for picture in draw_figure(solved(KNEE)).pictures for shape in picture.shapes
    )


def test_an_arm_that_is_only_carried_along_is_not_tinted() -> None:
    arm = {"affected": {"shoulder": {"abduction": 20}}}
    carried = solved(
        {"poses": [{"posture": "standing", "joints": arm}, {"joints": {"trunk": {"flexion": 30}}}]}
    )
    assert affected_limbs(carried) == {"arm_right"}
    assert tinted_limbs(carried) == frozenset()
    lifted = solved(
        {"poses": [{"posture": "standing"}, {"joints": {"affected": {"shoulder": {"flexion": 90}}}}]}
    )
    assert tinted_limbs(lifted) == {"arm_right"}


def test_earlier_place_is_dashed_and_empty() -> None:
    ghosts = [s for s in figure({**KNEE, "view": "side"}).pictures[1].shapes if s.part == "ghost"]
    assert ghosts
    assert all(shape.paint.fill is None for shape in ghosts)
    assert any(shape.paint.dash for shape in ghosts)


def test_dots_lie_on_the_part_that_feels_it() -> None:
    mapping = {**KNEE, "view": "side", "highlight": "affected calf"}
    drawing = figure(mapping)
    box = bounds([next(s for s in drawing.pictures[1].shapes if s.part == "felt")])
    points = drawing.solved.poses[1].posed.points
    knee, ankle = drawing.camera.project(np.array([points["knee_right"], points["ankle_right"]]))
    assert min(knee[0], ankle[0]) - 12 < (box.left + box.right) / 2 < max(knee[0], ankle[0]) + 12
    assert not any(shape.part == "felt" for shape in drawing.pictures[0].shapes)


@pytest.mark.parametrize("side", ["left", "right"])
def test_what_a_picture_lacks_is_named_as_the_author_wrote_it_on_both_sides(
    side: Literal["left", "right"],
) -> None:
    calf = {"view": "front", "highlight": ["left calf"], "poses": [{"posture": "standing"}]}
    told = {p.code: p for p in figure(calf, affected=side).problems}
    assert "the left calf" in told["figure-felt-unseen"].message
    assert "thigh" not in told["figure-felt-unseen"].hint


def test_interval_of_a_share_by_its_published_value() -> None:
    """Newcombe 1998, table I: 81 of 263, Wilson's score interval 0.2553 to 0.3662."""
    from limberleaf.agreement import share

    part = share(81, 263)
    assert (part.low, part.high) == pytest.approx((0.2553, 0.3662), abs=5e-5)


def test_a_round_is_counted_with_every_miss(tmp_path: Path) -> None:
    from tests.diagrams.blind import count

    sheet = tmp_path / "marked.csv"
    head = "picture,code,position,support,side,movement,stays,dangerous\n"
    sheet.write_text(head + "01,kn-03,1,1,1,1,1,0\n02,ba-06,1,0,1,0,1,1\n", encoding="utf-8")
    report = count(sheet)
    assert "whole       1 of 2   50%" in report
    assert "dangerous: ba-06" in report
    assert "missed: ba-06 support, movement" in report


TIP: dict[str, Any] = {
    "view": "front",
    "poses": [
        {
            "posture": "standing",
            "joints": {"affected": {"shoulder": {"abduction": 90}, "elbow": {"flexion": 100}}},
        },
        {"joints": {"affected": {"elbow": {"flexion": 0}}, "neck": {"side_bend_affected": 30}}},
    ],
    "arrow": ["affected hand", "head"],
}


@pytest.mark.parametrize("side", ["right", "left"])
@pytest.mark.parametrize(("way", "toward_arm"), [("side_bend_affected", True), ("side_bend_other", False)])
def test_a_head_that_tips_beside_an_arm_that_moves_has_its_own_arrow_the_same_way(
    side: str, way: str, toward_arm: bool
) -> None:
    """Read the wrong way round twice when the arm alone had an arrow: tipping away loads the nerve."""
    tip = {**TIP, "poses": [TIP["poses"][0], {**TIP["poses"][1]}]}
    tip["poses"][1]["joints"] = {"affected": {"elbow": {"flexion": 0}}, "neck": {way: 30}}
    figure = solved(tip, side)
    drawing = draw_figure(figure)
    arrows = [s for s in drawing.pictures[1].shapes if s.part == "arrow" and s.paint.fill == "#0b4fa8"]
    heads = [np.array([values for _, values in shape.path if values]).mean(axis=0) for shape in arrows]
    crown = drawing.camera.project(figure.poses[1].posed.points["vertex"][None])[0]
    wrist = drawing.camera.project(figure.poses[1].posed.points[f"wrist_{side}"][None])[0]
    tips = [tip for tip in heads if np.hypot(*(tip - crown)) < 45]
    assert len(tips) == 1, heads
    assert bool(tips[0][0] * wrist[0] > 0) is toward_arm


def test_the_sign_for_the_other_side_stands_once_below_the_last_panel() -> None:
    plain, turned = (draw_figure(solved(KNEE), in_turn=flag) for flag in (False, True))
    counts = [sum(s.part == "other-side" for s in picture.shapes) > 0 for picture in turned.pictures]
    assert counts == [*[False] * (len(counts) - 1), True]
    assert not any(s.part == "other-side" for picture in plain.pictures for s in picture.shapes)
    sign = bounds(s for s in turned.pictures[-1].shapes if s.part == "other-side")
    frame = turned.pictures[-1].frame
    assert sign.top >= plain.pictures[-1].frame.bottom
    assert frame.left <= sign.left
    assert sign.right <= frame.right
    assert sign.bottom <= frame.bottom


@pytest.mark.parametrize("side", ["right", "left"])
def test_feet_are_shown_once_more_from_in_front_with_nothing_before_them(side: str) -> None:
    stance = {
        "view": "slant",
        "props": [{"kind": "worktop"}],
        "poses": [{"posture": "standing_at_worktop"}],
        "inset": "feet",
    }
    picture = draw_figure(solved(stance, side)).pictures[0]
    [(box, inset)] = picture.insets
    assert not any(shape.role == "prop" for shape in inset.shapes)
    assert any(shape.part == "toes" for shape in inset.shapes)
    assert box.bottom <= picture.frame.bottom


def test_shoulder_blades_come_together_on_the_paper() -> None:
    squeeze = {
        "view": "front",
        "poses": [{"posture": "standing"}, {"joints": {"both": {"scapula": {"retraction": 20}}}}],
        "inset": "blades",
    }
    widths = []
    for picture in draw_figure(solved(squeeze)).pictures:
        blades = bounds(shape for shape in picture.insets[0][1].shapes if shape.part == "blades")
        widths.append(blades.width)
    assert widths[1] < widths[0] - 5


def test_of_two_legs_that_just_stand_none_is_tinted() -> None:
    """Readers took a tinted leg beside a plain one for the only leg that stands."""
    feet = [{"part": "both feet", "on": "floor"}]
    apart = {"posture": "split_stance", "joints": {"affected": {"hip": {"flexion": 7}}}, "contacts": feet}
    hand = {"joints": {"other": {"shoulder": {"abduction": 40}}}}
    assert tinted_limbs(solved({"poses": [apart, hand]})) == frozenset()
    bent = {"joints": {"affected": {"knee": {"flexion": 40}}, "other": {"knee": {"flexion": 40}}}}
    assert tinted_limbs(solved({"poses": [apart, bent]})) == {"leg_right"}


def test_every_sign_of_the_legend_is_drawn_as_in_the_pictures_and_told_apart_in_grey():
    """No two are alike as small grey pictures, and an arrow of the legend has the colour of one in a picture."""
    small = {}
    for name in sign_names():
        picture = resvg_py.svg_to_bytes(
            svg_string=sign_svg(name, style="print"), width=48, background="white"
        )
        grey = np.asarray(Image.open(io.BytesIO(bytes(picture))).convert("L").resize((48, 27)), dtype=float)
        assert grey.min() < 200, f"{name} is empty"
        small[name] = grey
    for one, other in combinations(small, 2):
        assert np.abs(small[one] - small[other]).mean() > 4, (one, other)
    blue = {shape.paint.fill for shape in arrow_shapes(np.array([[0.0, 0.0], [40.0, 0.0]]), STYLES["screen"])}
    assert (blue - {None, "#ffffff"}).pop() in sign_svg("movement")


def test_a_pose_may_move_otherwise_than_the_figure():
    """A head tips once, then an elbow straightens and bends again: one head on the first arrow, two on the second."""
    arm = {"shoulder": {"abduction": 90}, "elbow": {"flexion": 100}}
    tip = {"joints": {"neck": {"side_bend_other": 28}}}
    out = {"joints": {"affected": {"elbow": {"flexion": 10}}}, "movement": "to_and_fro"}
    poses = [{"posture": "standing", "joints": {"affected": arm}}, tip, out]
    drawing = figure({"view": "front", "poses": poses, "arrow": ["affected hand", "head"]})
    assert [heads(picture) for picture in drawing.pictures] == [0, 1, 2]


def test_the_inset_of_a_step_shows_where_the_foot_was_and_its_way():
    poses = [{"posture": "tandem_stance", "lead": "affected"}, {"posture": "tandem_stance", "lead": "other"}]
    drawing = figure({"view": "slant", "poses": poses, "inset": "feet"})
    (_, inset), (_, stepped) = (picture.insets[0] for picture in drawing.pictures)
    assert not {"ghost", "arrow"} & {shape.part for shape in inset.shapes}
    assert {"ghost", "arrow"} <= {shape.part for shape in stepped.shapes}


STOP_SIGN: dict[str, Any] = {
    "view": "front",
    "poses": [
        {
            "posture": "standing",
            "joints": {
                "affected": {
                    "shoulder": {"abduction": 90},
                    "elbow": {"flexion": 90},
                    "wrist": {"extension": 0},
                }
            },
        },
        {"joints": {"affected": {"elbow": {"flexion": 0}, "wrist": {"extension": 60}}}},
    ],
    "inset": "hand",
    "movement": "to_and_fro",
    "arrow": "affected hand",
}


@pytest.mark.parametrize("side", ["right", "left"])
def test_the_inset_of_a_hand_looks_square_at_the_bend_of_the_wrist(side: str) -> None:
    """The panel looks along the bend (palm to the reader); the inset shows all its 60 degrees, and where it was."""
    figure = solved(STOP_SIGN, side)
    inset = draw_figure(figure).pictures[1].insets[0][1]
    assert {"ghost", "arrow"} <= {shape.part for shape in inset.shapes}
    camera = hand_cameras(figure.poses, figure.affected, draw_figure(figure).camera)[1]
    points = figure.poses[1].posed.points
    elbow, wrist, knuckle = camera.project(
        np.array([points[f"{name}_{side}"] for name in ("elbow", "wrist", "knuckle")])
    )
    one, two = wrist - elbow, knuckle - wrist
    bend = np.degrees(np.arccos(one @ two / (np.hypot(*one) * np.hypot(*two))))
    assert bend == pytest.approx(60, abs=6)


def test_a_bend_that_goes_with_its_limb_is_no_to_and_fro_of_its_own() -> None:
    """A double arrow at a foot that points as the knee straightens was read as a second exercise."""
    drawing = figure(STOP_SIGN)
    assert heads(drawing.pictures[1]) == 2
    assert heads(drawing.pictures[1].insets[0][1]) == 1
    pump = {
        "view": "side",
        "poses": [
            {"posture": "long_sitting", "joints": {"affected": {"ankle": {"plantarflexion": 30}}}},
            {"joints": {"affected": {"ankle": {"dorsiflexion": 10}}}},
        ],
        "inset": "foot",
        "movement": "to_and_fro",
    }
    assert heads(figure(pump).pictures[1].insets[0][1]) == 2


@pytest.mark.parametrize("stance", ["semi_tandem_stance", "tandem_stance"])
def test_half_a_step_is_told_from_heel_to_toe_in_the_inset_of_the_feet(stance: str) -> None:
    """Seen from where the inset looks, the front heel stands beside the other toes or before them."""
    stood = solved({"poses": [{"posture": stance}], "inset": "feet"})
    camera = inset_cameras(stood, "feet", draw_figure(stood).camera)[0]
    points = stood.poses[0].posed.points
    heel, toe, ball = camera.project(
        np.array([points["heel_right"], points["toe_left"], points["ball_left"]])
    )
    apart = abs(float(heel[0] - (toe[0] + ball[0]) / 2))
    side_by_side = apart > 0.045 * camera.scale and camera.azimuth == 90
    assert side_by_side is (stance == "semi_tandem_stance")


def test_an_enlarged_part_covers_nothing_and_stands_near_its_place() -> None:
    for picture in figure(STOP_SIGN).pictures:
        box = picture.insets[0][0]
        inside = [
            place
            for shape in picture.shapes
            if shape.role != "floor" and shape.part != "inset-frame"
            for line, _ in flatten(shape.path)
            for place in line
            if box.left < place[0] < box.right and box.top < place[1] < box.bottom
        ]
        assert not inside
        assert picture.frame.width < 2 * box.width + picture.frame.height


def test_of_two_legs_that_roll_to_a_side_together_none_is_tinted() -> None:
    roll = {
        "pelvis": {"rotation_affected": 35},
        "lumbar": {"rotation_other": 8},
        "thoracic": {"rotation_other": 24},
        "affected": {"hip": {"external_rotation": 25}},
        "other": {"hip": {"internal_rotation": 25}},
    }
    feet = [{"part": "both heels", "on": "floor"}]
    down = {"joints": roll, "contacts": feet}
    rolled = solved({"poses": [{"posture": "crook_lying"}, down], "arrow": "affected knee"})
    assert tinted_limbs(rolled) == frozenset()
    one = {"affected": {"hip": {"abduction": 30}}}
    opened = solved({"poses": [{"posture": "crook_lying"}, {"joints": one}], "arrow": "affected knee"})
    assert tinted_limbs(opened) == {"leg_right"}


@pytest.mark.parametrize("kind", ["towel", "pillow", "cushion", "wedge"])
def test_the_edge_of_a_soft_thing_is_seen_in_grey(kind: str) -> None:
    """WCAG 2.2, 1.4.11: what is needed to understand a picture has a contrast of 3 to 1; a pale edge on a pale mat
    vanished in small grey copies."""
    form = {"form": "rolled"} if kind == "towel" else {}
    lying = {"poses": [{"posture": "supine"}], "props": [{"kind": kind, "under": "affected knee", **form}]}
    for name, style in STYLES.items():
        shapes = draw_figure(solved(lying), style=name).pictures[0].shapes
        edges = {s.paint.stroke for s in shapes if s.part.startswith(kind) and s.paint.fill}
        assert edges == {style.ink}
        assert contrast(style.ink, style.mat) > 3


def contrast(one: str, two: str) -> float:
    """WCAG 2.2's contrast ratio of two colours."""
    lights = []
    for colour in (one, two):
        parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
        linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
        lights.append(0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2])
    return (max(lights) + 0.05) / (min(lights) + 0.05)


LEG_AT_REST: dict[str, Any] = {
    "view": "side",
    "arrow": "none",
    "poses": [{"posture": "long_sitting_leaning", "joints": {"affected": {"knee": {"flexion": 0}}}}],
}


def test_the_sign_of_rest_stands_near_the_limb_that_rests_and_on_nothing_drawn() -> None:
    drawing = figure({**LEG_AT_REST, "movement": "rest"})
    picture = drawing.pictures[0]
    sign = bounds([shape for shape in picture.shapes if shape.part == "rest"])
    plain = [shape for shape in picture.shapes if shape.part != "rest" and shape.role != "floor"]
    places = np.vstack([line for shape in plain for line, _ in flatten(shape.path, 3)])
    inside = (places > (sign.left, sign.top)).all(axis=1) & (places < (sign.right, sign.bottom)).all(axis=1)
    assert not inside.any()
    points = drawing.solved.poses[0].posed.points
    knee, head = drawing.camera.project(np.array([points["knee_right"], points["head_centre"]]))
    middle = np.array([(sign.left + sign.right) / 2, (sign.top + sign.bottom) / 2])
    assert np.hypot(*(middle - knee)) < np.hypot(*(middle - head))
    assert not any(shape.part in ("press", "arrow") for shape in picture.shapes)
    assert not any(shape.part == "rest" for shape in figure(LEG_AT_REST).pictures[0].shapes)


def test_a_panel_may_end_in_rest_and_only_that_panel_has_the_sign() -> None:
    lifted: dict[str, Any] = {
        "poses": [
            {"posture": "supine"},
            {"joints": {"affected": {"hip": {"flexion": 40}}}},
            {"posture": "supine"},
        ]
    }
    lifted["poses"][2]["movement"] = "rest"
    pictures = figure(lifted).pictures
    assert [any(s.part == "rest" for s in picture.shapes) for picture in pictures] == [False, False, True]
    assert heads(pictures[2]) == 0
    assert len({picture.frame for picture in pictures}) == 1
