"""Straight or bent, in words against every panel: a knee or an elbow that is said to be one is so in some panel.

English. Angles that nothing states are those of the posture, and 0 where it says none.
"""

from __future__ import annotations

import re
from collections.abc import Container, Iterable, Iterator
from itertools import pairwise

from limberleaf.checks.each import each_exercise
from limberleaf.clinical.pose_facts import Angles, angles_of
from limberleaf.diagrams.language.spec import Pose
from limberleaf.findings import Finding
from limberleaf.library import Exercise, Library, Loaded
from limberleaf.library.yaml.source import Loc

MOST_STRAIGHT = 30
"""Degrees of flexion above which nobody calls a joint straight or almost straight (common practice, no source)."""

LEAST_BENT = 12
"""Degrees of flexion below which a bend is not seen in a drawing (common practice, no source)."""

_AHEAD = r"(?!\s+(?:ahead|up|down|forwards?|out|back|above|over)\b)"
"""After “straight”: then it says where a part goes, and not how its joint is."""

_WHOSE = r"(?:your|the|both|that|this|each|its)?\s*(?:\{(?P<side>affected|other)\}\s*|front\s+|back\s+)?"
_PART = r"(?P<part>knee|leg|elbow|arm)s?\b"
_SAYS = (
    (re.compile(rf"\bstraight(?:en)?\s+(?:out\s+)?{_WHOSE}{_PART}", re.IGNORECASE), "straight"),
    (
        re.compile(
            rf"\b{_WHOSE}{_PART}(?:\s+(?!bend|bent|and\b)\w+){{0,3}}\s+straight\b{_AHEAD}", re.IGNORECASE
        ),
        "straight",
    ),
    (re.compile(rf"\b(?:bend|bent)\s+{_WHOSE}{_PART}", re.IGNORECASE), "bent"),
    (re.compile(rf"\b{_WHOSE}{_PART}(?:\s+(?!straight)\w+){{0,2}}\s+bent\b", re.IGNORECASE), "bent"),
)
_HAND = re.compile(r"\b(?:hands?|fingers?|fingertips?|palms?|forearms?|fists?)\b")
_FOOT = re.compile(r"\b(?:foot|feet|heels?|toes?|sole)\b")
_GETS = re.compile(r"\bstraighten|\bgets\b", re.IGNORECASE)
_NO = re.compile(r"\b(?:not|never|no|cannot|without|stop|unless|if|than)\b|n't\b", re.IGNORECASE)
_STRAIGHT = re.compile(
    rf"\b(?:straighten|keep)\b[^.]*?\b(?P<part>knee|leg|elbow|arm)s?\b(?:[^.]*\bstraight\b{_AHEAD})?",
    re.IGNORECASE,
)
_BEND = re.compile(
    r"\bbend (?:your |the |both |that )?(?:\{\w+\} |front |top |bottom )?(?P<part>knee|elbow)s?\b",
    re.IGNORECASE,
)
_SENTENCE = re.compile(r"[^.!?;]+")


def check_straight(library: Library) -> Iterator[Finding]:
    """Report knees and elbows that words bend or straighten and no panel does."""
    if library.settings.language == "en":
        yield from each_exercise(library, _of_exercise, "en")


def _of_exercise(loaded: Loaded[Exercise], _: str) -> Iterator[Finding]:
    exercise = loaded.entry
    panels = angles_of(exercise.figure)
    texts: list[tuple[Loc, str, list[Angles]]] = [
        ((key, index), text, panels)
        for key in ("setup", "steps", "in_short")
        for index, text in enumerate(getattr(exercise, key))
    ]
    for index, pose in enumerate(exercise.figure.poses):
        loc: Loc = ("figure", "poses", index, "caption")
        if against := _against_own(pose):
            yield Finding(
                "error",
                "straight-or-bent",
                f"The caption says “{against[0]}”, the drawing has it {against[1]}.",
                "Correct the caption or the joints.",
                loaded.source.place(loc),
            )
        else:
            texts.append((loc, pose.caption or "", panels[max(index - 1, 0) : index + 2]))
    for loc, text, shown in texts:
        for match, state in _claims(text):
            resting = _resting(exercise, _joint(match)) if state == "bent" else set()
            if not _is_shown(match, state, shown, resting):
                drawn = "bent" if state == "straight" else "straight"
                yield Finding(
                    "error",
                    "straight-or-bent",
                    f"“{match[0].strip()}” is said here, and the drawing has the {_joint(match)} {drawn} in each panel "
                    "that it could mean.",
                    "Correct the words, or the flexion of that joint.",
                    loaded.source.place(loc, offset=match.start()),
                )


