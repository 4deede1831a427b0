"""Every kind of prop in a use a clinic makes of it: there, where it belongs, and never pierced."""

import numpy as np
import pytest
from pydantic import ValidationError

from limberleaf.diagrams import draw_figure
from limberleaf.diagrams.language.spec import FigureSpec
from limberleaf.diagrams.language.words import prop_rows
from limberleaf.diagrams.picture.style import SCREEN
from tests.diagrams.figures_help import codes, solve

USES = {
    "chair": ({"posture": "sitting"}, {}),
    "stool": ({"posture": "sitting"}, {"kind": "stool"}),
    "bed": ({"posture": "supine"}, {"kind": "bed"}),
    "table": ({"posture": "sitting", "contacts": [{"part": "both forearms", "on": "table"}]}, {}),
    "worktop": ({"posture": "standing_at_worktop"}, {}),
    "armchair": ({"posture": "sitting", "contacts": [{"part": "both hands", "on": "chair arms"}]},
                 {"kind": "armchair"}),
    "wheelchair": ({"posture": "sitting"}, {"kind": "wheelchair"}),
    "gym_ball": ({"posture": "sitting"}, {"kind": "gym_ball"}),
    "low_table": ({"posture": "long_sitting"}, {"kind": "low_table", "beside": "affected"}),
    "backrest": ({"posture": "half_lying"}, {}),
    "rail": ({"posture": "standing", "contacts": [{"part": "other hand", "on": "rail"}]},
             {"kind": "rail", "beside": "other"}),
    "walking_stick": ({"posture": "standing"}, {"kind": "walking_stick", "held_by": "other hand"}),
    "crutch": ({"posture": "standing"}, {"kind": "crutch", "held_by": "both hands"}),
    "walking_frame": ({"posture": "standing"}, {"kind": "walking_frame", "held_by": "both hands"}),
    "cuff": ({"posture": "sitting"}, {"kind": "cuff", "around": "affected ankle"}),
    "cup": ({"posture": "sitting", "joints": {"affected": {"elbow": {"flexion": 90}}}},
            {"kind": "cup", "held_by": "affected hand"}),
    "door": ({"posture": "standing", "contacts": [{"part": "affected fingertip", "on": "door"}]}, {}),
    "wall": ({"posture": "standing", "contacts": [{"part": "both hands", "on": "wall"}]}, {}),
    "doorway": (
        {"posture": "standing", "joints": {"affected": {"shoulder": {"abduction": 80}, "elbow": {"flexion": 90}}},
         "contacts": [{"part": "affected forearm", "on": "doorway"}]},
        {},
    ),
    "step": ({"posture": "step_standing"}, {}),
    "stairs": ({"posture": "standing"}, {"kind": "stairs", "in_front_of": "pelvis"}),
    "towel": ({"posture": "supine"}, {"kind": "towel", "form": "rolled", "under": "affected knee"}),
    "cushion": ({"posture": "crook_lying"}, {"kind": "cushion", "between": "knees"}),
    "pillow": ({"posture": "supine"}, {"kind": "pillow", "under": "head"}),
    "foam_roller": ({"posture": "crook_lying"}, {"kind": "foam_roller", "under": "upper back"}),
    "ball": ({"posture": "crook_lying"}, {"kind": "ball", "between": "knees"}),
    "wedge": ({"posture": "standing"}, {"kind": "wedge", "under": "both heels"}),
    "band": ({"posture": "side_lying_knees_bent"}, {"kind": "band", "around": "both thighs"}),
    "strap": ({"posture": "long_sitting", "contacts": [{"part": "both hands", "holding": "strap"}]},
              {"kind": "strap", "around": "both feet"}),
    "stick": ({"posture": "crook_lying", "joints": {"both": {"shoulder": {"flexion": 90}}},
               "contacts": [{"part": "both hands", "holding": "stick"}]}, {}),
    "weight": ({"posture": "sitting", "joints": {"affected": {"elbow": {"flexion": 90}}}},
               {"kind": "weight", "held_by": "affected hand"}),
    "bottle": ({"posture": "standing", "joints": {"affected": {"elbow": {"flexion": 90}}}},
               {"kind": "bottle", "held_by": "affected hand"}),
}  # fmt: skip


