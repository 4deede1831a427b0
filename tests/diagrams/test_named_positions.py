"""Positions a clinician names, and the angles the trade reads in them.

Source: the neutral-zero method (American Academy of Orthopaedic Surgeons, *Joint Motion: Method of Measuring and
Recording*, 1965; from memory): rotation of the shoulder is zero with the forearm straight ahead, whether the arm hangs
or is held out level at 90 degrees, and is counted outward and inward from there.
"""

import numpy as np
import pytest

from tests.diagrams.figures_help import codes, solve

AHEAD, UP, OUT = np.eye(3)
"""Directions of a standing body whose right side is the affected one."""


def forearm(**shoulder):
    pose = solve(
        {"posture": "standing", "joints": {"affected": {"shoulder": shoulder, "elbow": {"flexion": 90}}}}
    )
    points = pose.poses[0].posed.points
    way = points["wrist_right"] - points["elbow_right"]
    return way / np.linalg.norm(way)


@pytest.mark.parametrize(
    ("shoulder", "way"),
    [
        ({"abduction": 90}, AHEAD),
        ({"abduction": 90, "external_rotation": 90}, UP),
        ({"abduction": 90, "internal_rotation": 90}, -UP),
        ({"flexion": 0, "abduction": 0}, AHEAD),
        ({"flexion": 0, "abduction": 0, "external_rotation": 90}, OUT),
        ({"flexion": 0, "abduction": 0, "internal_rotation": 90}, -OUT),
    ],
    ids=["level", "hands up", "hands down", "at the side", "turned out", "across the belly"],
)
def test_rotation_counts_from_the_forearm_straight_ahead(shoulder, way):
    assert forearm(**shoulder) == pytest.approx(way, abs=0.12)


def test_rotation_of_the_top_arm_on_the_side_lifts_the_forearm():
    joints = {"shoulder": {"flexion": 0, "abduction": 0, "external_rotation": 45}, "elbow": {"flexion": 90}}
    pose = solve({"posture": "side_lying", "joints": {"affected": joints}}).poses[0]
    way = pose.posed.points["wrist_right"] - pose.posed.points["elbow_right"]
    assert np.degrees(np.arcsin(way[1] / np.linalg.norm(way))) == pytest.approx(45, abs=12)


def test_a_hand_behind_the_back_turns_the_arm_in():
    back = solve({"posture": "standing"}, {"contacts": [{"part": "affected hand", "on": "lower back"}]})
    assert codes(back) == []
    assert back.poses[1].posed.angles["shoulder_right.internal_rotation"] > 20
