"""The neutral body against published measurements of people.

Sources
-------
ANSUR II (US Army 2012): mean and standard deviation of measure / stature, 4,082 men and 1,986 women, computed from the
public CSV files. Drillis & Contini: heights as printed in Winter, Biomechanics and Motor Control of Human Movement,
fig. 4.1. de Leva 1996, J Biomech 29:1223, table 4. Winter ch. 4: worked examples, book values from memory, arithmetic
re-computed.
"""

import numpy as np
import pytest

from limberleaf.diagrams.body.kinematics import posed_from_angles
from limberleaf.diagrams.body.skeleton import combined_centre, load_data, segment_centre, skeleton

STANDING = posed_from_angles({})


def height(name):
    return STANDING.points[name][1]


# name, ours, ANSUR men (SD), women (SD)
ANSUR = [
    ("C7 height", lambda: height("spine_6"), (0.864, 0.007), (0.857, 0.007)),
    ("wrist height", lambda: height("wrist_right"), (0.4825, 0.012), (0.488, 0.012)),
    ("knee height", lambda: height("knee_right"), (0.278, 0.010), (0.276, 0.010)),
    ("ankle height", lambda: height("ankle_right"), (0.0415, 0.003), (0.0385, 0.003)),
    (
        "hand length",
        lambda: height("wrist_right") - height("fingertip_right"),
        (0.110, 0.004),
        (0.111, 0.005),
    ),
    (
        "foot length",
        lambda: STANDING.points["toe_right"][0] - STANDING.points["heel_right"][0],
        (0.154, 0.005),
        (0.151, 0.005),
    ),
    (
        "heel to ball",
        lambda: STANDING.points["ball_right"][0] - STANDING.points["heel_right"][0],
        (0.114, 0.004),
        (0.112, 0.004),
    ),
    ("forearm", lambda: height("elbow_right") - height("wrist_right"), (0.1525, 0.006), (0.148, 0.007)),
    # Shoulder joint centres lie about 0.015 H inside and 0.018 H below each acromion (Winter; common practice).
    ("acromion height", lambda: height("shoulder_right") + 0.018, (0.820, 0.010), (0.820, 0.009)),
    (
        "biacromial width",
        lambda: 2 * (STANDING.points["shoulder_right"][2] + 0.015),
        (0.237, 0.010),
        (0.224, 0.010),
    ),
    (
        "sitting height",
        lambda: height("vertex") - height("pelvis_mid") + 0.055,
        (0.523, 0.014),
        (0.526, 0.014),
    ),
]


@pytest.mark.parametrize(("name", "ours", "men", "women"), ANSUR, ids=[row[0] for row in ANSUR])
def test_lengths_lie_within_two_standard_deviations_of_measured_adults(name, ours, men, women):
    middle, spread = (men[0] + women[0]) / 2, max(men[1], women[1])
    assert abs(ours() - middle) < 2 * spread, name


@pytest.mark.parametrize(
    ("point", "published"),
    [("hip_right", 0.530), ("knee_right", 0.285), ("ankle_right", 0.039), ("vertex", 1.0)],
)
def test_heights_agree_with_drillis_and_contini(point, published):
    assert height(point) == pytest.approx(published, abs=1e-9)


def test_chin_height_agrees_with_drillis_and_contini():
    chin = height("head_centre") - skeleton().radius["head_centre"]
    assert chin == pytest.approx(0.870, abs=0.001)


DE_LEVA = {  # mass men, women; mass centre men, women
    "head": (0.0694, 0.0668, 0.5002, 0.4841),
    "upper_arm": (0.0271, 0.0255, 0.5772, 0.5754),
    "forearm": (0.0162, 0.0138, 0.4574, 0.4559),
    "hand": (0.0061, 0.0056, 0.3624, 0.3427),
    "thigh": (0.1416, 0.1478, 0.4095, 0.3612),
    "shank": (0.0433, 0.0481, 0.4395, 0.4352),
    "foot": (0.0137, 0.0129, 0.4415, 0.4014),
}


@pytest.mark.parametrize("name", DE_LEVA)
def test_masses_are_the_mean_of_de_levas_men_and_women(name):
    body = skeleton()
    man, woman, man_centre, woman_centre = DE_LEVA[name]
    rows = list(load_data("segments")["masses"])
    place = 0
    for row in rows:
        if row == name:
            break
        place += 2 if load_data("segments")["masses"][row].get("paired") else 1
    assert body.mass[place] == pytest.approx((man + woman) / 2, abs=1e-5)
    assert body.mass_centre[place] == pytest.approx((man_centre + woman_centre) / 2, abs=1e-9)


