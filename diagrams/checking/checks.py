"""Findings about a solved pose, each with its own code.

Every check reads the solved body alone, so that it judges what will be drawn, not what the solver meant. Solved figures
have the affected side on the right until they are mirrored, so messages say affected and other.

Codes here: joint-beyond-range, joint-near-limit, two-joint-range, contact-open, direction-missed, below-floor,
inside-prop, limbs-overlap, off-balance, hold-steady, poses-alike, place-unknown, prop-unused. The words of captions and
the order of ladder steps are in `checks_caption.py` and `checks_ladder.py`, the view in the drawing's own checks.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from typing import Any

import numpy as np

from limberleaf.diagrams.body.kinematics import Kinematics, forward
from limberleaf.diagrams.body.overlap import overlaps
from limberleaf.diagrams.body.skeleton import BASES, SIDES, load_data, skeleton
from limberleaf.diagrams.checking.check_words import (
    centimetres,
    joints_in_the_way,
    limb_joints,
    motion_words,
    part_words,
    side_words,
    way_words,
)
from limberleaf.diagrams.checking.props import check_props, check_props_used
from limberleaf.diagrams.language.spec import FigureSpec
from limberleaf.diagrams.language.words import part_rows
from limberleaf.diagrams.solving.places import read_place_part
from limberleaf.diagrams.solving.settings import tolerance
from limberleaf.diagrams.solving.solved import ContactReport, Path, Problem, SolvedPose
from limberleaf.diagrams.solving.support import to_edge

CONTACT_LIMIT = tolerance("contact")
_ROLLING = ("ball", "foam roller")  # nobody steadies themselves on what rolls away
_ARM = ("hand", "fingers", "forearm", "upper_arm")

_ROUNDING = tolerance("rounding")


def _loaded(pose: SolvedPose) -> set[str]:
    """Return the joints that body weight pushes: ankles of standing feet, wrists of leaning hands."""
    out: set[str] = set()
    for contact in pose.contacts:
        for segment in contact.segments:
            stem, _, side = segment.rpartition("_")
            if contact.carries and stem in ("foot", "toes"):
                out |= {f"ankle_{side}", f"toes_{side}"}
            if contact.carries and stem in ("hand", "fingers"):
                out |= {f"wrist_{side}", f"fingers_{side}"}
    return out


def check_ranges(pose: SolvedPose, path: Path, paths: Mapping[str, Path]) -> Iterator[Problem]:
    """Report joints beyond what an adult can do (hard) and beyond what most can do (soft)."""
    loaded = _loaded(pose)
    for motion in skeleton().motions[3:]:
        if motion.joint == "pelvis":
            continue
        value = pose.posed.angles[motion.name]
        soft, hard = motion.soft, motion.hard
        if motion.joint in loaded:
            top = motion.loaded_soft if motion.loaded_soft is not None else soft[1]
            limit = motion.loaded_hard if motion.loaded_hard is not None else hard[1]
            soft, hard = (soft[0], top), (hard[0], limit)
            if motion.joint.startswith(("wrist", "fingers")):
                soft = (hard[0], soft[1])
        where = paths.get(motion.name, path)
        usual = soft[1] if value >= 0 else -soft[0]
        far = hard[1] if value >= 0 else -hard[0]
        if abs(value) > far + _ROUNDING:
            yield Problem(
                "joint-beyond-range",
                "error",
                f"{abs(value):.0f} degrees of {motion_words(motion, value)} is beyond what an adult joint can do"
                f" ({far:.0f}).",
                f"Use {usual:.0f} degrees or less.",
                where,
            )
        elif abs(value) > usual + _ROUNDING and motion.name in pose.stated:
            yield Problem(
                "joint-near-limit",
                "warning",
                f"{abs(value):.0f} degrees of {motion_words(motion, value)} is more than most adults can do"
                f" ({usual:.0f}).",
                f"Use {usual:.0f} degrees or less, unless this exercise is for supple people.",
                where,
            )


@cache
def _two_joint_rules() -> list[dict[str, Any]]:
    rules: list[dict[str, Any]] = load_data("joints")["two_joint"]
    return rules


def two_joint_limit(rule: Mapping[str, Any], neighbour: float, *, loaded: bool) -> tuple[float, float]:
    """Return the soft and hard limit in degrees that a rule gives for a neighbour's angle."""
    at = rule["at"]
    soft = rule["loaded_soft"] if loaded and "loaded_soft" in rule else rule["soft"]
    hard = rule["loaded_hard"] if loaded and "loaded_hard" in rule else rule["hard"]
    share = min(max((neighbour - at[0]) / (at[1] - at[0]), 0.0), 1.0)
    return soft[0] + share * (soft[1] - soft[0]), hard[0] + share * (hard[1] - hard[0])


