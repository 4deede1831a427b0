"""Frames between two poses: no limb shrinks, contacts are kept, nothing dips below the floor."""

from itertools import pairwise

import numpy as np
import pytest

from diagrams.body import skeleton
from diagrams.interpolate import frames, interpolate, rebase
from diagrams.kinematics import posed
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
    from diagrams.solve import solve_figure

    return solve_figure(hard_pose(name)[1], "right")


@pytest.mark.parametrize("name", CASES)
def test_limbs_keep_their_length_and_shared_contacts_their_place(name):
    first, last = figure_of(name).poses[:2]
    shared = {(c.part, c.place): c for c in last.contacts}
    kept = [c for c in first.contacts if (c.part, c.place) in shared and c.carries]
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
        for contact in kept:
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
