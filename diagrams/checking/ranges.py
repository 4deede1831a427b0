"""Joints beyond what an adult can do, alone and with the joint next to them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache
from typing import Any

from limberleaf.diagrams.body.skeleton import SIDES, Motion, load_data, skeleton
from limberleaf.diagrams.checking.check_words import joint_words, motion_words, side_words
from limberleaf.diagrams.solving.settings import tolerance
from limberleaf.diagrams.solving.solved import Path, Problem, SolvedPose

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


def _limits(motion: Motion, value: float, *, loaded: bool) -> tuple[float, float]:
    """Return how far most adults and how far supple ones can go in the way of a value, in degrees."""
    soft, hard = motion.soft, motion.hard
    if loaded:
        top = motion.loaded_soft if motion.loaded_soft is not None else soft[1]
        limit = motion.loaded_hard if motion.loaded_hard is not None else hard[1]
        soft, hard = (soft[0], top), (hard[0], limit)
        if motion.joint.startswith(("wrist", "fingers")):
            soft = (hard[0], soft[1])
    return (soft[1], hard[1]) if value >= 0 else (-soft[0], -hard[0])


def _in_words(motion: Motion, pose: SolvedPose, paths: Mapping[str, Path]) -> tuple[str, float]:
    """Return a motion in the author's own words, and how much of the stated angle this joint takes.

    The trunk as a whole is shared by the low and the upper back; the author knows only the whole.
    """
    value = pose.posed.angles[motion.name]
    if paths.get(motion.name, ())[-1:] != ("trunk",):
        return f"{abs(value):.0f} degrees of {motion_words(motion, value)}", 1.0
    whole = sum(pose.posed.angles[f"{part}.{motion.word}"] for part in ("lumbar", "thoracic"))
    words = motion_words(motion, value).replace(joint_words(motion.joint), "trunk", 1)
    return f"{abs(whole):.0f} degrees of {words}", abs(value / whole) if whole else 1.0


def check_ranges(pose: SolvedPose, path: Path, paths: Mapping[str, Path]) -> Iterator[Problem]:
    """Report joints beyond what an adult can do (hard) and beyond what most can do (soft)."""
    loaded = _loaded(pose)
    reported: set[Path] = set()
    for motion in skeleton().motions[3:]:
        if motion.joint == "pelvis":
            continue
        value = pose.posed.angles[motion.name]
        usual, far = _limits(motion, value, loaded=motion.joint in loaded)
        stated = motion.name in pose.stated
        where = paths.get(motion.name, path)
        if where in reported and where[-1:] == ("trunk",):
            continue
        words, share = _in_words(motion, pose, paths)
        usual, far = usual / share, far / share
        size = abs(value) / share
        if size > far + _ROUNDING and not stated:
            yield Problem(
                "joint-beyond-range",
                "error",
                f"To meet what is stated here, it would take {words}, beyond what an adult joint can do ({far:.0f}).",
                "Drop a contact or direction that pulls this limb, or choose a posture nearer to what it touches.",
                path,
            )
        elif size > far + _ROUNDING:
            reported.add(where)
            yield Problem(
                "joint-beyond-range",
                "error",
                f"{words} is beyond what an adult joint can do ({far:.0f}).",
                f"Use {far:.0f} degrees or less; most adults reach {usual:.0f}.",
                where,
            )
        elif size > usual + _ROUNDING and stated:
            reported.add(where)
            yield Problem(
                "joint-near-limit",
                "warning",
                f"{words} is more than most adults can do ({usual:.0f}).",
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
                continue  # slack already: the joint's own range has reported it
            beyond = value > hard + _ROUNDING
            who = "an adult" if beyond else "most adults"
            least = (
                f"{hard:.0f} degrees or less ({soft:.0f} for most adults)"
                if beyond
                else f"{soft:.0f} degrees or less"
            )
            start = "" if name in pose.stated else "To meet what is stated here, it would take "
            use = f"Use {least}" if name in pose.stated else f"State the {rule['joint']} at {least}"
            yield Problem(
                "two-joint-range",
                "error" if beyond else "warning",
                f"{start}{value:.0f} degrees of {side_words(rule['joint'] + '_' + side)} {rule['motion']} with the"
                f" {neighbour_joint} at {other:.0f}, which stretches the {rule['stretches']} further than"
                f" {who} can go ({hard if beyond else soft:.0f}).",
                f"{use}, or bend the {neighbour_joint} more.",
                paths.get(name, paths.get(beside, path)),
            )
