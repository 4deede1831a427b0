"""Findings about poses beyond their two figures in findings.yml: their place, captions, ladders, the support."""

import numpy as np
import pytest

from limberleaf.diagrams.checking.captions import check_caption, named_limbs
from limberleaf.diagrams.checking.ladder import compare_steps, is_slider, ladder_vector, nerve_components
from limberleaf.diagrams.solving.algebra.support import margin, outline
from tests.diagrams.figures_help import codes, solve

STAND = {"posture": "standing"}
SIT = {"posture": "sitting"}


def lying(**joints):
    return {"posture": "supine", "joints": {"affected": joints}}


def test_a_finding_points_at_the_words_that_cause_it():
    figure = solve(SIT, {"joints": {"affected": {"hip": {"flexion": 90}, "knee": {"flexion": 158}}}})
    found = next(p for p in figure.problems if p.code == "joint-beyond-range")
    assert found.path == ("poses", 1, "joints", "affected", "knee")


def test_a_prop_that_nothing_touches_is_reported():
    assert "prop-unused" in codes(solve(STAND, props=[{"kind": "stool"}]))
    assert "prop-unused" not in codes(solve(SIT, props=[{"kind": "stool"}]))
    assert "prop-unused" not in codes(solve(STAND, props=[{"kind": "stool", "beside": "affected"}]))


def test_a_finish_like_its_start_is_reported_unless_it_is_enlarged():
    small = {"joints": {"neck": {"flexion": 3}}}
    assert "poses-alike" in codes(solve(SIT, small))
    assert "poses-alike" not in codes(solve(SIT, small, inset="neck"))
    assert "poses-alike" not in codes(solve(SIT, {"joints": {"neck": {"flexion": 30}}}))


def test_ankles_under_weight_may_bend_further():
    stated = {"joints": {"affected": {"ankle": {"dorsiflexion": 34}}}}
    free = solve(lying(ankle={"dorsiflexion": 34}))
    loaded = solve({"posture": "split_stance", **stated}, {"joints": {"affected": {"knee": {"flexion": 50}}}})
    assert "joint-beyond-range" in codes(free)
    assert "joint-beyond-range" not in codes(loaded)


# Captions


def captioned(caption, **joints):
    figure = solve(SIT, {"joints": joints, "caption": caption})
    return list(check_caption(figure.poses[1], figure.poses[0], "right", ("poses", 1), "en"))


def test_a_caption_that_names_the_other_leg_is_reported():
    bent = {"affected": {"knee": {"flexion": 10}}}
    assert [p.code for p in captioned("Lift your {other} foot.", **bent)] == ["caption-side"]
    assert captioned("Lift your {affected} foot.", **bent) == []
    assert captioned("Lift it slowly.", **bent) == []


@pytest.mark.parametrize(
    ("posture", "said", "caption"),
    [
        ("prone", {"contacts": [{"part": "affected ball of foot", "on": "floor"}]}, "Move your {other} leg."),
        ("prone", {"contacts": [{"part": "other ball of foot", "on": "floor"}]}, "Move your {affected} leg."),
        ("side_lying", {"directions": [{"level": "other forearm"}]}, "Move your {affected} arm."),
    ],
)
def test_a_limb_that_moves_because_its_own_contact_or_direction_says_so_is_the_one_to_name(
    posture, said, caption
):
    assert "caption-side" in codes(solve({"posture": posture}, {**said, "caption": caption}))
    other = caption.replace("other", "x").replace("affected", "other").replace("x", "affected")
    assert "caption-side" not in codes(solve({"posture": posture}, {**said, "caption": other}))


def test_contacts_stated_apart_are_told_apart_each_with_its_place():
    hands = [{"part": "affected hand", "on": "other knee"}, {"part": "other hand", "on": "head"}]
    joints = {
        "affected": {"shoulder": {"flexion": 170}, "elbow": {"flexion": 0}},
        "other": {"shoulder": {"flexion": 0}, "elbow": {"flexion": 0}},
    }
    figure = solve({"posture": "sitting", "contacts": hands}, {"joints": joints})
    told = [p for p in figure.problems if p.code == "contact-open"]
    assert {p.path for p in told} == {("poses", 1)}
    said = {p.message.partition(" by ")[0] for p in told}
    assert {"The affected hand misses the other knee", "The other hand misses the head"} <= said
    assert not any("hand and" in one or "and the affected hand" in one for one in said)


