"""What an author's few words come to: stated angles, kept contacts, second poses, props, findings."""

import numpy as np
import pytest

from limberleaf.diagrams.body.skeleton import skeleton
from tests.diagrams.figures_help import codes, solve


def contact(figure, part, pose=-1):
    return next((c for c in figure.poses[pose].contacts if c.part == part), None)


def test_straightening_a_knee_in_sitting_lifts_only_that_foot():
    figure = solve({"posture": "sitting"}, {"joints": {"affected": {"knee": {"flexion": 5}}}})
    before, after = (pose.posed.points for pose in figure.poses)
    assert contact(figure, "right foot") is None
    assert contact(figure, "left foot").error < 0.005
    assert np.linalg.norm(after["ankle_left"] - before["ankle_left"]) < 0.005
    assert after["ankle_right"][1] > before["ankle_right"][1] + 0.15
    assert {m.split(".")[0] for m in figure.poses[1].moved} <= {
        "knee_right",
        "shoulder_right",
        "elbow_right",
        "forearm_right",
        "wrist_right",
        "hip_right",
    }


def test_both_knees_in_standing_make_a_squat_on_feet_that_stay():
    figure = solve({"posture": "standing"}, {"joints": {"both": {"knee": {"flexion": 70}}}})
    before, after = (pose.posed.points for pose in figure.poses)
    for end in ("heel_right", "ball_left"):
        assert np.linalg.norm(after[end] - before[end]) < 0.005
    assert after["pelvis_mid"][1] < before["pelvis_mid"][1] - 0.05
    assert figure.poses[1].margin > 0.0


def test_toes_rise_and_the_heel_stays_when_an_ankle_is_stated_in_sitting():
    figure = solve({"posture": "sitting"}, {"joints": {"both": {"ankle": {"dorsiflexion": 15}}}})
    after = figure.poses[1].posed.points
    assert abs(after["heel_right"][1]) < 0.004
    assert after["toe_right"][1] > 0.01


def test_heels_rise_and_the_toes_stay_in_standing():
    figure = solve({"posture": "standing"}, {"joints": {"both": {"ankle": {"plantarflexion": 30}}}})
    after = figure.poses[1].posed.points
    assert abs(after["ball_right"][1]) < 0.004
    assert after["heel_right"][1] > 0.04
    assert after["vertex"][1] > figure.poses[0].posed.points["vertex"][1] + 0.02


def test_a_heel_slides_on_the_floor_when_only_the_knee_is_stated_in_lying():
    figure = solve({"posture": "supine"}, {"joints": {"affected": {"knee": {"flexion": 60}}}})
    before, after = (pose.posed.points for pose in figure.poses)
    assert abs(after["heel_right"][1]) < 0.004
    assert before["heel_right"][0] - after["heel_right"][0] > 0.05


def test_affected_and_other_swap_with_the_side():
    words = {"affected": {"knee": {"flexion": 5}}}
    right = solve({"posture": "sitting"}, {"joints": words}, affected="right").poses[1].stated
    left = solve({"posture": "sitting"}, {"joints": words}, affected="left").poses[1].stated
    assert right == {"knee_right.flexion": 5}
    assert left == {"knee_left.flexion": 5}


def test_turning_to_the_affected_side_turns_the_other_way_on_the_left():
    words = {"trunk": {"rotation_affected": 30}}
    for side, sign in (("right", 1), ("left", -1)):
        pose = solve({"posture": "sitting", "joints": words}, affected=side).poses[0]
        chest = pose.posed.frames["thorax"][:, 0]
        assert np.degrees(np.arctan2(chest[2], chest[0])) == pytest.approx(sign * 30, abs=4)


def test_a_later_pose_keeps_what_it_does_not_mention():
    figure = solve(
        {"posture": "sitting", "joints": {"neck": {"rotation_affected": 40}}},
        {"joints": {"affected": {"knee": {"flexion": 20}}}},
    )
    assert figure.poses[1].posed.angles["neck.rotation_right"] == 40


def test_open_lets_an_earlier_angle_follow():
    start = {"posture": "sitting", "joints": {"affected": {"hip": {"flexion": 88}}}}
    lean = {"directions": [{"lean": "trunk", "forward": 30}]}
    held = solve(start, lean).poses[1]
    opened = solve(start, {**lean, "open": "affected hip"}).poses[1]
    assert held.posed.angles["hip_right.flexion"] == 88
    assert opened.posed.angles["hip_right.flexion"] > 100


def test_level_and_upright_are_met_in_the_room():
    figure = solve(
        {"posture": "four_point_kneeling"},
        {
            "joints": {"other": {"knee": {"flexion": 0}}},
            "directions": [{"level": "other leg"}],
            "contacts": [{"part": "other knee", "release": True}],
        },
    )
    points = figure.poses[1].posed.points
    assert abs(points["hip_left"][1] - points["ankle_left"][1]) < 0.02
    assert points["ankle_left"][0] < points["hip_left"][0] - 0.4


def test_a_prop_that_contacts_name_is_there_without_being_listed():
    figure = solve({"posture": "standing", "contacts": [{"part": "both hands", "on": "wall"}]})
    wall = next(p for p in figure.poses[0].props if p.kind == "wall")
    assert wall.forward[0] == pytest.approx(-1)
    assert contact(figure, "right hand").error < 0.005


