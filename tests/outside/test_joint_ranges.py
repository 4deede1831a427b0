"""Joint limits against published ranges of motion.

AAOS: American Academy of Orthopaedic Surgeons 1965 / Greene & Heckman 1994 (from memory). BOONE: Boone & Azen 1979,
mean and SD of active motion in men (numbers from memory). MERCK: Merck Manual, table of normal joint motion. VA: 38 CFR
4.71 plates. LSPINE: BMC Musculoskelet Disord 2008 9:152, table 3. Boyd & Villa 2012, BMC Musculoskelet Disord 13:245.
"""

import pytest

from limberleaf.diagrams.body.skeleton import load_data, skeleton
from limberleaf.diagrams.checking.ranges import two_joint_limit

MOTIONS = {motion.name: motion for motion in skeleton().motions}

# motion, direction, published end of range in adults (lowest and highest of the sources)
PUBLISHED = [
    ("hip_right.flexion", 1, 120, 145, "AAOS 120, MERCK 125, VA 125, Kapandji 145"),
    ("hip_right.flexion", -1, 12, 30, "BOONE 12, MERCK 15, AAOS 30"),
    ("hip_right.abduction", 1, 41, 45, "BOONE 41, AAOS 45"),
    ("hip_right.abduction", -1, 26, 45, "BOONE 26, AAOS 30, MERCK 45"),
    ("hip_right.internal_rotation", 1, 44, 45, "BOONE 44, AAOS 45"),
    ("hip_right.internal_rotation", -1, 44, 60, "BOONE 44, AAOS 45, Kapandji 60"),
    ("knee_right.flexion", 1, 130, 160, "MERCK 130, BOONE 141, Kapandji 160 passive"),
    ("knee_right.flexion", -1, 1, 10, "CDC 1.0-1.6, AAOS 10"),
    ("ankle_right.dorsiflexion", 1, 12, 20, "BOONE 12, AAOS 20"),
    ("ankle_right.dorsiflexion", -1, 45, 62, "VA 45, AAOS 50, CDC 62"),
    ("ankle_right.inversion", 1, 35, 36, "AAOS 35, BOONE 36"),
    ("ankle_right.inversion", -1, 15, 25, "AAOS 15-20, MERCK 25"),
    ("shoulder_right.flexion", 1, 165, 180, "BOONE 165, AAOS 180"),
    ("shoulder_right.flexion", -1, 50, 60, "MERCK 50, AAOS 60"),
    ("shoulder_right.abduction", 1, 180, 183, "AAOS 180, BOONE 183"),
    ("shoulder_right.abduction", -1, 30, 50, "AAOS 30-50"),
    ("shoulder_right.internal_rotation", 1, 67, 90, "BOONE 67, MERCK 90"),
    ("shoulder_right.internal_rotation", -1, 90, 100, "AAOS 90, BOONE 100"),
    ("elbow_right.flexion", 1, 141, 150, "BOONE 141, AAOS 150"),
    ("forearm_right.pronation", 1, 75, 90, "BOONE 75, MERCK 90"),
    ("forearm_right.pronation", -1, 80, 91, "AAOS 80, CDC 91"),
    ("wrist_right.flexion", 1, 75, 90, "BOONE 75, MERCK 90"),
    ("wrist_right.flexion", -1, 70, 75, "AAOS 70, BOONE 74"),
    ("wrist_right.ulnar_deviation", 1, 30, 45, "AAOS 30, VA 45"),
    ("wrist_right.ulnar_deviation", -1, 20, 21, "AAOS 20, BOONE 21"),
    ("neck.flexion", 1, 40, 64, "Kapandji 40, in-vivo mean 64 (anatomystandard.com)"),
    ("neck.side_bend_right", 1, 45, 49, "VA 45, in-vivo mean 49"),
    ("neck.rotation_right", 1, 60, 80, "AAOS 60-80, VA 80"),
    ("lumbar.flexion", 1, 40, 66, "Kapandji 60, LSPINE 66"),
    ("lumbar.flexion", -1, 20, 35, "LSPINE 30, Kapandji 35"),
    ("lumbar.rotation_right", 1, 5, 18, "Kapandji 5 a side; coupled values up to 18"),
]


@pytest.mark.parametrize(
    ("name", "way", "low", "high", "source"), PUBLISHED, ids=[f"{r[0]}{r[1]:+d}" for r in PUBLISHED]
)
def test_limits_bracket_the_published_ranges(name, way, low, high, source):
    motion = MOTIONS[name]
    soft = motion.soft[1] if way > 0 else -motion.soft[0]
    hard = motion.hard[1] if way > 0 else -motion.hard[0]
    # What warns is within what people were measured to do (5 degrees is the error of a goniometer), and what is refused
    # lies beyond the mean of every source that measured active motion.
    assert low - 5 <= soft <= high + 5, source
    assert hard >= low + 4, source
    assert soft < hard


def test_left_and_right_have_the_same_limits():
    for name, motion in MOTIONS.items():
        if "_right." in name:
            twin = MOTIONS[name.replace("_right.", "_left.")]
            assert (twin.soft, twin.hard) == (motion.soft, motion.hard)


def test_the_straight_leg_raise_limit_spans_the_measured_tolerance():
    # Boyd & Villa 2012: tolerance 57 (SD 17) degrees with the foot down; clinical reference 70-90.
    rule = next(r for r in load_data("joints")["two_joint"] if r["stretches"] == "hamstrings")
    soft, hard = two_joint_limit(rule, 0.0, loaded=False)
    assert 57 < soft <= 57 + 17 + 5
    assert 90 <= hard <= 57 + 2 * 17 + 5
    assert two_joint_limit(rule, 60.0, loaded=False)[0] == MOTIONS["hip_right.flexion"].soft[1]
    middle = two_joint_limit(rule, 30.0, loaded=False)[0]
    assert soft < middle < MOTIONS["hip_right.flexion"].soft[1]
