"""What a figure is about: which motions, which segments, which limbs carry the accent, which side faces the reader."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from itertools import pairwise

import numpy as np

from limberleaf.diagrams.body.skeleton import SIDES
from limberleaf.diagrams.language.words import part_rows, read_part
from limberleaf.diagrams.solving.solved import SolvedFigure, SolvedPose

LEAST_TURN = 3.0
"""Degrees a motion must change to count as part of the exercise."""
_LIMBS = (
    ("thigh", "hip", "knee", 0.042),
    ("shank", "knee", "ankle", 0.027),
    ("foot", "heel", "toe", 0.018),
    ("upper_arm", "shoulder", "elbow", 0.026),
    ("forearm", "elbow", "wrist", 0.018),
    ("hand", "wrist", "fingertip", 0.013),
)
SEGMENTS = (
    *((f"{n}_{s}", f"{a}_{s}", f"{b}_{s}", r) for s in SIDES for n, a, b, r in _LIMBS),
    ("trunk", "pelvis_mid", "spine_6", 0.070),
    ("head", "head_base", "vertex", 0.055),
)
NAMES = tuple(row[0] for row in SEGMENTS)
# Which segments show a joint's motion.
SHOWN_BY = {
    "hip": ("thigh",),
    "knee": ("shank", "thigh"),
    "ankle": ("foot", "shank"),
    "toes": ("foot",),
    "shoulder": ("upper_arm",),
    "shoulder_girdle": ("upper_arm",),
    "elbow": ("forearm", "upper_arm"),
    "forearm": ("hand", "forearm"),
    "wrist": ("hand",),
    "fingers": ("hand",),
    "lumbar": ("trunk",),
    "thoracic": ("trunk",),
    "neck": ("head",),
    "pelvis": ("trunk",),
}


TURN_SHOWN_BY = {"shoulder": ("forearm",), "hip": ("shank",)}
LEG_JOINTS = {"hip", "knee", "ankle", "toes"}
LEG_SEGMENTS = {"thigh", "shank", "foot", "toes", "pelvis"}
LEADING_POSTURES = {"step_standing", "split_stance", "semi_tandem_stance", "tandem_stance", "half_kneeling"}
"""Postures in which one leg does the work although no joint is stated."""


def figure_motions(figure: SolvedFigure) -> tuple[str, ...]:
    """Return the motions the figure is about: what the author stated and what really changes, the stated first.

    Motions the solver made only to keep contacts count when the author stated none.
    """
    changed = [name for a, b in pairwise(figure.poses) for name in _changed(a, b)]
    stated = [name for name in changed if any(name in pose.stated for pose in figure.poses[1:])]
    if changed:
        return tuple(dict.fromkeys(stated or changed))
    return tuple(figure.poses[-1].stated)


def _changed(before: SolvedPose, after: SolvedPose) -> list[str]:
    return [
        name
        for name in after.moved
        if not name.startswith("root")
        and abs(after.posed.angles[name] - before.posed.angles[name]) > LEAST_TURN
    ]


def important_segments(figure: SolvedFigure) -> tuple[str, ...]:
    """Return the segments whose movement (or stated angle) the figure is about."""
    found: list[str] = []
    for motion in figure_motions(figure):
        joint = motion.split(".", maxsplit=1)[0]
        side = next((s for s in SIDES if joint.endswith(s)), "")
        kind = joint.removesuffix(f"_{side}") if side else joint
        # A turn about a bone's own length shows on the segment beyond it.
        shown = TURN_SHOWN_BY.get(kind) if motion.endswith("internal_rotation") else None
        for name in shown or SHOWN_BY.get(kind, ()):
            full = f"{name}_{side}" if side and name not in {"trunk", "head"} else name
            if full in NAMES and full not in found:
                found.append(full)
    return tuple(found)


def main_segments(figure: SolvedFigure) -> tuple[str, ...]:
    """The important segments that really travel: the far ends decide, small counter-movements do not."""
    met = meeting(figure)
    names = tuple(dict.fromkeys((*important_segments(figure), *met)))
    if len(figure.poses) < 2 or not names:
        return names
    travel = {name: _travel(figure.poses, name) for name in names}
    most = max(travel.values())
    return tuple(name for name in names if name in met or travel[name] > 0.3 * most)


@cache
def _is_body(place: str) -> bool:
    """Whether a contact's place is a part of the body and not the ground or a prop."""
    try:
        read_part(place)
    except ValueError:
        return False
    return True


_CHAIN = {"foot": ("shank", "thigh"), "shank": ("shank", "thigh"), "thigh": ("thigh",), "hand": ("forearm",)}


def meeting(figure: SolvedFigure) -> tuple[str, ...]:
    """Segments of limbs that the author lays on another part of the body: how they meet must be seen."""
    found = [
        f"{name}_{side}"
        for contact in figure.poses[-1].contacts
        if contact.author and contact.kind == "on" and _is_body(contact.place)
        for segment in contact.segments
        for kind, _, side in [segment.rpartition("_")]
        if side in SIDES
        for name in _CHAIN.get(kind, ())
    ]
    return tuple(dict.fromkeys(found))


