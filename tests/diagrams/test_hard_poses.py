"""Forty poses a musculoskeletal clinic teaches, chosen to be hard: each must close, stand and stay as it was."""

import numpy as np
import pytest
import yaml

from limberleaf.diagrams.posing import solve_figure
from limberleaf.diagrams.solving.mirror import mirror_motions
from tests.diagrams.figures_help import GOLDEN, golden_of, hard_pose, hard_pose_names

NAMES = hard_pose_names()


def test_there_are_forty():
    assert len(NAMES) >= 40


@pytest.mark.parametrize("name", NAMES)
def test_every_contact_closes_and_nothing_is_wrong(name):
    _, spec = hard_pose(name)
    figure = solve_figure(spec, "right")
    assert [p for p in figure.problems if p.severity == "error"] == []
    for pose in figure.poses:
        for contact in pose.contacts:
            assert contact.error < 0.005, (contact.part, contact.place)


@pytest.mark.parametrize("name", NAMES)
def test_stated_angles_are_law(name):
    _, spec = hard_pose(name)
    for pose in solve_figure(spec, "right").poses:
        for motion, degrees in pose.stated.items():
            assert pose.posed.angles[motion] == pytest.approx(degrees, abs=0.011), motion


@pytest.mark.parametrize("name", NAMES)
def test_angles_are_those_of_the_golden_file(name):
    _, spec = hard_pose(name)
    ours = golden_of(solve_figure(spec, "right"))
    golden = yaml.safe_load((GOLDEN / f"{name}.yml").read_text(encoding="utf-8"))
    assert [p["posture"] for p in ours] == [p["posture"] for p in golden]
    for mine, theirs in zip(ours, golden, strict=True):
        for motion in mine["angles"].keys() | theirs["angles"].keys():
            assert mine["angles"].get(motion, 0.0) == pytest.approx(
                theirs["angles"].get(motion, 0.0), abs=1.0
            ), motion
        assert mine["pelvis"] == pytest.approx(theirs["pelvis"], abs=0.005)


@pytest.mark.parametrize("name", NAMES)
def test_the_left_side_is_the_exact_mirror(name):
    _, spec = hard_pose(name)
    right, left = solve_figure(spec, "right"), solve_figure(spec, "left")
    for one, two in zip(right.poses, left.poses, strict=True):
        assert np.array_equal(mirror_motions(one.posed.q), two.posed.q)
        for point, place in one.posed.points.items():
            twin = point.replace("right", "@").replace("left", "right").replace("@", "left")
            assert two.posed.points[twin] == pytest.approx(place * [1, 1, -1], abs=1e-12)
        assert two.margin == one.margin
    assert len(left.problems) == len(right.problems)
