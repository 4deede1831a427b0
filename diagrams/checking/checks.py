"""Findings about a solved pose, each with its own code.

Every check reads the solved body alone, so that it judges what will be drawn, not what the solver meant. Solved figures
have the affected side on the right until they are mirrored, so messages say affected and other.

Codes here: joint-beyond-range, joint-near-limit, two-joint-range, contact-open, direction-missed, below-floor,
inside-prop, limbs-overlap, off-balance, hold-steady, poses-alike, place-unknown, prop-unused. The words of captions and
the order of ladder steps are in `checks_caption.py` and `checks_ladder.py`, the view in the drawing's own checks.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from limberleaf.diagrams.body.kinematics import Kinematics, forward
from limberleaf.diagrams.body.overlap import overlaps
from limberleaf.diagrams.body.skeleton import BASES, SIDES, skeleton
from limberleaf.diagrams.checking.check_words import (
    centimetres,
    joints_in_the_way,
    limb_joints,
    motion_words,
    part_words,
    side_words,
    way_words,
)
from limberleaf.diagrams.checking.posture import check_posture
from limberleaf.diagrams.checking.props import check_props, check_props_drawn, check_props_used
from limberleaf.diagrams.checking.ranges import check_ranges, check_two_joints
from limberleaf.diagrams.checking.statements import check_statements
from limberleaf.diagrams.language.spec import FigureSpec
from limberleaf.diagrams.language.words import part_rows
from limberleaf.diagrams.solving.algebra.support import to_edge
from limberleaf.diagrams.solving.asked.state import State
from limberleaf.diagrams.solving.settings import tolerance
from limberleaf.diagrams.solving.solved import ContactReport, Path, Problem, SolvedPose
from limberleaf.diagrams.solving.touching.places import read_place_part

CONTACT_LIMIT = tolerance("contact")
_ROLLING = ("ball", "foam roller")  # nobody steadies themselves on what rolls away
_ARM = ("hand", "fingers", "forearm", "upper_arm")

_ROUNDING = tolerance("rounding")


def check_contacts(pose: SolvedPose, path: Path, before: SolvedPose | None = None) -> Iterator[Problem]:
    """Report contacts that do not close, with the stated joints that are in the way.

    A contact of both sides is told once, and so are all those that the posture brings with it. What a pose keeps from
    the one `before` is told where it opens: the statements in the way stand there. What is stated apart is told apart,
    since each has a place of its own.
    """
    groups: dict[tuple[Path, Path, bool], list[ContactReport]] = {}
    open_before = (
        {c.path for c in before.contacts if c.error > CONTACT_LIMIT} if before is not None else set()
    )
    for contact in pose.contacts:
        if contact.error > CONTACT_LIMIT:
            own = contact.path[: len(path)] == path or contact.path in open_before
            where = contact.path if own and contact.path else path
            groups.setdefault((where, contact.path, contact.author), []).append(contact)
    for (where, _, author), missed in groups.items():
        worst = max(missed, key=lambda contact: contact.error)
        place = _place_words(worst.place, pose)
        joints = dict.fromkeys(joint for contact in missed for joint in limb_joints(contact.part))
        names = joints_in_the_way(pose.stated, joints)
        if names:
            hint = f"State fewer angles of the {names}, or list what an earlier pose stated under `open`."
        elif author:
            hint = f"Choose a posture nearer to {place}, or drop this contact."
        else:
            hint = (
                f"The posture puts it there: change what pulls it away, or let it go with"
                f" `{{part: {part_words(worst.part)}, release: true}}`."
            )
        parts = list(dict.fromkeys(f"the {part_words(contact.part)}" for contact in missed))
        listed = " and ".join([", ".join(parts[:-1]), parts[-1]] if len(parts) > 1 else parts)
        verb, most = ("misses", "") if len(parts) == 1 else ("miss", "up to ")
        yield Problem(
            "contact-open",
            "error",
            f"{listed[0].upper()}{listed[1:]} {verb} {place} by {most}{centimetres(worst.error)}"
            f" ({worst.error:.3f} of body height).",
            hint,
            where,
        )
    for contact in pose.contacts:
        if contact.author and contact.off_spot > tolerance("spot"):
            yield Problem(
                "contact-misplaced",
                "error",
                f"The {part_words(contact.part)} touches {_place_words(contact.place, pose)}, but"
                f" {centimetres(contact.off_spot)} away from the spot that is stated.",
                "Leave the spot out (behind, in_front_of, beside, under), or state fewer angles of this limb.",
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
    """Report the deepest part of the body whose surface is below the floor."""
    body = skeleton()
    deep: list[tuple[float, str]] = []
    for name in body.points:
        soft = name.startswith(("pelvis", "spine", "navel", "xiphoid", "hip", "shoulder"))
        depth = body.radius[name] - float(pose.posed.points[name][1])
        if depth > (tolerance("flesh") * max(body.girth[name], 1.0) if soft else tolerance("floor")):
            deep.append((round(depth, 6), name))
    if deep:
        depth, name = max(deep)
        names = joints_in_the_way(pose.stated, limb_joints(name))
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
    contact_bones = {frozenset(_bones(c)) for c in pose.contacts}
    for one, two, depth in overlaps(kin, tolerance("overlap")):
        if (
            any({one, two} & bones for bones in contact_bones if one in bones or two in bones)
            and depth < 0.03
        ):
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
    """Say whether a hand or arm rests on the floor, on a prop that stays where it is, or on a walking aid."""
    if any(prop.form == "aid" for prop in pose.props):
        return True
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


def check_figure(spec: FigureSpec, poses: Sequence[SolvedPose], states: Sequence[State]) -> list[Problem]:
    """Return all findings about the poses of a figure; `states` are what each of them asked for."""
    out: list[Problem] = []
    for number, pose in enumerate(poses):
        path: Path = ("poses", number)
        kin = forward(pose.posed.q, pose.posed.base)
        out.extend(check_ranges(pose, path, states[number].stated_paths))
        out.extend(check_two_joints(pose, path, states[number].stated_paths))
        out.extend(check_contacts(pose, path, poses[number - 1] if number else None))
        out.extend(check_statements(states[number]))
        out.extend(check_posture(pose, states[number].lead, path))
        out.extend(check_directions(pose, path))
        out.extend(check_floor(pose, path))
        out.extend(check_props(pose, kin, path))
        out.extend(check_overlap(pose, kin, path))
        out.extend(check_balance(pose, path))
    out.extend(check_change(poses, spec))
    out.extend(check_props_used(spec, poses))
    out.extend(check_props_drawn(spec, poses))
    seen: set[tuple[str, str, Path]] = set()
    unique: list[Problem] = []
    for problem in out:
        # What a later pose keeps from the one before is reported once, where it was written.
        key = (problem.code, problem.message, problem.path)
        if key not in seen:
            seen.add(key)
            unique.append(problem)
    return unique