def _travel(poses: Sequence[SolvedPose], name: str) -> float:
    """The furthest an end of a segment gets from its first place, H."""
    _, start, end, _ = SEGMENTS[NAMES.index(name)]
    first = poses[0].posed.points
    return max(
        float(np.linalg.norm(pose.posed.points[p] - first[p])) for pose in poses[1:] for p in (start, end)
    )


def affected_limbs(solved: SolvedFigure) -> frozenset[str]:
    """Return the limbs of the affected side that the author's words are about: leg_right, arm_left ..."""
    side = solved.affected
    kinds: set[str] = set()
    spec = solved.spec
    for pose in spec.poses:
        limb = pose.joints.affected if pose.joints else None
        if limb:
            stated = set(limb.model_dump(exclude_none=True))
            kinds |= {"leg"} if stated & LEG_JOINTS else set()
            kinds |= {"arm"} if stated - LEG_JOINTS else set()
    parts = [contact.part for pose in spec.poses for contact in pose.contacts]
    parts += [d.level or d.vertical or "" for pose in spec.poses for d in pose.directions]
    parts += [*spec.arrow, *spec.highlight, spec.angle.joint if spec.angle else ""]
    parts += [text for prop in spec.props for text in (prop.under, prop.around, prop.held_by) if text]
    for text in parts:
        if text.startswith("affected"):
            segment = part_rows()[read_part(text).part]["samples"][0][0]
            kinds.add("leg" if segment in LEG_SEGMENTS else "arm")
    if not kinds and spec.poses[0].posture in LEADING_POSTURES:
        kinds.add("leg")
    return frozenset(f"{kind}_{side}" for kind in kinds)


def near_side(figure: SolvedFigure) -> float:
    """+1 when the right side belongs near the eye, -1 for the left: the affected side, unless only the other moves."""
    sign = 1.0 if figure.affected == "right" else -1.0
    limbs = [name for name in main_segments(figure) if name.endswith(SIDES)]
    if not affected_limbs(figure) and limbs and all(not name.endswith(figure.affected) for name in limbs):
        return -sign
    return sign


IDLE = 0.03
"""How far (H) a wrist may move against the chest for its arm to be idle: carried along, not at work."""


ROLLS = 0.05
"""How far (H) both knees must go, and the pelvis may, for legs to roll to a side together."""


def tinted_limbs(solved: SolvedFigure, *, one_sided: bool = True) -> frozenset[str]:
    """Return the limbs that carry the tint of the affected side.

    None when both sides work alike (`one_sided` false), never an arm that is only carried along, and never one of two
    legs that just stand or that roll to one side together: a tinted one is read as the only leg that does it.
    """
    if not one_sided:
        return frozenset()
    return frozenset(
        limb
        for limb in affected_limbs(solved)
        if not _is_idle(solved, limb) and not _just_stands(solved, limb) and not _rolls_with(solved, limb)
    )


def _named_by_sign(solved: SolvedFigure) -> bool:
    """Say whether a sign the author asks for is at the affected side."""
    spec = solved.spec
    named = [*spec.arrow, *spec.highlight, *([spec.angle.joint] if spec.angle else [])]
    return any(text.startswith("affected") for text in named)


def _just_stands(solved: SolvedFigure, limb: str) -> bool:
    """Whether a leg bears the weight with the other one in every panel, and neither moves."""
    if not limb.startswith("leg") or len(solved.poses) < 2 or _named_by_sign(solved):
        return False
    feet = [
        {
            c.part.split(" ")[0]
            for c in pose.contacts
            if c.carries and c.part.endswith((" foot", " flat of foot"))
        }
        for pose in solved.poses
    ]
    first = solved.poses[0].posed.points
    moved = max(
        float(np.linalg.norm(pose.posed.points[f"{joint}_{side}"] - first[f"{joint}_{side}"]))
        for pose in solved.poses[1:]
        for joint in ("knee", "ankle")
        for side in SIDES
    )
    return all(both >= set(SIDES) for both in feet) and moved < IDLE


def _rolls_with(solved: SolvedFigure, limb: str) -> bool:
    """Whether both knees go to the same side together while the pelvis stays where it is."""
    if not limb.startswith("leg") or len(solved.poses) < 2:
        return False
    first, last = solved.poses[0].posed.points, solved.poses[-1].posed.points
    one, two = (last[f"knee_{side}"] - first[f"knee_{side}"] for side in SIDES)
    still = float(np.linalg.norm(last["pelvis_mid"] - first["pelvis_mid"])) < ROLLS
    ways = float(np.linalg.norm(one)), float(np.linalg.norm(two))
    aside = abs(float(one[2] + two[2])) / 2 > 0.3 * max(ways)
    return still and aside and min(ways) > ROLLS and float(np.linalg.norm(one - two)) < 0.5 * max(ways)


def _is_idle(solved: SolvedFigure, limb: str) -> bool:
    """Whether an arm lies as it lay on the body while something else moves, and no sign speaks of it."""
    if not limb.startswith("arm") or len(solved.poses) < 2:
        return False
    if _named_by_sign(solved):
        return False
    wrists = []
    for pose in solved.poses:
        thorax, chest = pose.posed.frames["thorax"], pose.posed.points["spine_5"]
        wrists.append(thorax.T @ (pose.posed.points[f"wrist_{solved.affected}"] - chest))
    return max(float(np.linalg.norm(wrist - wrists[0])) for wrist in wrists) < IDLE
