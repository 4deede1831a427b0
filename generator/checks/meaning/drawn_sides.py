"""The figure is about the side and part that the words are about: things, arrows, colours; steps have a real height."""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import pairwise

from limberleaf.checks.each import each_exercise
from limberleaf.clinical.pose_facts import angles_of
from limberleaf.diagrams.language.spec import Prop
from limberleaf.findings import Finding
from limberleaf.library import Exercise, Library, Loaded

STEP_HEIGHTS = (0.05, 0.14)
"""In body heights of 1.7 m. Stairs of homes rise 0.15 to 0.22 m (Approved Document K, England, from memory)."""

PARTS = {
    "leg": ("hip", "knee", "ankle"),
    "arm": ("scapula", "shoulder", "elbow", "forearm", "wrist", "fingers"),
}
_BEARS_ELBOW = ("scapula", "shoulder")
_OF_LEG = re.compile(r"\b(?:foot|feet|heel|heels|toes?|knee|shin|calf|thigh|ankle|leg)\b")
_OF_ARM = re.compile(r"\b(?:hand|hands|fingers?|fingertip|elbow|forearm|wrist|arm|palm|fist)\b")
_BODY = re.compile(
    r"\b(?:knee|heel|foot|toes?|ankle|thigh|calf|shin|elbow|forearm|head|forehead|wrist|waist)\b"
)
_ALSO = {
    "ball of foot": ("foot", "toe", "toes"),
    "foot": ("foot", "toes", "toe"),
    "forehead": ("forehead", "head"),
}
_SIDE = re.compile(r"\{(affected|other)\}")


def check_drawn_sides(library: Library) -> Iterator[Finding]:
    """Report things drawn on another side or part than the words name, and arrows and colours on what does not move."""
    yield from each_exercise(library, _of_exercise, library.settings.language)


def _of_exercise(loaded: Loaded[Exercise], language: str) -> Iterator[Finding]:
    exercise = loaded.entry
    for index, prop in enumerate(exercise.figure.props):
        if prop.kind == "step" and prop.height and not STEP_HEIGHTS[0] <= prop.height <= STEP_HEIGHTS[1]:
            yield _finding(
                loaded,
                ("figure", "props", index, "height"),
                "step-height",
                f"A step of {prop.height} body heights ({prop.height * 170:.0f} cm) is no step of a stair.",
                "Steps at home are 15 to 22 cm: write 0.09 to 0.13, or leave `height:` out.",
            )
        if language == "en":
            yield from _prop(loaded, index, prop)
    yield from _highlight(loaded)
    yield from _arrow(loaded)


def _prop(loaded: Loaded[Exercise], index: int, prop: Prop) -> Iterator[Finding]:
    exercise = loaded.entry
    at = prop.under or prop.around
    if not at:
        return
    word = "towel" if prop.kind == "towel" else (prop.name or prop.kind).replace("_", " ")
    captions = [pose.caption or "" for pose in exercise.figure.poses]
    sentences = [part for line in (*exercise.setup, *exercise.steps, *captions) for part in line.split(".")]
    lines = [line for line in sentences if re.search(rf"\b{word}|\broll\b", line.lower())]
    side, _, part = at.partition(" ") if at.split()[0] in ("affected", "other", "both") else ("", "", at)
    named = {min(sides) for sides in (set(_SIDE.findall(line)) for line in lines) if len(sides) == 1} - {side}
    if side in ("affected", "other") and named and exercise.sides == "one":
        yield _finding(
            loaded,
            ("figure", "props", index),
            "thing-on-other-side",
            f"The words put the {word} on the {min(named)} side, the drawing on the {side} one.",
            "Correct the words, or where it is drawn.",
        )
    parts = {found for line in lines for found in _BODY.findall(line.lower())}
    if parts and not parts & {part, *_ALSO.get(part, ())}:
        yield _finding(
            loaded,
            ("figure", "props", index),
            "thing-on-other-part",
            f"The words put the {word} at the {' or '.join(sorted(parts))}, the drawing at the {part}.",
            "Correct the words, or where it is drawn.",
        )


def _highlight(loaded: Loaded[Exercise]) -> Iterator[Finding]:
    exercise = loaded.entry
    for index, part in enumerate(exercise.figure.highlight):
        if exercise.sides == "one" and part.startswith("other "):
            yield _finding(
                loaded,
                ("figure", "highlight", index),
                "colour-on-other-side",
                f"The figure marks “{part}” as where it is felt; the page is about the affected side.",
                "Mark the affected side, or leave `highlight:` out.",
            )


def _arrow(loaded: Loaded[Exercise]) -> Iterator[Finding]:
    figure = loaded.entry.figure
    panels = angles_of(figure)
    if len(panels) < 2 or any(pose.posture for pose in figure.poses[1:]):
        return
    moved = {
        (side, joint, motion)
        for before, after in pairwise(panels)
        for side, joint, motion in {*before, *after}
        if abs(before.get((side, joint, motion), 0) - after.get((side, joint, motion), 0)) >= 4
    }
    if not moved or any(joint == "lean" for _, joint, _ in moved):
        return
    for index, part in enumerate(figure.arrow):
        if not _moves(part, moved):
            still = ", ".join(sorted({f"{one} {joint}".strip() for one, joint, _ in moved}))
            yield _finding(
                loaded,
                ("figure", "arrow", index) if len(figure.arrow) > 1 else ("figure", "arrow"),
                "arrow-on-still-limb",
                f"The arrow is on “{part}”, which does not move between the panels; what moves is: {still}.",
                "Put the arrow on the part that moves.",
            )


def _moves(part: str, moved: set[tuple[str, str, str]]) -> bool:
    """Tell whether a part of a limb moves; true for what is no limb."""
    limb = "leg" if _OF_LEG.search(part) else "arm" if _OF_ARM.search(part) else ""
    side = part.split(maxsplit=1)[0]
    sides = (side,) if side in ("affected", "other") else ("affected", "other")
    if not limb:
        return True
    if part.endswith("elbow"):  # a turn of the upper arm about itself leaves the elbow where it is
        moved = {one for one in moved if one[1] != "shoulder" or "rotation" not in one[2]}
        return any(not one or (one in sides and joint in _BEARS_ELBOW) for one, joint, _ in moved)
    return any(one in sides and joint in PARTS[limb] for one, joint, _ in moved) or (
        limb == "leg" and any(joint == "pelvis" for _, joint, _ in moved)
    )


def _finding(
    loaded: Loaded[Exercise], loc: tuple[str | int, ...], code: str, message: str, hint: str
) -> Finding:
    return Finding("error", code, message, hint, loaded.source.place(loc))