def placed(kind):
    pose, prop = USES[kind]
    figure = solve(pose, props=[prop] if prop else [])
    return figure, next(p for p in figure.poses[0].props if p.kind == kind)


def test_every_kind_has_a_use():
    assert set(USES) == set(prop_rows())


@pytest.mark.parametrize("kind", sorted(USES))
def test_a_prop_is_there_and_nothing_is_wrong(kind):
    figure, prop = placed(kind)
    assert [p for p in figure.problems if p.severity == "error"] == []
    assert "prop-unused" not in codes(figure)
    assert prop.blocks or prop.rods or prop.spheres or prop.lines
    for contact in figure.poses[0].contacts:
        assert contact.error < 0.005, contact.part


def test_the_seat_carries_the_hips_and_leaves_room_behind_the_knees():
    figure, chair = placed("chair")
    points = figure.poses[0].posed.points
    seat = next(b for b in chair.blocks if b.name == "seat")
    back = next(b for b in chair.blocks if b.name == "back")
    assert seat.centre[1] + seat.half[1] == pytest.approx(points["hip_right"][1] - 0.055, abs=0.004)
    assert points["hip_right"][0] > seat.centre[0] - seat.half[0]
    assert points["knee_right"][0] > seat.centre[0] + seat.half[0] + 0.02
    assert back.centre[0] < points["pelvis_mid"][0] - 0.055


def test_a_rolled_towel_lifts_the_knee_it_lies_under():
    figure, towel = placed("towel")
    points = figure.poses[0].posed.points
    assert towel.form == "rolled"
    assert points["knee_right"][1] > points["knee_left"][1] + 0.02
    middle = (towel.rods[0].start + towel.rods[0].end) / 2
    assert abs(middle[0] - points["knee_right"][0]) < 0.03


def test_a_cushion_keeps_the_knees_its_own_width_apart():
    figure, _ = placed("cushion")
    points = figure.poses[0].posed.points
    gap = np.linalg.norm(points["knee_right"] - points["knee_left"])
    assert gap == pytest.approx(prop_rows()["cushion"]["size"][1] + 2 * 0.031, abs=0.01)


def test_a_wedge_lifts_both_heels():
    figure, _ = placed("wedge")
    points = figure.poses[0].posed.points
    assert points["heel_right"][1] == pytest.approx(prop_rows()["wedge"]["size"][1], abs=0.004)


def test_a_wall_behind_touches_the_back():
    figure = solve({"posture": "standing", "contacts": [{"part": "upper back", "on": "wall"}]})
    wall = next(p for p in figure.poses[0].props if p.kind == "wall")
    assert wall.forward[0] == pytest.approx(1)
    assert wall.blocks[0].centre[0] < figure.poses[0].posed.points["pelvis_mid"][0]


def test_hands_on_a_chair_back_put_the_chair_in_front_with_its_back_near():
    figure = solve({"posture": "standing", "contacts": [{"part": "both hands", "on": "chair back"}]})
    assert [p for p in figure.problems if p.severity == "error"] == []
    chair = next(p for p in figure.poses[0].props if p.kind == "chair")
    seat, back = chair.blocks
    points = figure.poses[0].posed.points
    assert back.centre[0] < seat.centre[0]
    assert abs(back.centre[0] - points["knuckle_right"][0]) < 0.04
    assert points["knuckle_right"][1] == pytest.approx(back.centre[1] + back.half[1], abs=0.03)