def test_props_stand_where_they_stood_in_every_panel():
    figure = solve(
        {"posture": "sitting_on_edge"},
        {"directions": [{"lean": "trunk", "forward": 35}]},
        {"posture": "standing"},
    )
    chairs = [next(p for p in pose.props if p.kind == "chair") for pose in figure.poses]
    for chair in chairs[1:]:
        assert np.array_equal(chair.blocks[0].centre, chairs[0].blocks[0].centre)


def test_hands_hold_one_shin_from_both_sides():
    figure = solve(
        {"posture": "crook_lying"},
        {
            "joints": {"affected": {"hip": {"flexion": 110}}},
            "contacts": [{"part": "both hands", "holding": "affected shin"}],
        },
    )
    assert contact(figure, "right hand").error < 0.005
    assert contact(figure, "left hand").error < 0.005
    points = figure.poses[1].posed.points
    assert points["knuckle_right"][2] > points["knuckle_left"][2]


def test_a_strap_runs_from_hand_round_the_foot_to_hand():
    figure = solve(
        {
            "posture": "supine",
            "joints": {"affected": {"hip": {"flexion": 60}, "knee": {"flexion": 0}}},
            "contacts": [{"part": "both hands", "holding": "strap"}],
        },
        props=[{"kind": "strap", "around": "affected foot"}],
    )
    strap = next(p for p in figure.poses[0].props if p.kind == "strap")
    ends = strap.lines[0].points
    points = figure.poses[0].posed.points
    assert len(ends) == 3
    assert np.linalg.norm(ends[1] - points["ball_right"]) < 0.04
    for end, hand in ((ends[0], "left"), (ends[2], "right")):
        middle = (points[f"wrist_{hand}"] + points[f"knuckle_{hand}"]) / 2
        assert np.linalg.norm(end - middle) < 0.04


def test_a_stick_goes_through_both_fists():
    figure = solve(
        {
            "posture": "standing",
            "joints": {"both": {"elbow": {"flexion": 90}}},
            "contacts": [{"part": "both hands", "holding": "stick"}],
        }
    )
    stick = next(p for p in figure.poses[0].props if p.kind == "stick").rods[0]
    way = (stick.end - stick.start) / np.linalg.norm(stick.end - stick.start)
    for side in ("left", "right"):
        points = figure.poses[0].posed.points
        middle = (points[f"wrist_{side}"] + points[f"knuckle_{side}"]) / 2
        off = (middle - stick.start) - ((middle - stick.start) @ way) * way
        assert np.linalg.norm(off) < 0.04
        assert figure.poses[0].posed.angles[f"fingers_{side}.flexion"] > 60


def test_the_same_words_give_the_same_numbers():
    words = ({"posture": "sitting"}, {"joints": {"affected": {"knee": {"flexion": 20}}}})
    one, two = solve(*words), solve(*words)
    for a, b in zip(one.poses, two.poses, strict=True):
        assert np.array_equal(a.posed.q, b.posed.q)


def test_angles_are_rounded_to_a_hundredth_of_a_degree():
    body, q = skeleton(), solve({"posture": "squat"}).poses[0].posed.q
    degrees = np.degrees(q[3:])
    assert np.abs(degrees - np.round(degrees, 2)).max() < 1e-9
    assert len(q) == len(body.motions)


def test_a_stated_angle_is_never_bent_to_please_a_contact():
    figure = solve(
        {
            "posture": "standing",
            "joints": {"affected": {"shoulder": {"flexion": 170}, "elbow": {"flexion": 0}}},
            "contacts": [{"part": "affected hand", "on": "other knee"}],
        }
    )
    angles = figure.poses[0].posed.angles
    assert (angles["shoulder_right.flexion"], angles["elbow_right.flexion"]) == (170, 0)
    assert "contact-open" in codes(figure)


def test_hips_never_roll_silently_in_lying():
    figure = solve(
        {
            "posture": "prone",
            "joints": {"affected": {"hip": {"flexion": 45, "abduction": 45}, "knee": {"flexion": 90}}},
        }
    )
    angles = figure.poses[0].posed.angles
    assert angles["pelvis.rotation_right"] == 0
    assert angles["pelvis.side_tilt_right"] == 0
    assert set(codes(figure)) & {"contact-open", "below-floor"}


def test_a_raised_shoulder_lets_the_arm_hang():
    figure = solve({"posture": "standing"}, {"joints": {"affected": {"scapula": {"elevation": 20}}}})
    before, after = (pose.posed.points for pose in figure.poses)
    assert after["shoulder_right"][1] > before["shoulder_right"][1] + 0.02
    for points in (before, after):
        arm = points["elbow_right"] - points["shoulder_right"]
        assert np.degrees(np.arctan2(np.hypot(arm[0], arm[2]), -arm[1])) < 12


@pytest.mark.parametrize("elbow", [8, 45, 100])
def test_fingers_point_up_the_wall_when_the_arms_are_stated(elbow):
    arms = {"shoulder": {"flexion": 80}, "elbow": {"flexion": elbow}}
    pose = {
        "posture": "standing",
        "joints": {"both": arms},
        "contacts": [{"part": "both hands", "on": "wall"}],
    }
    points = solve(pose, props=[{"kind": "wall"}]).poses[0].posed.points
    for side in ("left", "right"):
        way = points[f"fingertip_{side}"] - points[f"wrist_{side}"]
        assert way[1] > 0.8 * np.linalg.norm(way)