def check_two_joints(pose: SolvedPose, path: Path, paths: Mapping[str, Path]) -> Iterator[Problem]:
    """Report angles that a muscle over two joints does not allow together."""
    loaded = _loaded(pose)
    angles = pose.posed.angles
    for rule in _two_joint_rules():
        neighbour_joint, neighbour_word = rule["neighbour"].split(".")
        for side in SIDES:
            name = f"{rule['joint']}_{side}.{rule['motion']}"
            beside = f"{neighbour_joint}_{side}.{neighbour_word}"
            value, other = angles[name], angles[beside]
            soft, hard = two_joint_limit(rule, other, loaded=f"{rule['joint']}_{side}" in loaded)
            if value <= soft + _ROUNDING or (value <= hard + _ROUNDING and name not in pose.stated):
                continue
            if other >= max(rule["at"]):
                continue  # slack already: the joint's own range has told
            severity = "error" if value > hard + _ROUNDING else "warning"
            who = "an adult" if severity == "error" else "most adults"
            yield Problem(
                "two-joint-range",
                "error" if severity == "error" else "warning",
                f"{value:.0f} degrees of {side_words(rule['joint'] + '_' + side)} {rule['motion']} with the"
                f" {neighbour_joint} at {other:.0f} stretches the {rule['stretches']} further than"
                f" {who} can go ({hard if severity == 'error' else soft:.0f}).",
                f"Use {soft:.0f} degrees or less, or bend the {neighbour_joint} more.",
                paths.get(name, paths.get(beside, path)),
            )


def check_contacts(pose: SolvedPose, path: Path) -> Iterator[Problem]:
    """Report contacts that do not close, with the stated joints that stand in the way."""
    for contact in pose.contacts:
        if contact.error <= CONTACT_LIMIT:
            continue
        part, place = part_words(contact.part), _place_words(contact.place, pose)
        names = joints_in_the_way(pose.stated, limb_joints(contact.part))
        if names:
            hint = f"State fewer angles of the {names}, or list what an earlier pose stated under `open`."
        elif contact.author:
            hint = f"Choose a posture nearer to {place}, or drop this contact."
        else:
            hint = (
                f"The posture puts it there: change what pulls it away, or let it go with"
                f" `{{part: {part}, release: true}}`."
            )
        yield Problem(
            "contact-open",
            "error",
            f"The {part} misses {place} by {centimetres(contact.error)}"
            f" ({contact.error:.3f} of body height).",
            hint,
            contact.path or path,
        )


def _place_words(place: str, pose: SolvedPose) -> str:
    if place == "ground":
        return "the floor" if pose.ground == 0 else "the bed"
    return side_words(place) if place.startswith("both ") else f"the {side_words(place)}"


def check_directions(pose: SolvedPose, path: Path) -> Iterator[Problem]:
    """Report parts that do not point where a direction says."""
    for name, off in pose.directions.items():
        if off > tolerance("direction"):
            kind, _, part = name.partition(" ")
            names = joints_in_the_way(pose.stated, limb_joints(part))
            wanted = "lean as far as written" if kind == "lean" else f"be {kind}"
            yield Problem(
                "direction-missed",
                "error",
                f"The {part_words(part)} cannot {wanted} here: {off:.0f} degrees off.",
                f"State fewer angles of the {names or 'joints above it'}, or drop this direction.",
                (*path, "directions"),
            )


def check_floor(pose: SolvedPose, path: Path) -> Iterator[Problem]:
    """Report the deepest part of each limb and of the trunk whose surface is below the floor."""
    body = skeleton()
    worst: dict[tuple[str, ...], tuple[float, str]] = {}
    for name in body.points:
        soft = name.startswith(("pelvis", "spine", "navel", "xiphoid", "hip", "shoulder"))
        depth = body.radius[name] - float(pose.posed.points[name][1])
        if depth > tolerance("flesh" if soft else "floor"):
            limb = limb_joints(name)
            worst[limb] = max(worst.get(limb, (0.0, "")), (depth, name))
    for limb, (depth, name) in worst.items():
        names = joints_in_the_way(pose.stated, limb)
        change = f"Change the stated angles of the {names}" if names else "Change what pulls it down"
        yield Problem(
            "below-floor",
            "error",
            f"The {part_words(name)} is {centimetres(depth)} below the floor.",
            f"{change}, or choose a posture in which it is higher.",
            path,
        )


def check_overlap(pose: SolvedPose, kin: Kinematics, path: Path) -> Iterator[Problem]:
    """Report limbs that pass through each other or through the trunk."""
    told = {frozenset(_bones(c)) for c in pose.contacts}
    for one, two, depth in overlaps(kin, tolerance("overlap")):
        if any({one, two} & bones for bones in told if one in bones or two in bones) and depth < 0.03:
            continue
        yield Problem(
            "limbs-overlap",
            "warning",
            f"The {part_words(one)} goes {centimetres(depth)} into the {part_words(two)}.",
            "Move one of them aside by a few degrees, or say that they touch with a contact.",
            path,
        )