@pytest.mark.parametrize(("place", "number"), [("stairs", 0), ("stairs 1", 0), ("stairs 2", 1)])
def test_a_foot_stands_on_the_stair_that_is_named(place, number):
    figure = solve({"posture": "standing", "contacts": [{"part": "affected foot", "on": place}]})
    stairs = next(p for p in figure.poses[0].props if p.kind == "stairs")
    step = stairs.blocks[number]
    points = figure.poses[0].posed.points
    assert points["ball_right"][1] == pytest.approx(step.centre[1] + step.half[1], abs=0.004)
    middle = (points["heel_right"][0] + points["toe_right"][0]) / 2
    assert abs(middle - step.centre[0]) < 0.02
    assert points["knee_right"][0] > points["hip_right"][0] + 0.1
    if number == 0:
        assert [p for p in figure.problems if p.severity == "error"] == []


def test_a_band_fixed_to_a_wall_stays_fixed_while_the_hand_moves():
    figure = solve(
        {
            "posture": "standing",
            "joints": {"affected": {"shoulder": {"flexion": 60}, "elbow": {"flexion": 10}}},
        },
        {"joints": {"affected": {"shoulder": {"flexion": 0}, "elbow": {"flexion": 90}}}},
        props=[{"kind": "band", "held_by": "affected hand", "fixed_to": "wall"}],
    )
    lines = [next(p for p in pose.props if p.kind == "band").lines[0].points for pose in figure.poses]
    assert np.allclose(lines[0][1], lines[1][1])
    assert np.linalg.norm(lines[0][0] - lines[1][0]) > 0.1


def test_a_loop_goes_round_both_thighs():
    figure, band = placed("band")
    line = band.lines[0]
    assert line.closed
    middle = np.mean(line.points, axis=0)
    points = figure.poses[0].posed.points
    knees = (points["knee_right"] + points["knee_left"]) / 2
    assert np.linalg.norm(middle - knees) < 0.09  # above the knees


@pytest.mark.parametrize("posture", ["supine", "prone", "side_lying", "crook_lying"])
def test_a_bed_is_under_the_whole_of_who_lies_on_it(posture):
    pose = solve({"posture": posture}, props=[{"kind": "bed"}]).poses[0]
    block = next(prop for prop in pose.props if prop.kind == "bed").blocks[0]
    for name, point in pose.posed.points.items():
        inside = np.abs((point - block.centre) @ block.axes) <= block.half + 0.01
        assert inside[0] and inside[2], name


def test_a_hand_on_the_seat_does_not_draw_the_chair_aside():
    hold = [{"part": "affected hand", "on": "chair seat"}]
    pose = solve({"posture": "sitting", "contacts": hold}, props=[{"kind": "chair"}]).poses[0]
    seat = next(prop for prop in pose.props if prop.kind == "chair").blocks[0]
    assert abs(seat.centre[2] - pose.posed.points["pelvis_mid"][2]) < 0.01


def test_a_roll_under_the_elbow_of_a_body_on_its_side_lies_from_front_to_back():
    towel = {"kind": "towel", "form": "rolled", "under": "affected elbow"}
    pose = solve({"posture": "side_lying_knees_bent"}, props=[towel]).poses[0]
    rod = next(prop for prop in pose.props if prop.kind == "towel").rods[0]
    spine = pose.posed.points["spine_6"] - pose.posed.points["pelvis_mid"]
    way = (rod.end - rod.start) / np.linalg.norm(rod.end - rod.start)
    assert abs(way @ spine) < 0.2 * np.linalg.norm(spine)


def test_a_walking_stick_stands_on_the_ground_and_widens_what_holds_the_body():
    """The support of a stick user is the feet and the tip together (base of support: Winter, Biomechanics, ch. 11)."""
    lean = {"posture": "standing", "directions": [{"lean": "trunk", "forward": 10}]}
    without = solve(lean).poses[0]
    aided = solve(lean, props=[{"kind": "walking_stick", "held_by": "other hand"}]).poses[0]
    pole = next(rod for rod in aided.props[0].rods if rod.name.endswith("pole"))
    assert pole.start[1] == pytest.approx(pole.radius, abs=1e-9)
    assert aided.margin > without.margin
    assert any(np.allclose(corner, pole.start) for corner in aided.support)


