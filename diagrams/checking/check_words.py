"""Joints, parts and distances in the words of a finding; solved figures have the affected side on the right."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from limberleaf.diagrams.body.skeleton import SIDES, Motion, Vec3

# What authors call the segments and points that have names of their own in the data files.
_PARTS: Mapping[str, str] = {
    "shank": "lower leg",
    "fingers": "hand",
    "knuckle": "hand",
    "gripping hand": "hand",
    "toes": "forefoot",
    "flat of foot": "foot",
    "ball": "ball of the foot",
    "lumbar": "low back",
    "lumbar low": "low back",
    "navel": "low back",
    "thorax low": "upper back",
    "thorax mid": "upper back",
    "thorax": "upper back",
    "xiphoid": "upper back",
    "pelvis mid": "pelvis",
    "spine": "back",
    "head base": "neck",
    "head centre": "head",
    "vertex": "head",
}
_ARM_WORDS = ("arm", "hand", "finger", "fist", "wrist", "elbow", "shoulder", "knuckle", "girdle")
_ARM_JOINTS = ("shoulder_girdle", "shoulder", "elbow", "forearm", "wrist", "fingers")
_LEG_JOINTS = ("hip", "knee", "ankle", "toes")
CENTIMETRES = 170.0  # a 1.70 m person, only for words


def side_words(name: str) -> str:
    """Return a name with left and right turned into other and affected: `knee_right` -> affected knee."""
    for side, word in (("right", "affected"), ("left", "other")):
        if name.endswith(f"_{side}"):
            return f"{word} {name.removesuffix(f'_{side}').replace('_', ' ')}"
        if name.startswith(f"{side} "):
            return f"{word} {name.removeprefix(f'{side} ')}"
    return name.replace("_", " ")


def part_words(name: str) -> str:
    """Return a segment, point or touching part in an author's words: `shank_right` -> affected lower leg."""
    words = side_words(name)
    side = next((f"{word} " for word in ("affected", "other") if words.startswith(f"{word} ")), "")
    part = words.removeprefix(side).rstrip(" 0123456789")
    return side + _PARTS.get(part, part)


def joints_in_the_way(stated: Iterable[str], joints: Iterable[str]) -> str:
    """Return those of some joints that an author stated, in words joined by "or"; empty when there is none."""
    stated_joints = {name.partition(".")[0] for name in stated}
    names = [joint_words(joint) for joint in joints if joint in stated_joints]
    if {"lumbar", "thoracic"} <= set(names):
        names = [*(name for name in names if name not in ("lumbar", "thoracic")), "trunk"]
    return " or ".join(f"{name} spine" if name in ("lumbar", "thoracic") else name for name in names)


def joint_words(joint: str) -> str:
    """Return a joint in an author's words: `shoulder_girdle_left` -> other shoulder blade."""
    return side_words(joint.replace("shoulder_girdle", "shoulder_blade"))


def limb_joints(part: str) -> tuple[str, ...]:
    """Return the joints between the trunk and a part (`right heel`, `head_centre`), from the trunk out, trunk first."""
    trunk = ("pelvis", "lumbar", "thoracic")
    words = part.replace("_", " ").split()
    if set(words) & {"head", "neck", "forehead", "chin", "cheek", "vertex"}:
        return ("neck", *trunk)
    for side in SIDES:
        if side in words:
            arm = any(word in name for word in _ARM_WORDS for name in words)
            chain = _ARM_JOINTS if arm else _LEG_JOINTS
            return (*(f"{joint}_{side}" for joint in chain), *trunk)
    return (*trunk, *(f"hip_{side}" for side in SIDES), *(f"knee_{side}" for side in SIDES))


def way_words(off: Vec3, axes: Vec3) -> tuple[str, str]:
    """Return the way of a level displacement in the body's own directions, and the way back.

    `axes` are the columns forward, towards the head and to the right (the affected side) of the base position.
    """
    ways = (
        ("forwards", "backwards"),
        ("towards the head", "towards the feet"),
        ("to the affected side", "to the other side"),
    )
    along = [float(off[0] * axes[0, i] + off[2] * axes[2, i]) for i in range(3)]
    largest = max(range(3), key=lambda i: abs(along[i]))
    one, other = ways[largest]
    return (one, other) if along[largest] >= 0 else (other, one)


def motion_words(motion: Motion, value: float) -> str:
    """Return a motion in an author's words: `affected hip flexion` for a positive value, its opposite otherwise."""
    word = motion.word if value >= 0 else motion.opposite
    word = word.replace("_right", " to the affected side").replace("_left", " to the other side")
    return f"{joint_words(motion.joint)} {word.replace('_', ' ')}"


def centimetres(distance: float) -> str:
    """Return a distance in H as whole centimetres of a 1.70 m person, at least 1."""
    return f"{max(1, round(distance * CENTIMETRES))} cm"