def _bones(contact: ContactReport) -> set[str]:
    """Return the segments that a contact brings together."""
    out = set(contact.segments)
    out |= {name.replace("foot_", "shank_") for name in out if name.startswith("foot_")}
    for side in SIDES:
        named = read_place_part(contact.place, side) if not contact.carries else None
        if named is not None:
            segment = part_rows()[named[0]]["line"][0]
            out.add(
                f"{segment}_{named[1]}"
                if named[1] and f"{segment}_{named[1]}" in skeleton().segments
                else segment
            )
    return out


def check_balance(pose: SolvedPose, path: Path) -> Iterator[Problem]:
    """Report a mass centre outside what holds the body, and one so near the edge that a hold is due."""
    if pose.margin is None:
        yield Problem(
            "off-balance",
            "error",
            "Nothing holds the body up in this pose.",
            "Add a contact, such as `{part: both feet, on: floor}`.",
            path,
        )
        return
    if pose.margin >= tolerance("steady"):
        return
    way, back = way_words(to_edge(pose.support, pose.posed.mass_centre), BASES[pose.base_name])
    if pose.margin < -CONTACT_LIMIT:
        # The edge lies back from a mass centre that is outside.
        yield Problem(
            "off-balance",
            "error",
            f"The body would fall {back}: its weight is {centimetres(-pose.margin)} outside what holds it.",
            f"Bring the trunk {way}, bring a foot {back}, or add a hand on something steady.",
            path,
        )
    elif pose.base_name == "upright" and not _steadied(pose):
        yield Problem(
            "hold-steady",
            "note",
            f"Balance is thin here: {centimetres(max(pose.margin, 0.0))} to spare {way}.",
            "Say what steady thing is within reach, or draw a hand on it.",
            path,
        )


def _steadied(pose: SolvedPose) -> bool:
    """Say whether a hand or arm rests on the floor or on a prop that stays where it is."""
    rolling = [prop.name.lower() for prop in pose.props if prop.kind.replace("_", " ") in _ROLLING]
    return any(
        contact.carries
        and contact.error <= CONTACT_LIMIT
        and any(segment.startswith(_ARM) for segment in contact.segments)
        and not any(name in contact.place for name in (*rolling, *_ROLLING))
        for contact in pose.contacts
    )


def check_change(poses: Sequence[SolvedPose], spec: FigureSpec) -> Iterator[Problem]:
    """Report a finish that hardly differs from its start."""
    for number in range(1, len(poses)):
        here, before = poses[number], poses[number - 1]
        turns = {m: here.posed.angles[m.name] - before.posed.angles[m.name] for m in skeleton().motions[3:]}
        most = max(turns, key=lambda motion: abs(turns[motion]))
        ways = np.array(list(here.posed.points.values())) - np.array(list(before.posed.points.values()))
        moved = float(np.linalg.norm(ways, axis=1).max())
        if (
            abs(turns[most]) < tolerance("alike_degrees")
            and moved < tolerance("alike_reach")
            and spec.inset is None
        ):
            turned = f"{motion_words(most, turns[most])} changes most, by {abs(turns[most]):.0f} degrees"
            yield Problem(
                "poses-alike",
                "warning",
                f"This pose hardly differs from the one before: {turned}.",
                "Make the movement larger, add `inset: trunk` (or neck, foot, hand), or draw one pose only.",
                ("poses", number),
            )


def check_figure(
    spec: FigureSpec, poses: Sequence[SolvedPose], paths: Sequence[Mapping[str, Path]]
) -> list[Problem]:
    """Return all findings about the poses of a figure; `paths` says where each stated motion was written."""
    out: list[Problem] = []
    for number, pose in enumerate(poses):
        path: Path = ("poses", number)
        kin = forward(pose.posed.q, pose.posed.base)
        out.extend(check_ranges(pose, path, paths[number]))
        out.extend(check_two_joints(pose, path, paths[number]))
        out.extend(check_contacts(pose, path))
        out.extend(check_directions(pose, path))
        out.extend(check_floor(pose, path))
        out.extend(check_props(pose, kin, path))
        out.extend(check_overlap(pose, kin, path))
        out.extend(check_balance(pose, path))
    out.extend(check_change(poses, spec))
    out.extend(check_props_used(spec, poses))
    seen: set[tuple[str, str, Path]] = set()
    unique: list[Problem] = []
    for problem in out:
        # What a later pose keeps from the one before is told once, where it was written.
        key = (problem.code, problem.message, problem.path)
        if key not in seen:
            seen.add(key)
            unique.append(problem)
    return unique