def test_a_stick_is_as_high_as_the_wrist_with_the_elbow_a_little_bent():
    """Fitted as the trade does it: handle at the wrist, elbow bent 15 to 30 degrees (common practice, no source)."""
    pose = solve({"posture": "standing"}, props=[{"kind": "walking_stick", "held_by": "other hand"}]).poses[0]
    assert 15 <= pose.posed.angles["elbow_left.flexion"] <= 35
    assert 0.42 < pose.posed.points["wrist_left"][1] < 0.54


def test_a_ball_between_back_and_wall_rolls_between_them_as_the_knees_bend():
    figure = solve(
        {"posture": "standing"},
        {"joints": {"both": {"hip": {"flexion": 60}, "knee": {"flexion": 60}}}},
        props=[{"kind": "gym_ball", "behind": "lower back"}, {"kind": "wall", "behind": "lower back"}],
    )
    walls = [next(p for p in pose.props if p.kind == "wall").blocks[0] for pose in figure.poses]
    balls = [next(p for p in pose.props if p.kind == "gym_ball").spheres[0] for pose in figure.poses]
    assert np.array_equal(walls[0].centre, walls[1].centre)
    for wall, ball in zip(walls, balls, strict=True):
        face = wall.centre[0] + wall.half[0]
        assert ball.centre[0] - ball.radius == pytest.approx(face, abs=0.006)


def test_the_back_arches_while_the_trunk_stays_upright_in_sitting():
    """An arch tips the pelvis and leaves the head over it; leaning back is another thing and is stated as a lean."""
    figure = solve({"posture": "sitting"}, {"joints": {"lumbar": {"extension": 25}}})
    trunk = figure.poses[1].posed.points["spine_6"] - figure.poses[1].posed.points["pelvis_mid"]
    assert abs(np.degrees(np.arctan2(trunk[0], trunk[1]))) < 3
    assert figure.poses[1].posed.angles["pelvis.anterior_tilt"] > 8


def test_a_band_fixed_to_a_wall_has_its_wall():
    band = {"kind": "band", "held_by": "affected hand", "fixed_to": "wall"}
    pose = solve(
        {"posture": "standing", "joints": {"affected": {"elbow": {"flexion": 90}}}}, props=[band]
    ).poses[0]
    wall = next(p for p in pose.props if p.kind == "wall").blocks[0]
    end = next(p for p in pose.props if p.kind == "band").lines[0].points[1]
    local = np.abs((end - wall.centre) @ wall.axes) - wall.half
    assert local.max() == pytest.approx(0.0, abs=1e-6)


def test_what_is_let_go_does_not_depend_on_the_order_it_is_written_in():
    contacts = [{"part": "affected knee", "release": True}, {"part": "affected foot", "on": "floor"}]
    start = {"posture": "half_kneeling"}
    one, two = (solve(start, {"contacts": rows}).poses[1] for rows in (contacts, contacts[::-1]))
    assert {c.part for c in one.contacts} == {c.part for c in two.contacts}
    assert np.array_equal(one.posed.q, two.posed.q)


def test_a_step_up_keeps_the_foot_that_stood_on_the_step():
    straight = {"joints": {"affected": {"hip": {"flexion": 0}, "knee": {"flexion": 0}}}}
    figure = solve(
        {"posture": "step_standing"}, {**straight, "contacts": [{"part": "other foot", "on": "step"}]}
    )
    assert {c.part for c in figure.poses[1].contacts if c.place == "step"} == {"left foot", "right foot"}
    assert [p for p in figure.problems if p.severity == "error"] == []


def test_a_cushion_behind_the_back_of_who_sits_lies_between_back_and_chair():
    cushion = {"kind": "cushion", "behind": "lower back"}
    pose = solve({"posture": "sitting"}, props=[{"kind": "chair"}, cushion]).poses[0]
    centre = next(p for p in pose.props if p.kind == "cushion").blocks[0].centre
    back = next(b for b in next(p for p in pose.props if p.kind == "chair").blocks if b.name == "back")
    assert back.centre[0] < centre[0] < pose.posed.points["spine_2"][0]
    assert abs(centre[1] - pose.posed.points["spine_2"][1]) < 0.06


