"""The joints of a pose as sliders show them: each motion with its range, its angle now, and whether it is stated."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from typing import Any

from limberleaf.desk.write.words import DeskWords
from limberleaf.diagrams.body.skeleton import Motion, skeleton
from limberleaf.diagrams.solving.solved import SolvedPose

_GIRDLE = {"shoulder_girdle": "scapula"}
_PARTS = ("pelvis", "lumbar", "thoracic", "neck")


@cache
def _motions() -> tuple[Motion, ...]:
    return tuple(one for one in skeleton().motions if not one.name.startswith("root."))


def joints_of(pose: SolvedPose, stated: dict[str, Any], words: DeskWords) -> Iterator[dict[str, Any]]:
    """Give every joint with its motions: range, present angle, and whether the writer stated it."""
    for motion in _motions():
        place = _place(motion)
        if place is None:
            continue
        where, joint = place
        value = pose.posed.angles[motion.name]
        joints = stated.get("joints") or {}
        own = (joints.get(where) or {}).get(joint) if where != joint else joints.get(joint)
        both = (joints.get("both") or {}).get(joint) or {}
        word, opposite = _words(motion)
        is_stated = any(one in (own or {}) or (where != joint and one in both) for one in (word, opposite))
        yield {
            "where": where,
            "joint": joint,
            "word": word,
            "opposite": opposite,
            "label": words.joint(joint),
            "up": words.motion(word, joint),
            "down": words.motion(opposite, joint),
            "low": -_limit(motion, opposite=True),
            "high": _limit(motion),
            "value": round(value),
            "stated": is_stated,
        }


def _limit(motion: Motion, *, opposite: bool = False) -> int:
    low, high = motion.hard
    return min(round(abs(low if opposite else high)), 180)


def _place(motion: Motion) -> tuple[str, str] | None:
    joint = motion.joint
    for side, word in (("_right", "affected"), ("_left", "other")):
        if joint.endswith(side):
            name = joint.removesuffix(side)
            return word, _GIRDLE.get(name, name)
    return (joint, joint) if joint in _PARTS else None


def _words(motion: Motion) -> tuple[str, str]:
    def written(word: str) -> str:
        if motion.joint == "pelvis" and word.startswith("side_tilt"):
            word = word.replace("side_tilt_right", "hitch_other").replace("side_tilt_left", "hitch_affected")
        return word.replace("_right", "_affected").replace("_left", "_other")

    return written(motion.word), written(motion.opposite)