def test_a_wrist_that_was_stated_keeps_its_angle_when_the_hand_leaves_the_ground():
    first = {
        "posture": "four_point_kneeling",
        "joints": {"affected": {"wrist": {"extension": 40}}},
        "contacts": [{"part": "affected hand", "on": "floor"}],
    }
    later = {
        "contacts": [{"part": "affected hand", "release": True}],
        "joints": {"affected": {"shoulder": {"flexion": 150}}},
    }
    figure = solve(first, later)
    assert [round(pose.posed.angles["wrist_right.flexion"]) for pose in figure.poses] == [-40, -40]


def test_a_caption_that_names_a_joint_at_rest_is_reported():
    ankle = {"affected": {"ankle": {"dorsiflexion": 15}}}
    assert [p.code for p in captioned("Straighten your {affected} knee.", **ankle)] == ["caption-joint"]
    assert captioned("Bend your {affected} ankle.", **ankle) == []
    assert captioned("Straighten your {affected} knee.", affected={"knee": {"flexion": 10}}) == []


def test_side_words_find_their_limb_in_two_languages():
    assert named_limbs("Put your {affected} foot by your {other} hand.", "en") == {
        ("affected", "leg"),
        ("other", "arm"),
    }
    assert named_limbs("Til uw {affected} been op.", "nl") == {("affected", "leg")}


# Ladders


def slump(knee, ankle, neck):
    return solve({**SIT, "joints": {"lumbar": {"flexion": 25}, "neck": {"flexion": neck},
                                    "affected": {"knee": {"flexion": knee}, "ankle": ankle}}})  # fmt: skip


def test_a_step_that_tightens_one_joint_is_harder_and_back_is_easier():
    one, two = slump(60, {"plantarflexion": 10}, 0), slump(20, {"plantarflexion": 10}, 0)
    first, second = ladder_vector(one, "sciatic"), ladder_vector(two, "sciatic")
    assert compare_steps(first, second).verdict == "harder"
    assert compare_steps(first, second).harder == ("knee_right.flexion",)
    assert compare_steps(second, first).verdict == "easier"


def test_a_step_that_gives_with_one_end_is_mixed_and_noise_is_the_same():
    one = ladder_vector(slump(60, {"dorsiflexion": 0}, 40), "sciatic")
    assert compare_steps(one, ladder_vector(slump(20, {"dorsiflexion": 0}, 0), "sciatic")).verdict == "mixed"
    assert compare_steps(one, ladder_vector(slump(57, {"dorsiflexion": 0}, 40), "sciatic")).verdict == "same"


def test_a_slider_moves_its_ends_opposite_ways_and_a_tensioner_does_not():
    bent = slump(60, {"dorsiflexion": 0}, 40).poses[0]
    slider = slump(20, {"dorsiflexion": 0}, 0).poses[0]
    tensioner = slump(20, {"dorsiflexion": 0}, 60).poses[0]
    assert is_slider(bent, slider, "sciatic", "right")
    assert not is_slider(bent, tensioner, "sciatic", "right")


def test_less_support_is_harder():
    both = ladder_vector(solve(STAND))
    one = ladder_vector(
        solve({**STAND, "joints": {"other": {"hip": {"flexion": 30}, "knee": {"flexion": 70}}}})
    )
    assert "support taken away" in compare_steps(both, one).harder


def test_median_components_follow_the_affected_arm():
    words = {"affected": {"shoulder": {"abduction": 90}, "elbow": {"flexion": 0}, "wrist": {"extension": 40}},
             "neck": {"side_bend_other": 20}}  # fmt: skip
    for side in ("right", "left"):
        pose = solve({**STAND, "joints": words}, affected=side).poses[0]
        parts = nerve_components(pose, "median", side)
        assert parts[f"shoulder_{side}.abduction"] == 90
        assert parts[f"wrist_{side}.flexion"] == 40
        assert parts[f"neck.side_bend_{side}"] == 20


# Support


def test_margin_is_the_distance_to_the_nearest_edge():
    square = outline([np.array([x, 0.0, z]) for x in (0.0, 2.0) for z in (0.0, 2.0)])
    assert margin(square, np.array([1.0, 5.0, 0.5])) == pytest.approx(0.5)
    assert margin(square, np.array([3.0, 5.0, 1.0])) == pytest.approx(-1.0)
    assert margin((), np.zeros(3)) is None