def test_a_roll_under_the_arm_of_who_stands_is_held_at_the_ribs():
    roll = {"kind": "towel", "form": "rolled", "under": "affected upper arm"}
    pose = solve({"posture": "standing"}, props=[roll]).poses[0]
    middle = np.mean([(rod.start + rod.end) / 2 for p in pose.props for rod in p.rods], axis=0)
    points = pose.posed.points
    assert abs(middle[1] - (points["shoulder_right"][1] + points["elbow_right"][1]) / 2) < 0.06
    assert points["spine_4"][2] < middle[2] < points["elbow_right"][2]


def test_the_back_arches_on_hands_and_knees_while_the_trunk_stays_level():
    figure = solve({"posture": "four_point_kneeling"}, {"joints": {"trunk": {"extension": 25}}})
    rise = [pose.posed.points["spine_6"][1] - pose.posed.points["pelvis_mid"][1] for pose in figure.poses]
    assert abs(rise[1] - rise[0]) < 0.03


@pytest.mark.parametrize("posture", ["half_lying", "long_sitting", "long_sitting_leaning"])
def test_whoever_sits_up_on_a_bed_rests_on_the_mattress(posture):
    heel = {"contacts": [{"part": "affected heel", "on": "bed"}]}
    pose = solve({"posture": posture}, heel, props=[{"kind": "bed"}]).poses[1]
    bed = next(p for p in pose.props if p.kind == "bed").blocks[0]
    assert pose.ground == pytest.approx(bed.centre[1] + bed.half[1], abs=0.01)
    assert pose.posed.points["pelvis_mid"][1] > pose.ground


def test_a_stool_under_the_heel_stands_besides_the_chair():
    stool = {"kind": "stool", "under": "affected heel"}
    figure = solve({"posture": "sitting", "joints": {"affected": {"knee": {"flexion": 0}}}}, props=[stool])
    props = {p.kind: p.blocks[0].centre for p in figure.poses[0].props}
    points = figure.poses[0].posed.points
    assert abs(props["stool"][0] - points["ankle_right"][0]) < 0.12
    assert abs(props["chair"][0] - points["pelvis_mid"][0]) < 0.12
    assert [p for p in figure.problems if p.severity == "error"] == []


def test_a_ball_at_the_back_that_no_wall_keeps_there_is_named():
    ball = {"kind": "gym_ball", "behind": "lower back"}
    assert "prop-elsewhere" in codes(solve({"posture": "standing"}, props=[ball]))


def test_a_leg_with_hip_and_knee_stated_does_not_roll_out_to_reach():
    bent = {"joints": {"affected": {"hip": {"flexion": 60}, "knee": {"flexion": 70}}}}
    heel = {"contacts": [{"part": "affected heel", "on": "bed"}]}
    pose = solve({"posture": "half_lying"}, {**bent, **heel}, props=[{"kind": "bed"}]).poses[1]
    assert abs(pose.posed.angles["hip_right.internal_rotation"]) < 40  # the limits are soft


def test_one_who_stands_on_the_balls_of_the_feet_has_the_weight_over_them():
    balls = [{"part": "both balls of feet", "on": "step"}]
    figure = solve({"posture": "standing", "contacts": balls}, props=[{"kind": "step"}])
    assert [p for p in figure.problems if p.severity == "error"] == []
    assert figure.poses[0].margin > 0


def test_whoever_rolls_a_ball_down_a_wall_stays_tall():
    props = [{"kind": "gym_ball", "behind": "lower back"}, {"kind": "wall", "behind": "lower back"}]
    figure = solve({"posture": "standing"}, {"posture": "squat"}, props=props)
    assert [p for p in figure.problems if p.severity == "error"] == []
    for pose in figure.poses:
        way = pose.posed.points["spine_6"] - pose.posed.points["pelvis_mid"]
        assert np.degrees(np.arctan2(way[0], way[1])) == pytest.approx(0, abs=3)


