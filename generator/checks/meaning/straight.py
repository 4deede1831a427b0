"""Straight or bent, in words against every panel: a knee or an elbow that is said to be one is so in some panel.

English. Angles that nothing states are those of the posture, and 0 where it says none.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import pairwise

from limberleaf.checks.each import each_exercise
from limberleaf.clinical.pose_facts import Angles, angles_of
from limberleaf.findings import Finding
from limberleaf.library import Exercise, Library, Loaded
from limberleaf.library.yaml.source import Loc

MOST_STRAIGHT = 30
"""Degrees of flexion above which nobody calls a joint straight or almost straight (common practice, no source)."""

LEAST_BENT = 12
"""Degrees of flexion below which a bend is not seen in a drawing (common practice, no source)."""

_WHOSE = r"(?:your|the|both|that|this|each|its)?\s*(?:\{(?P<side>affected|other)\}\s*|front\s+|back\s+)?"
_PART = r"(?P<part>knee|leg|elbow|arm)s?\b"
_SAYS = (
    (re.compile(rf"\bstraight(?:en)?\s+(?:out\s+)?{_WHOSE}{_PART}", re.IGNORECASE), "straight"),
    (re.compile(rf"\b{_WHOSE}{_PART}(?:\s+(?!bend|bent)\w+){{0,3}}\s+straight\b", re.IGNORECASE), "straight"),
    (re.compile(rf"\b(?:bend|bent)\s+{_WHOSE}{_PART}", re.IGNORECASE), "bent"),
    (re.compile(rf"\b{_WHOSE}{_PART}(?:\s+(?!straight)\w+){{0,2}}\s+bent\b", re.IGNORECASE), "bent"),
)
_GETS = re.compile(r"\bstraighten|\bgets\b", re.IGNORECASE)
_NO = re.compile(r"\b(?:not|never|no|cannot|without|stop|unless|if|than)\b|n't\b", re.IGNORECASE)
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
        texts.append((loc, pose.caption or "", panels[max(index - 1, 0) : index + 2]))
    for loc, text, shown in texts:
        for match, state in _claims(text):
            if not _is_shown(match, state, shown):
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


def _is_shown(match: re.Match[str], state: str, panels: list[Angles]) -> bool:
    """Tell whether some panel has it so, or, for “straighten” and “gets straight”, goes a good way towards it."""
    for side in [match["side"]] if match["side"] else ["affected", "other"]:
        angles = [panel.get((side, _joint(match), "flexion"), 0.0) for panel in panels]
        if state == "bent":
            shown = max(angles) >= LEAST_BENT
        else:
            on_the_way = any(one - two >= LEAST_BENT for one, two in pairwise(angles))
            shown = min(angles) <= MOST_STRAIGHT or (on_the_way and bool(_GETS.search(match[0])))
        if shown:
            return True
    return False
