"""Every named posture is one a body can hold, with the fewest words: contacts close, ranges hold, weight is held."""

import numpy as np
import pytest

from limberleaf.diagrams.language.words import posture_rows
from tests.diagrams.figures_help import codes, solve

POSTURES = sorted(posture_rows())
NEEDED = {
    "standing", "standing_at_worktop", "step_standing", "split_stance", "sitting", "sitting_on_edge", "long_sitting",
    "long_sitting_leaning", "side_sitting", "cross_legged", "supine", "crook_lying", "supine_legs_on_chair", "prone",
    "prone_on_elbows", "prone_on_hands", "side_lying", "side_lying_knees_bent", "four_point_kneeling", "kneeling",
    "half_kneeling", "kneel_sitting", "squat", "bridge",
}  # fmt: skip


def test_all_postures_of_the_design_are_there():
    assert set(POSTURES) >= NEEDED


@pytest.mark.parametrize("posture", POSTURES)
def test_a_posture_alone_is_possible(posture):
    figure = solve({"posture": posture})
    assert [p for p in figure.problems if p.severity != "note"] == []
    assert figure.poses[0].margin > 0
    assert max(c.error for c in figure.poses[0].contacts) < 0.005


@pytest.mark.parametrize("posture", POSTURES)
@pytest.mark.parametrize("lead", ["affected", "other"])
def test_either_side_may_lead(posture, lead):
    figure = solve({"posture": posture, "lead": lead})
    assert not [c for c in codes(figure) if c in ("contact-open", "joint-beyond-range", "below-floor")]


def point(figure, name, pose=0):
    return figure.poses[pose].posed.points[name]


def test_sitting_has_level_thighs_upright_shins_and_flat_feet():
    figure = solve({"posture": "sitting"})
    thigh = point(figure, "knee_right") - point(figure, "hip_right")
    shin = point(figure, "knee_right") - point(figure, "ankle_right")
    assert abs(np.degrees(np.arcsin(thigh[1] / np.linalg.norm(thigh)))) < 6
    assert np.degrees(np.arccos(shin[1] / np.linalg.norm(shin))) < 8
    for end in ("heel_right", "ball_right", "heel_left", "ball_left"):
        assert abs(point(figure, end)[1]) < 0.003


def test_sitting_rests_hands_on_thighs():
    figure = solve({"posture": "sitting"})
    assert point(figure, "knuckle_right")[1] > point(figure, "knee_right")[1]
    assert 0.0 < point(figure, "knuckle_right")[0] < point(figure, "knee_right")[0] + 0.03


def test_standing_arms_hang_beside_the_body():
    figure = solve({"posture": "standing"})
    assert point(figure, "wrist_right")[2] > point(figure, "hip_right")[2] + 0.05
    assert 0.42 < point(figure, "wrist_right")[1] < 0.52


def test_lying_on_the_back_the_head_points_away_from_the_feet_and_the_face_is_up():
    figure = solve({"posture": "supine"})
    assert point(figure, "toe_right")[0] > point(figure, "vertex")[0] + 0.9
    assert figure.poses[0].posed.frames["head"][1, 0] > 0.9


def test_lying_on_the_front_the_face_is_down_on_the_hands():
    figure = solve({"posture": "prone"})
    assert figure.poses[0].posed.frames["head"][1, 0] < -0.9
    gap = np.linalg.norm(point(figure, "knuckle_right") - point(figure, "head_centre"))
    assert gap < 0.14


def test_side_lying_has_the_lead_side_on_top_and_the_head_on_a_pillow():
    figure = solve({"posture": "side_lying", "lead": "affected"})
    assert point(figure, "shoulder_right")[1] > point(figure, "shoulder_left")[1] + 0.1
    pillow = next(p for p in figure.poses[0].props if p.kind == "pillow")
    assert pillow.blocks[0].centre[1] + pillow.blocks[0].half[1] == pytest.approx(
        point(figure, "head_centre")[1] - 0.065, abs=0.005
    )


def test_a_bed_carries_the_whole_body():
    flat = solve({"posture": "supine"})
    bed = solve({"posture": "supine"}, props=[{"kind": "bed"}])
    rise = point(bed, "pelvis_mid")[1] - point(flat, "pelvis_mid")[1]
    top = bed.poses[0].ground
    assert rise == pytest.approx(top, abs=1e-4)
    assert 0.2 < top < 0.35


def test_a_stool_takes_the_place_of_the_chair():
    kinds = [p.kind for p in solve({"posture": "sitting"}, props=[{"kind": "stool"}]).poses[0].props]
    assert kinds == ["stool"]


def test_in_tandem_stance_the_heel_is_right_in_front_of_the_other_toes_and_a_new_lead_is_a_step():
    """Tandem stand of the Short Physical Performance Battery (Guralnik and others 1994, from memory)."""
    figure = solve({"posture": "tandem_stance"}, {"posture": "tandem_stance", "lead": "other"})
    gap = point(figure, "heel_right") - point(figure, "toe_left")
    assert abs(gap[2]) < 0.012
    assert -0.005 < gap[0] < 0.015
    assert np.linalg.norm(point(figure, "heel_right", 1) - point(figure, "heel_right", 0)) < 0.005
    assert point(figure, "heel_left", 1)[0] - point(figure, "toe_right", 1)[0] < 0.015
    assert point(figure, "pelvis_mid", 1)[0] - point(figure, "pelvis_mid")[0] > 0.1


def test_in_semi_tandem_stance_the_heel_is_beside_the_big_toe():
    figure = solve({"posture": "semi_tandem_stance"})
    heel, ball, toe = (point(figure, name) for name in ("heel_right", "ball_left", "toe_left"))
    assert ball[0] - 0.08 < heel[0] < toe[0]
    assert 0.04 < heel[2] - toe[2] < 0.075
