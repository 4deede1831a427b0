"""What moves between two poses, in clinical words: the rows that the alternative text puts into sentences."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np

from limberleaf.diagrams.body.skeleton import SIDES, skeleton
from limberleaf.diagrams.solving.asked.state import posture_angles
from limberleaf.diagrams.solving.solved import SolvedFigure, SolvedPose

LEAST_CHANGE = 4.0
"""Degrees below which a change is not worth a sentence."""
LEAST_SMALL = 1.5
"""The same for what the author stated of joints that move little: a small nod is the whole exercise."""
LEAST_DEPARTURE = {"hip": 25.0, "shoulder": 25.0, "neck": 8.0, "pelvis": 8.0, "lumbar": 8.0, "thoracic": 8.0}
"""Degrees a stated angle must differ from the posture's own before the first panel describes it; 15 for the others."""
LEAST_LEAN = 10.0
"""Degrees the trunk must lean further before that is described."""
LARGE_JOINTS = {"hip", "knee", "ankle", "shoulder", "elbow", "lumbar", "thoracic"}
"""Joints described when the author stated none; the small ones only follow."""
DESCRIBED_AT_START = LARGE_JOINTS | {"neck", "pelvis"}
SMALL_JOINTS = {"neck", "pelvis", "shoulder_girdle", "toes"}
ARM = {"shoulder", "elbow"}
SPINE = {"lumbar", "thoracic"}
SIDEWAYS = ("pelvis.side_tilt", "lumbar.side_bend", "thoracic.side_bend")
"""Motions that only hold a body up when it lies on its side; there the hips are described as lifting."""


@dataclass(frozen=True)
class Turn:
    """One motion's change in clinical words: its row in the words, side, and degrees before and after."""

    row: str
    side: str
    before: float
    after: float


def turns(before: SolvedPose, after: SolvedPose) -> list[Turn]:
    """Return what the author changed from one pose to the next, or the large joints that followed."""
    named = [name for name in after.moved if name in after.stated]
    names = named or sorted(
        (name for name in after.moved if _kind(name) in LARGE_JOINTS),
        key=lambda name: -abs(after.posed.angles[name] - before.posed.angles[name]),
    )
    if after.base_name.endswith("_side"):
        names = [name for name in names if not name.startswith(SIDEWAYS)]
    first, last = before.posed.angles, after.posed.angles
    still = _sides_of_parts(before, ("forearm",)) & _sides_of_parts(after, ("forearm",))
    return read_turns(
        (
            name
            for name in names
            if abs(last[name] - first[name]) >= _least_change(name, after) and not _of_arm(name, still)
        ),
        first,
        last,
    )


def _least_change(name: str, pose: SolvedPose) -> float:
    return LEAST_SMALL if name in pose.stated and _kind(name) in SMALL_JOINTS else LEAST_CHANGE


def departures(solved: SolvedFigure, number: int = 0) -> list[Turn]:
    """Return where a pose's stated angles differ from what its posture's name says, the largest first.

    An arm whose hand rests on something is described by that.
    """
    pose = solved.poses[number]
    usual = dict.fromkeys(pose.posed.angles, 0.0) | posture_angles(pose.posture, solved.lead)
    names = sorted(
        (name for name in pose.stated if _kind(name) in DESCRIBED_AT_START),
        key=lambda name: -abs(pose.posed.angles[name] - usual[name]),
    )
    angles = pose.posed.angles
    resting = _sides_of_parts(pose, ("hand", "fingertip", "forearm"))
    return read_turns(
        (
            name
            for name in names
            if abs(angles[name] - usual[name]) >= LEAST_DEPARTURE.get(_kind(name), 15.0)
            and not _of_arm(name, resting)
        ),
        usual,
        angles,
    )


def _sides_of_parts(pose: SolvedPose, parts: tuple[str, ...]) -> set[str]:
    """Return the sides of which the author lays one of these parts on something."""
    return {row.part.split(" ")[0] for row in pose.contacts if row.author and row.part.endswith(parts)}


def _of_arm(name: str, sides: set[str]) -> bool:
    return _kind(name) in ARM and name.split(".", maxsplit=1)[0].endswith(tuple(sides))


def lean(pose: SolvedPose) -> float:
    """Return how many degrees the trunk of an upright body leans forward."""
    trunk = pose.posed.points["spine_6"] - pose.posed.points["pelvis_mid"]
    forward = pose.posed.frames["pelvis"][:, 0] * np.array([1.0, 0.0, 1.0])
    return float(
        np.degrees(np.arctan2(trunk @ forward / max(float(np.linalg.norm(forward)), 1e-9), trunk[1]))
    )


def _kind(name: str) -> str:
    return name.split(".", maxsplit=1)[0].removesuffix("_left").removesuffix("_right")


def read_turns(names: Iterable[str], first: Mapping[str, float], last: Mapping[str, float]) -> list[Turn]:
    """Return the changes of motions in clinical words; the parts of the spine that do the same become one."""
    motions = {motion.name: motion for motion in skeleton().motions}
    found: dict[tuple[str, str], Turn] = {}
    for name in names:
        if name.startswith("root"):
            continue
        motion = motions[name]
        before, after = first[name], last[name]
        negative = after < -0.5 or (abs(after) <= 0.5 and before < 0)
        word = motion.opposite if negative else motion.word
        flip = -1.0 if negative else 1.0
        side = next((s for s in SIDES if motion.joint.endswith(f"_{s}")), "")
        joint = motion.joint.removesuffix(f"_{side}") if side else motion.joint
        for real in SIDES:
            if word.endswith(f"_{real}"):
                side, word = real, word.removesuffix(f"_{real}")
        key = (f"{'trunk' if joint in SPINE else joint}.{word}", side)
        turn = Turn(f"{joint}.{word}", side, before * flip, after * flip)
        old = found.get(key)
        if old:  # the low and the upper back together are the back
            turn = Turn(key[0], side, old.before + turn.before, old.after + turn.after)
        found[key] = turn
    return list(found.values())
