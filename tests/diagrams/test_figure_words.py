"""The figure language: what it takes, what it refuses, and how it says so."""

import json

import pytest
from pydantic import ValidationError

from limberleaf.diagrams.language.joint_words import read_joints
from limberleaf.diagrams.language.spec import FigureSpec
from limberleaf.diagrams.language.spec_joints import Joints
from limberleaf.diagrams.language.words import part_rows, posture_rows, prop_rows, read_part
from limberleaf.diagrams.solving.asked.state import posture_angles


def refused(**pose):
    with pytest.raises(ValidationError) as caught:
        FigureSpec.model_validate({"poses": [{"posture": "sitting", **pose}]})
    return str(caught.value)


def test_unknown_posture_suggests_the_nearest():
    assert "Did you mean 'sitting'?" in refused(posture="siting")


def test_unknown_part_suggests_the_nearest():
    assert "Did you mean 'affected heel'?" in refused(contacts=[{"part": "afected heel", "on": "floor"}])


def test_paired_parts_need_a_side_and_others_have_none():
    assert "which heel" in refused(contacts=[{"part": "heel", "on": "floor"}])
    assert "has no side" in refused(contacts=[{"part": "affected pelvis", "on": "floor"}])


def test_both_directions_of_a_motion_are_refused():
    assert "flexion or extension" in refused(joints={"both": {"knee": {"flexion": 5, "extension": 3}}})


def test_negative_angles_are_refused():
    assert "greater than or equal to 0" in refused(joints={"affected": {"knee": {"flexion": -5}}})


def test_a_contact_says_one_thing():
    assert "one of" in refused(contacts=[{"part": "both hands"}])
    assert "one of" in refused(contacts=[{"part": "both hands", "on": "floor", "release": True}])


def test_the_first_pose_needs_a_posture():
    with pytest.raises(ValidationError, match="must name a posture"):
        FigureSpec.model_validate({"poses": [{"caption": "x"}]})


def test_unknown_keys_are_refused():
    assert "Extra inputs" in refused(jonts={})


def test_open_takes_joints_only():
    assert "not a joint" in refused(open=["affected leg"])
    spec = FigureSpec.model_validate({"poses": [{"posture": "sitting"}, {"open": ["both elbows", "trunk"]}]})
    assert spec.poses[1].open == ["both elbow", "trunk"]


def test_everyday_names_mean_the_same_part():
    assert read_part("both palms") == read_part("both hands")
    assert read_part("both feet").part == "foot"
    assert read_part("low back") == read_part("lower back")


def test_the_schema_explains_itself_and_lists_the_words():
    schema = FigureSpec.model_json_schema()
    text = str(schema)
    assert set(posture_rows()) == set(schema["$defs"]["Pose"]["properties"]["posture"]["anyOf"][0]["enum"])
    assert "Thigh forward; 90 = sitting upright." in text
    assert all(kind in text for kind in prop_rows())


def degrees(**joints):
    return read_joints(Joints.model_validate(joints))[0]


def test_opposite_words_are_the_same_motion():
    assert degrees(affected={"hip": {"extension": 10}}) == {"hip_right.flexion": -10}
    assert degrees(other={"wrist": {"radial_deviation": 10}}) == {"wrist_left.ulnar_deviation": -10}


def test_both_sides_take_the_same_numbers():
    assert degrees(both={"knee": {"flexion": 40}}) == {"knee_left.flexion": 40, "knee_right.flexion": 40}


def test_trunk_is_shared_between_low_and_upper_back():
    assert sum(degrees(trunk={"flexion": 40}).values()) == pytest.approx(40)
    assert set(degrees(trunk={"rotation": 40})) == {"lumbar.rotation_right", "thoracic.rotation_right"}
    assert sum(degrees(trunk={"side_bend_other": 20}).values()) == pytest.approx(-20)


def test_scaption_and_level_arms():
    swing = degrees(affected={"shoulder": {"scaption": 90}})
    assert swing["shoulder_right.flexion"] ** 2 + swing["shoulder_right.abduction"] ** 2 == pytest.approx(
        8100
    )
    level = degrees(affected={"shoulder": {"abduction": 90, "horizontal_adduction": 90}})
    assert level["shoulder_right.flexion"] == pytest.approx(90)
    assert level["shoulder_right.abduction"] == pytest.approx(0, abs=1e-9)


def test_a_posture_mirrors_with_its_lead():
    right, left = posture_angles("side_sitting", "right"), posture_angles("side_sitting", "left")
    assert right["hip_right.internal_rotation"] == left["hip_left.internal_rotation"]
    assert right["lumbar.side_bend_right"] == -left["lumbar.side_bend_right"]


def test_every_part_stands_on_the_skeleton():
    for name, row in part_rows().items():
        assert row["samples"], name
        assert len(row["face"]) == 3, name


def test_both_hips_are_two_and_the_hips_are_the_pelvis():
    assert read_part("both hips").part == "hip"
    assert read_part("hips").part == "pelvis"


@pytest.mark.parametrize("text", ["both balls of foot", "both balls of feet", "both backs of thigh"])
def test_plurals_are_read_as_people_say_them(text):
    assert read_part(text).side == "both"


def test_an_editor_can_complete_parts_and_places_and_still_write_others():
    contact = FigureSpec.model_json_schema()["$defs"]["Contact"]["properties"]
    offered = contact["part"]["anyOf"][0]["enum"]
    assert {"affected heel", "both balls of feet", "other groin", "pelvis"} <= set(offered)
    assert all(read_part(text) for text in offered)
    assert {"type": "string"} in contact["part"]["anyOf"]
    assert "chair seat" in json.dumps(contact["on"])
