"""Frames between two poses: no limb shrinks, contacts are kept, nothing dips below the floor."""

from itertools import pairwise

import numpy as np
import pytest

from limberleaf.diagrams.body.kinematics import posed
from limberleaf.diagrams.body.skeleton import skeleton
from limberleaf.diagrams.solving.interpolate import frames, interpolate, rebase
from tests.diagrams.figures_help import hard_pose, solve

CASES = [
    "step-down",
    "sit-to-stand",
    "clam",
    "childs-pose",
    "strap-leg-raise",
    "wall-slide",
    "kneeling-hip-flexor",
]


def figure_of(name):
    from limberleaf.diagrams.posing import solve_figure

    return solve_figure(hard_pose(name)[1], "right")


@pytest.mark.parametrize("name", CASES)
def test_limbs_keep_their_length_and_shared_contacts_their_place(name):
    first, last = figure_of(name).poses[:2]
    shared = {(c.part, c.place): c for c in last.contacts}
    carrying = [c for c in first.contacts if (c.part, c.place) in shared and c.carries]
    for body in frames(first, last, 7):
        for near, far, length in (
            ("hip", "knee", 0.245),
            ("knee", "ankle", 0.246),
            ("elbow", "wrist", 0.150),
        ):
            for side in ("left", "right"):
                span = np.linalg.norm(body.points[f"{near}_{side}"] - body.points[f"{far}_{side}"])
                assert span == pytest.approx(length, abs=1e-9)
        lowest = min(p[1] - 0.0 for n, p in body.points.items() if n != "vertex")
        assert lowest > -0.012
        for contact in carrying:
            twin = shared[contact.part, contact.place]
            if np.linalg.norm(contact.points[0] - twin.points[0]) < 0.004 and contact.part.endswith(
                ("foot", "hand")
            ):
                side = contact.part.split(" ")[0]
                end = f"ball_{side}" if contact.part.endswith("foot") else f"knuckle_{side}"
                assert np.linalg.norm(body.points[end] - first.posed.points[end]) < 0.012


def test_the_ends_are_the_poses_themselves():
    first, last = figure_of("clam").poses
    assert interpolate(first, last, 0.0) is first.posed
    assert interpolate(first, last, 1.0) is last.posed


def test_turning_to_another_base_changes_nothing_but_the_words():
    prone = solve({"posture": "four_point_kneeling"}).poses[0].posed
    again = posed(rebase(prone, np.eye(3)), np.eye(3))
    for name in skeleton().points:
        assert again.points[name] == pytest.approx(prone.points[name], abs=1e-9)


def test_frames_move_steadily():
    first, last = figure_of("strap-leg-raise").poses
    places = [body.points["ankle_right"] for body in frames(first, last, 9)]
    steps = [np.linalg.norm(b - a) for a, b in pairwise(places)]
    assert max(steps) < 2.0 * min(steps)


def test_a_raised_arm_goes_round_and_not_by_the_hip():
    level = {"shoulder": {"abduction": 90, "horizontal_adduction": 90}}
    back = {"shoulder": {"abduction": 90, "horizontal_abduction": 30}}
    figure = solve({"posture": "standing", "joints": {"affected": level}}, {"joints": {"affected": back}})
    for share in np.linspace(0.0, 1.0, 7):
        points = interpolate(*figure.poses, float(share)).points
        arm = points["elbow_right"] - points["shoulder_right"]
        assert abs(arm[1]) < 0.25 * np.linalg.norm(arm)


def test_the_foot_that_goes_forward_is_lifted_and_the_other_stays_down():
    front, rear = (
        {"hip": {"flexion": 20}, "knee": {"flexion": 20}},
        {"hip": {"extension": 13}, "knee": {"flexion": 6}},
    )
    stand = {"posture": "standing", "contacts": [{"part": "both feet", "on": "floor"}]}
    figure = solve(
        stand | {"joints": {"affected": front, "other": rear}},
        stand | {"joints": {"affected": rear, "other": front}},
    )
    ends = [pose.posed.points for pose in figure.poses]
    middle = interpolate(*figure.poses, 0.5).points
    assert middle["ankle_left"][1] > max(points["ankle_left"][1] for points in ends) + 0.02
    assert middle["heel_right"][1] < 0.01