def test_de_levas_masses_sum_to_one_and_the_trunk_to_its_whole():
    table = load_data("segments")["masses"]
    for column, total, trunk in ((0, 1.0000, 0.4346), (1, 0.9999, 0.4257)):
        whole = sum(row["mass"][column] * (2 if row.get("paired") else 1) for row in table.values())
        assert whole == pytest.approx(total, abs=1e-9)
        parts = sum(table[name]["mass"][column] for name in ("trunk_up", "trunk_mid", "trunk_low"))
        assert parts == pytest.approx(trunk, abs=1e-4)


def test_trunk_parts_put_the_trunk_where_de_leva_puts_the_whole_trunk():
    # de Leva: trunk centre 0.5138 (men), 0.4964 (women) of the way from C7 to the middle of the hips.
    body, points = skeleton(), STANDING.points
    names = ("trunk_up", "trunk_mid", "trunk_low")
    table = load_data("segments")["masses"]
    centres, masses = [], []
    for name in names:
        row = table[name]
        centres.append(segment_centre(points[row["from"]], points[row["to"]], sum(row["centre"]) / 2))
        masses.append(sum(row["mass"]) / 2)
    centre = combined_centre(np.array(centres), np.array(masses))
    share = (points["spine_6"][1] - centre[1]) / (points["spine_6"][1] - points["pelvis_mid"][1])
    # The table's own men's parts add up to 0.519, so agreement closer than 0.02 is not to be had.
    assert share == pytest.approx((0.5138 + 0.4964) / 2, abs=0.02)
    assert body.mass.sum() == pytest.approx(1.0, abs=1e-12)


def test_standing_mass_centre_is_where_textbooks_put_it():
    # 0.55 to 0.57 of stature (from memory).
    assert 0.55 < STANDING.mass_centre[1] < 0.57


def test_winters_worked_examples():
    # Foot: ankle (84.9, 11.0), metatarsal (101.1, 1.3) cm, ratio 0.5.
    # Thigh: trochanter (72.1, 92.8), knee (86.4, 54.9) cm, ratio 0.433.
    foot = segment_centre(np.array([84.9, 11.0]), np.array([101.1, 1.3]), 0.5)
    thigh = segment_centre(np.array([72.1, 92.8]), np.array([86.4, 54.9]), 0.433)
    assert foot == pytest.approx([93.0, 6.15])
    assert thigh == pytest.approx([78.3, 76.4], abs=0.05)
    limb = combined_centre(
        np.array([[0.791, 0.101], [0.814, 0.374], [0.787, 0.708]]), np.array([0.0145, 0.0465, 0.100])
    )
    assert limb == pytest.approx([0.795, 0.557], abs=5e-4)


def test_raising_both_arms_raises_the_mass_centre_by_their_moment():
    body = skeleton()
    raised = posed_from_angles({"shoulder_right.flexion": 180, "shoulder_left.flexion": 180})
    moment = 0.0
    for (near, far), mass, share in zip(body.mass_ends, body.mass, body.mass_centre, strict=True):
        ends = {body.points[near], body.points[far]}
        if ends <= {f"{p}_right" for p in ("shoulder", "elbow", "wrist", "fingertip")}:
            a, b = STANDING.points[body.points[near]][1], STANDING.points[body.points[far]][1]
            moment += mass * (height("shoulder_right") - (a + share * (b - a)))
    rise = raised.mass_centre[1] - STANDING.mass_centre[1]
    assert rise == pytest.approx(2 * 2 * moment, abs=1e-12)


def test_a_t_pose_is_balanced_to_the_last_digit():
    arms = posed_from_angles({"shoulder_right.abduction": 90, "shoulder_left.abduction": 90})
    assert arms.mass_centre[2] == pytest.approx(0.0, abs=1e-15)
    span = arms.points["fingertip_right"][2] - arms.points["fingertip_left"][2]
    # ANSUR II arm span 1.033 men, 1.020 women (SD 0.028); joint centres span less than fingertips of a stretched arm.
    assert abs(span - 1.0265) < 2 * 0.029 + 0.03


def test_seats_have_popliteal_height():
    # ANSUR II popliteal height: 0.245 men, 0.238 women (SD 0.009).
    high = load_data("props")["props"]["chair"]["size"][1]
    assert abs(high - 0.2415) < 0.009