def _claims(text: str) -> Iterator[tuple[re.Match[str], str]]:
    for sentence in _SENTENCE.finditer(text):
        if _NO.search(sentence[0]):
            continue
        for pattern, state in _SAYS:
            for match in pattern.finditer(text, sentence.start(), sentence.end()):
                yield match, state


def _joint(match: re.Match[str]) -> str:
    return {"knee": "knee", "leg": "knee", "elbow": "elbow", "arm": "elbow"}[match["part"].lower()]


def _against_own(pose: Pose) -> tuple[str, str] | None:
    """Give what a caption says of a joint that its own panel states otherwise, and how that is drawn; None for none."""
    for says, wrong in ((_STRAIGHT, "bent"), (_BEND, "straight")):
        match = says.search(pose.caption or "")
        claimed = match and ("straight" in match[0].lower() or says is _BEND)
        if match and claimed and _is(pose, match["part"].lower(), wrong):
            return match[0], wrong
    return None


def _is(pose: Pose, part: str, wrong: str) -> bool:
    """Tell whether every stated angle of a knee or an elbow makes it bent (from 45 degrees) or straight (under 10)."""
    joint = {"knee": "knee", "leg": "knee", "elbow": "elbow", "arm": "elbow"}[part]
    angles = [angle for _, angle in _stated(pose, joint)]
    if not angles:
        return False
    return min(angles) >= 45 if wrong == "bent" else max(angles) < 10


def _stated(pose: Pose, joint: str) -> Iterator[tuple[str, float]]:
    """Give the flexion that a pose itself states of a joint, with its limb: affected, other or both."""
    for limb in ("affected", "other", "both"):
        joints = getattr(pose.joints, limb, None) if pose.joints else None
        stated = getattr(joints, joint, None) if joints is not None else None
        flexion = getattr(stated, "flexion", None) if stated is not None else None
        if isinstance(flexion, int | float):
            yield limb, flexion


def _resting(exercise: Exercise, joint: str) -> set[str]:
    """Give the sides whose hand (elbow) or foot (knee) is put on something, and of whose joint no pose says more.

    What a limb is put on bends it; how far, only the drawing knows.
    """
    ends, poses = _HAND if joint == "elbow" else _FOOT, exercise.figure.poses
    parts = [contact.part for pose in poses for contact in pose.contacts if not contact.release]
    put = _sides(part.split(maxsplit=1)[0] for part in parts if ends.search(part))
    return put - _sides(limb for pose in poses for limb, _ in _stated(pose, joint))


def _sides(limbs: Iterable[str]) -> set[str]:
    found = {*limbs}
    return {"affected", "other"} if "both" in found else found


def _is_shown(match: re.Match[str], state: str, panels: list[Angles], resting: Container[str]) -> bool:
    """Tell whether some panel has it so, or, for “straighten” and “gets straight”, goes a good way towards it.

    On the side of a `resting` limb it counts as shown.
    """
    for side in [match["side"]] if match["side"] else ["affected", "other"]:
        if side in resting:
            return True
        angles = [panel.get((side, _joint(match), "flexion"), 0.0) for panel in panels]
        if state == "bent":
            shown = max(angles) >= LEAST_BENT
        else:
            on_the_way = any(one - two >= LEAST_BENT for one, two in pairwise(angles))
            shown = min(angles) <= MOST_STRAIGHT or (on_the_way and bool(_GETS.search(match[0])))
        if shown:
            return True
    return False
