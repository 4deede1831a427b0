"""Joints, parts and distances in the words of a finding; solved figures have the affected side on the right."""

from __future__ import annotations

from diagrams.body import Motion

CENTIMETRES = 170.0  # a 1.70 m person, only for words


def side_words(name: str) -> str:
    """Return a name with left and right turned into other and affected: `knee_right` -> affected knee."""
    for side, word in (("right", "affected"), ("left", "other")):
        if name.endswith(f"_{side}"):
            return f"{word} {name.removesuffix(f'_{side}').replace('_', ' ')}"
        if name.startswith(f"{side} "):
            return f"{word} {name.removeprefix(f'{side} ')}"
    return name.replace("_", " ")


def motion_words(motion: Motion, value: float) -> str:
    """Return a motion in an author's words: `affected hip flexion` for a positive value, its opposite otherwise."""
    word = motion.word if value >= 0 else motion.opposite
    word = word.replace("_right", " to the affected side").replace("_left", " to the other side")
    joint = "shoulder blade" if motion.joint.startswith("shoulder_girdle") else motion.joint
    if joint == "shoulder blade":
        side = "affected" if motion.joint.endswith("right") else "other"
        return f"{side} shoulder blade {word}"
    return f"{side_words(joint)} {word.replace('_', ' ')}"


def centimetres(distance: float) -> str:
    """Return a distance in H as whole centimetres of a 1.70 m person, at least 1."""
    return f"{max(1, round(distance * CENTIMETRES))} cm"
