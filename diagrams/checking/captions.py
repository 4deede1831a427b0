"""Whether a caption names the side and the joint that move in its panel.

The words come from `data/captions.yml`, by language. A caption that names no side or joint is never wrong.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from functools import cache
from typing import Any

from limberleaf.diagrams.body.skeleton import SIDES, Side, load_data
from limberleaf.diagrams.body.vectors import norm
from limberleaf.diagrams.checking.check_words import limb_joints
from limberleaf.diagrams.language.words import opposite
from limberleaf.diagrams.solving.solved import Path, Problem, SolvedPose

_MOVED, _TRAVELS = 3.0, 0.03  # degrees, H
_ENDS = {"leg": ("knee", "ankle", "toe"), "arm": ("elbow", "wrist", "fingertip")}
_LEG = ("hip_", "knee_", "ankle_", "toes_")
_ARM = ("shoulder_", "elbow_", "forearm_", "wrist_", "fingers_")


@cache
def _words(language: str) -> Mapping[str, Any]:
    table = load_data("captions")
    words: Mapping[str, Any] = table.get(language, {})
    return words


def named_limbs(caption: str, language: str) -> set[tuple[str, str]]:
    """Return (side word, leg or arm) for every `{affected}` or `{other}` in a caption with the part it belongs to."""
    words = _words(language)
    found: set[tuple[str, str]] = set()
    for match in re.finditer(r"\{(affected|other)\}\s+((?:[\w-]+\s*){1,3})", caption):
        after = re.findall(r"[\w-]+", match.group(2).lower())
        for limb in ("leg", "arm"):
            if after and any(word in words.get(limb, ()) for word in after[:2]):
                found.add((match.group(1), limb))
                break
    return found


def moved_limbs(pose: SolvedPose, before: SolvedPose, path: Path) -> set[tuple[Side, str]]:
    """Return (side, leg or arm) of every limb that moves by more than 3 degrees from one pose to the next.

    A limb that stays where it is only gives way, as an arm does that holds a chair, unless an angle of it is stated or
    the pose's own contacts or directions (those under `path`) name a part of it.
    """
    out: set[tuple[Side, str]] = set()
    placed = _placed_limbs(pose, before, path)
    for name, value in pose.posed.angles.items():
        if name.startswith("root.") or abs(value - before.posed.angles[name]) <= _MOVED:
            continue
        for side in SIDES:
            if name.split(".", 1)[0].endswith(f"_{side}"):
                limb = "leg" if name.startswith(_LEG) else "arm"
                if name in pose.stated or (side, limb) in placed or _travels(limb, side, pose, before):
                    out.add((side, limb))
    return out


def _placed_limbs(pose: SolvedPose, before: SolvedPose, path: Path) -> set[tuple[Side, str]]:
    """Return the limbs that a pose's own contacts and directions name."""
    parts = [
        contact.part for contact in pose.contacts if contact.author and contact.path[: len(path)] == path
    ]
    parts += [name.partition(" ")[2] for name in pose.directions.keys() - before.directions.keys()]
    return {
        (side, "leg" if limb_joints(part)[0].startswith(_LEG) else "arm")
        for part in parts
        for side in SIDES
        if side in part.split()
    }


def _travels(limb: str, side: Side, pose: SolvedPose, before: SolvedPose) -> bool:
    return any(
        norm(pose.posed.points[f"{point}_{side}"] - before.posed.points[f"{point}_{side}"]) > _TRAVELS
        for point in _ENDS[limb]
    )


def check_caption(
    pose: SolvedPose, before: SolvedPose | None, affected: Side, path: Path, language: str
) -> Iterator[Problem]:
    """Report a caption that names another side or joint than the one that moves."""
    caption = pose.caption or ""
    if before is None or not caption:
        return
    moved = moved_limbs(pose, before, path[:2])
    sides: Mapping[str, Side] = {"affected": affected, "other": opposite(affected)}
    named = named_limbs(caption, language)
    for limb in ("leg", "arm"):
        limbs = {word for word, kind in named if kind == limb}
        moving = {word for word, side in sides.items() if (side, limb) in moved}
        if len(limbs) == 1 and moving and not limbs & moving:
            word, real = next(iter(limbs)), next(iter(moving))
            yield Problem(
                "caption-side",
                "warning",
                f"The caption names the {word} {limb}, but the {real} {limb} moves in this panel.",
                f"Write {{{real}}}, or pose the {word} side.",
                path,
            )
    yield from _check_joint(caption, pose, before, path, language)


def _check_joint(
    caption: str, pose: SolvedPose, before: SolvedPose, path: Path, language: str
) -> Iterator[Problem]:
    """Report a verb and joint ("straighten your knee") without that joint moving."""
    words = _words(language)
    first = caption.split(".", 1)[0].lower()
    verbs = "|".join(words.get("moves", ()))
    for joint, names in words.get("joints", {}).items():
        pattern = rf"\b(?:{verbs})\b[^.,;]{{0,24}}?\b(?:{'|'.join(names)})\b"
        if not verbs or not re.search(pattern, first):
            continue
        turned = max(
            abs(value - before.posed.angles[name])
            for name, value in pose.posed.angles.items()
            if name.startswith(f"{joint}_")
        )
        if turned <= _MOVED:
            yield Problem(
                "caption-joint",
                "warning",
                f"The caption says that the {joint} moves, but it stays as it was in this panel.",
                f"Pose the {joint}, or name the joint that moves.",
                path,
            )