def test_a_towel_that_hands_pull_round_a_foot_is_drawn():
    towel = {"kind": "towel", "held_by": "both hands", "around": "affected foot"}
    bare, pulled = solve({"posture": "long_sitting"}), solve({"posture": "long_sitting"}, props=[towel])
    green = SCREEN.held
    assert green in draw_figure(pulled).svg()
    assert green not in draw_figure(bare).svg()


@pytest.mark.parametrize(
    ("posture", "edge", "joints", "hanging"),
    [
        ("prone", "both ankles", {"ankle": {"plantarflexion": 20}}, ["toe_right", "toe_left"]),
        ("supine", "affected knee", {"knee": {"flexion": 60}}, ["ankle_right", "toe_right"]),
        (
            "prone",
            "affected shoulder",
            {"shoulder": {"flexion": 80}, "elbow": {"flexion": 0}},
            ["wrist_right"],
        ),
    ],
)
@pytest.mark.parametrize("affected", ["right", "left"])
def test_what_is_beyond_the_edge_of_the_bed_hangs_over_it(posture, edge, joints, hanging, affected):
    bed = [{"kind": "bed", "edge": edge, "height": 0.46}]  # a plinth: the hand of a hanging arm is free
    figure = solve({"posture": posture}, {"joints": {"affected": joints}}, props=bed, affected=affected)
    assert [p for p in figure.problems if p.severity == "error"] == []
    pose = figure.poses[1]
    block = next(p for p in pose.props if p.kind == "bed").blocks[0]
    other = {"right": "left", "left": "right"}
    for name in hanging:
        stem, side = name.rsplit("_", 1)
        place = pose.posed.points[f"{stem}_{side if affected == 'right' else other[side]}"]
        assert any(np.abs((place - block.centre) @ block.axes)[[0, 2]] > block.half[[0, 2]])
    trunk = np.abs((pose.posed.points["pelvis_mid"] - block.centre) @ block.axes)
    assert all(trunk[[0, 2]] < block.half[[0, 2]])


def test_an_edge_is_a_beds_and_at_a_limb():
    for prop in ({"kind": "table", "edge": "both ankles"}, {"kind": "bed", "edge": "chest"}):
        with pytest.raises(ValidationError, match="edge"):
            FigureSpec.model_validate({"poses": [{"posture": "prone"}], "props": [prop]})


def test_a_towel_under_sliding_hands_goes_with_them():
    on_table = [{"part": "both hands", "on": "table"}]
    reach = {"joints": {"both": {"elbow": {"flexion": 5}}}, "directions": [{"lean": "trunk", "forward": 35}]}
    figure = solve(
        {"posture": "sitting", "joints": {"both": {"elbow": {"flexion": 75}}}, "contacts": on_table},
        {**reach, "contacts": on_table},
        props=[
            {"kind": "table", "in_front_of": "pelvis"},
            {"kind": "towel", "form": "flat", "under": "both hands"},
        ],
    )
    places = []
    for pose in figure.poses:
        block = next(prop for prop in pose.props if prop.kind == "towel").blocks[0]
        top = next(prop for prop in pose.props if prop.kind == "table").blocks[0]
        wrist = pose.posed.points["wrist_right"]
        assert block.centre[1] - block.half[1] >= top.centre[1] + top.half[1] - 0.004
        places.append(block.centre[0] - wrist[0])
    assert abs(places[0] - places[1]) < 0.03


def test_a_chair_behind_somebody_who_stands_has_its_seat_towards_them():
    pose = solve({"posture": "standing"}, props=[{"kind": "chair", "behind": "pelvis"}]).poses[0]
    seat, back = next(prop for prop in pose.props if prop.kind == "chair").blocks[:2]
    assert back.centre[0] < seat.centre[0] < pose.posed.points["pelvis_mid"][0]
