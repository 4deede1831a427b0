"""Words and pictures state the same: posture, order of captions, straight or bent, where the head turns, arrow.

Read from the entry alone. English but for the order of captions, which compares the entry with itself in any language.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache
from typing import Any

from limberleaf.checks.each import each_exercise
from limberleaf.clinical.drawing import position_family, sides_moved
from limberleaf.clinical.text_facts import words_of
from limberleaf.diagrams.language.spec import Pose
from limberleaf.findings import Finding
from limberleaf.library import Exercise, Library, Loaded
from limberleaf.library.translate import translated

_AWAY_OR_TOWARDS = re.compile(
    r"\b(?:tip|tilt)\b[^.]*\b(?P<way>away|towards)\b(?: from)? (?:that|your \{affected\}) arm\b",
    re.IGNORECASE,
)
"""A head that tips to or from the arm that works, which is the affected one."""
_TIPS_TO = {"away": "other", "towards": "affected"}

LYING = ("on_the_back", "on_the_front", "on_the_side")
POSTURES = (
    (re.compile(r"^(?:now )?lie on your back\b", re.IGNORECASE), ("on_the_back",)),
    (re.compile(r"^(?:now )?lie on your (?:front|belly|stomach)\b", re.IGNORECASE), ("on_the_front",)),
    (re.compile(r"^(?:now )?lie on (?:your|the|one) (?:\{\w+\} )?side\b", re.IGNORECASE), ("on_the_side",)),
    (re.compile(r"^(?:now )?lie\b", re.IGNORECASE), LYING),
    (re.compile(r"^(?:now )?sit\b(?! back| down| slowly)", re.IGNORECASE), ("on_a_seat", "on_the_floor")),
    (re.compile(r"^(?:now )?stand\b(?! up)", re.IGNORECASE), ("on_feet",)),
    (re.compile(r"^(?:now )?kneel\b", re.IGNORECASE), ("on_the_knees",)),
)
"""How a line of the setup begins, and the families of postures it fits."""

_TURN = re.compile(
    r"\b(?:turn|tip|tilt|bend|roll|look)\b[^.]*?\bto(?:wards)? (?:your |the )?\{(?P<side>affected|other)\}",
    re.IGNORECASE,
)


def check_facts(library: Library) -> Iterator[Finding]:
    """Say where words and figure of an exercise contradict each other."""
    yield from each_exercise(library, _of_exercise, library.settings.language)
    for (code, language), words in library.translations.items():
        original = library.exercises.get(code)
        if original is None or words.entry.status == "retired":
            continue
        turned = _turned(translated(original.entry, words.entry))
        if turned > 0 and turned > _turned(original.entry) + 1:
            yield _order_finding(words, language)


def _order_finding(loaded: Loaded[Any], language: str) -> Finding:
    return Finding(
        "error",
        "captions-out-of-order",
        "The first caption speaks of the steps and the last one of the start: they are in the wrong order.",
        "Give each pose the caption of its own moment.",
        loaded.source.place(("figure", "poses") if language == "en" else ("figure",)),
    )


def _of_exercise(loaded: Loaded[Exercise], language: str) -> Iterator[Finding]:
    if _turned(loaded.entry) > 0:
        yield _order_finding(loaded, language)
    if language == "en":
        yield from _posture(loaded)
        yield from _captions(loaded)
        yield from _arrow(loaded)


@cache
def _content(text: str) -> frozenset[str]:
    return frozenset(word[:5] for word in words_of(re.sub(r"\{[a-z_]+\}", " ", text)) if len(word) > 3)


def _turned(exercise: Exercise) -> int:
    """Tell by how many words the captions would fit setup and steps better the other way round."""
    captions = [pose.caption or "" for pose in exercise.figure.poses]
    if len(captions) < 2:
        return 0
    first, last = _content(captions[0]), _content(captions[-1])
    setup = frozenset[str]().union(*map(_content, exercise.setup))
    steps = frozenset[str]().union(*map(_content, exercise.steps))
    as_is = len(first & setup) + len(last & steps)
    turned = len(last & setup) + len(first & steps)
    return turned - as_is


def _posture(loaded: Loaded[Exercise]) -> Iterator[Finding]:
    exercise = loaded.entry
    family = position_family(exercise.position)
    for index, line in enumerate(exercise.setup):
        wrong = _other_posture(line, family)
        if wrong:
            yield Finding(
                "error",
                "posture-contradicts",
                f"“{line}” is not the position of this exercise ({exercise.position.replace('_', ' ')}).",
                "Correct the line, or `position:` and the figure.",
                loaded.source.place(("setup", index)),
            )
    posture = exercise.position
    for index, pose in enumerate(exercise.figure.poses):
        posture = pose.posture or posture
        if pose.caption and _other_posture(pose.caption, position_family(posture)):
            yield Finding(
                "error",
                "posture-contradicts",
                f"The caption “{pose.caption}” is under a figure in {posture.replace('_', ' ')}.",
                "Correct the caption or the posture.",
                loaded.source.place(("figure", "poses", index, "caption")),
            )


def _other_posture(line: str, family: str) -> bool:
    for pattern, families in POSTURES:
        if pattern.search(line):
            return family not in families
    return False


def _captions(loaded: Loaded[Exercise]) -> Iterator[Finding]:
    for index, pose in enumerate(loaded.entry.figure.poses):
        caption = pose.caption or ""
        turns = _turns(pose)
        tips = _AWAY_OR_TOWARDS.search(caption)
        if (
            tips
            and loaded.entry.sides == "one"
            and len(turns) == 1
            and _TIPS_TO[tips["way"].lower()] not in turns
        ):
            yield Finding(
                "error",
                "turned-to-other-side",
                f"The caption says “{tips[0]}”, and the drawing tips the head the other way.",
                "Correct the caption or the joints.",
                loaded.source.place(("figure", "poses", index, "caption")),
            )
        match = _TURN.search(caption)
        if match and len(turns) == 1 and match["side"] not in turns:
            yield Finding(
                "error",
                "turned-to-other-side",
                f"The caption turns to the {match['side']} side, the drawing to the {min(turns)} one.",
                "Correct the caption or the joints.",
                loaded.source.place(("figure", "poses", index, "caption")),
            )


def _turns(pose: Pose) -> set[str]:
    found: set[str] = set()
    for part in ("neck", "trunk", "thoracic", "lumbar"):
        stated = getattr(pose.joints, part, None) if pose.joints else None
        angles = (
            stated.model_dump(exclude_none=True)
            if stated is not None and hasattr(stated, "model_dump")
            else {}
        )
        for name, angle in angles.items():
            side = name.rpartition("_")[2]
            if side in ("affected", "other") and angle and part in ("neck", "trunk"):
                found.add(side)
    return found


def _arrow(loaded: Loaded[Exercise]) -> Iterator[Finding]:
    exercise = loaded.entry
    arrows = exercise.figure.arrow
    moved = frozenset(role for pose in exercise.figure.poses[1:] for role in sides_moved(pose))
    if len(arrows) == 1 and exercise.sides == "one" and len(moved) == 1:
        side = arrows[0].partition(" ")[0]
        if side in ("affected", "other") and side not in moved:
            yield Finding(
                "error",
                "arrow-on-other-limb",
                f"The arrow points at the {side} side, the drawing moves the {min(moved)} one.",
                "Put the arrow on the limb that moves.",
                loaded.source.place(("figure", "arrow")),
            )
