"""Straight or bent, in words against the drawing: a knee or an elbow that is said to be one is so in some panel.

In the languages of data/joint_words.yml. A caption is held to what its own panel states first, then as any line to the
panels it could mean. Angles that nothing states are those of the posture, and 0 where it says none.
"""

from __future__ import annotations

import re
from collections.abc import Container, Iterable, Iterator
from functools import cache
from itertools import pairwise
from typing import NamedTuple

from limberleaf.checks.each import each_in_its_words
from limberleaf.clinical.drawing import position_family
from limberleaf.clinical.pose_facts import Angles, angles_of
from limberleaf.clinical.text_facts import without_vowel_marks
from limberleaf.data_files import data_of
from limberleaf.diagrams.language.spec import FigureSpec, Pose
from limberleaf.findings import Finding
from limberleaf.library import Exercise, Library, Translation
from limberleaf.library.yaml.source import Loc, Source

MOST_STRAIGHT = 30
"""Degrees of flexion above which nobody calls a joint straight or almost straight (common practice, no source)."""

LEAST_BENT = 12
"""Degrees of flexion below which a bend is not seen in a drawing (common practice, no source)."""

SURELY_BENT, SURELY_STRAIGHT = 45, 10
"""Degrees that a panel states from which, and below which, its own caption cannot say the other (common practice, no
source)."""

_HAND = re.compile(r"\b(?:hands?|fingers?|fingertips?|palms?|forearms?|fists?)\b")
_FOOT = re.compile(r"\b(?:foot|feet|heels?|toes?|sole)\b")
_SENTENCE = re.compile(r"[^.!?;؟؛]+")


class _Words(NamedTuple):
    """How a language says straight and bent."""

    says: tuple[tuple[re.Pattern[str], str], ...]
    on_the_way: re.Pattern[str]
    spared: re.Pattern[str]
    order: re.Pattern[str]


class _Claim(NamedTuple):
    """What some words say of a joint: `side` is empty for either; `is_way` where a movement towards it is enough.

    `is_order` where it tells to bend or to straighten, or to keep it so, and not which one is meant: “the bent knee”.
    """

    words: str
    start: int
    joint: str
    side: str
    state: str
    is_way: bool
    is_order: bool


@cache
def _words(language: str) -> _Words | None:
    row = data_of(__package__, "joint_words.yml").get(language)
    if row is None:
        return None
    part = f"(?:(?P<knee>{row['knee']})|(?P<elbow>{row['elbow']})){row.get('after', '')}"
    says = tuple(
        (re.compile(way.replace("<whose>", row["whose"]).replace("<part>", part), re.IGNORECASE), state)
        for state in ("straight", "bent")
        for way in row[state]
    )
    on_the_way, spared, order = (
        re.compile(row[name], re.IGNORECASE) for name in ("on_the_way", "spared", "order")
    )
    return _Words(says, on_the_way, spared, order)


def check_straight(library: Library) -> Iterator[Finding]:
    """Report knees and elbows that words bend or straighten and no panel does."""
    yield from each_in_its_words(library, lambda entry: entry.figure, _in_entry)


def _in_entry(
    entry: Exercise | Translation, source: Source, figure: FigureSpec, language: str
) -> Iterator[Finding]:
    panels = angles_of(figure)
    texts: list[tuple[Loc, str, list[Angles]]] = [
        ((key, index), text, panels)
        for key in ("setup", "steps", "in_short")
        for index, text in enumerate(getattr(entry, key))
    ]
    for index, (loc, caption) in enumerate(_captions(entry)[: len(panels)]):
        own = figure.poses[index], panels[index]
        wrong = next((one for one in _claims(caption, language) if _against(one, *own)), None)
        if wrong:
            yield Finding(
                "error",
                "straight-or-bent",
                f"The caption says “{wrong.words}”, the drawing has it {_other(wrong.state)}.",
                "Correct the caption or the joints.",
                source.place(loc),
            )
        else:
            texts.append((loc, caption, panels[max(index - 1, 0) : index + 2]))
    for loc, text, shown in texts:
        for claim in _claims(text, language):
            resting = _resting(figure, claim.joint) if claim.state == "bent" else set()
            if not _is_shown(claim, shown, resting):
                yield Finding(
                    "error",
                    "straight-or-bent",
                    f"“{claim.words}” is said here, and the drawing has the {claim.joint} {_other(claim.state)} in "
                    "each panel that it could mean.",
                    "Correct the words, or the flexion of that joint.",
                    source.place(loc, offset=claim.start),
                )


def _captions(entry: Exercise | Translation) -> list[tuple[Loc, str]]:
    if isinstance(entry, Translation):
        return [(("figure", index), text) for index, text in enumerate(entry.figure.captions)]
    return [
        (("figure", "poses", index, "caption"), pose.caption or "")
        for index, pose in enumerate(entry.figure.poses)
    ]


def _other(state: str) -> str:
    return "bent" if state == "straight" else "straight"


def _claims(written: str, language: str) -> Iterator[_Claim]:
    words, text = _words(language), without_vowel_marks(written)
    for sentence in _SENTENCE.finditer(text) if words else ():
        if words is None or words.spared.search(sentence[0]):
            continue
        for pattern, state in words.says:
            for match in pattern.finditer(text, sentence.start(), sentence.end()):
                marked = f"{text[sentence.start() : match.start()]}|{text[match.start() : sentence.end()]}"
                yield _Claim(
                    match[0].strip(),
                    match.start() if text == written else 0,
                    "knee" if match["knee"] else "elbow",
                    match["side"] or "",
                    state,
                    bool(words.on_the_way.search(match[0])),
                    bool(words.order.search(marked)),
                )


def _against(claim: _Claim, pose: Pose, panel: Angles) -> bool:
    """Tell whether every angle that a caption's own panel states of the joint it means makes it surely the other.

    A limb that the panel leaves as it was may be the one that is meant, but not by an order: that is for the limb whose
    angle the panel states.
    """
    limbs = {"both", claim.side} if claim.side else {"both", "affected", "other"}
    angles = [angle for limb, angle in _stated(pose, claim.joint) if limb in limbs]
    may_rest = not claim.is_order or bool(claim.side)
    if not angles or (may_rest and _is_shown(claim._replace(is_way=False), [panel], ())):
        return False
    return min(angles) >= SURELY_BENT if claim.state == "straight" else max(angles) < SURELY_STRAIGHT


def _stated(pose: Pose, joint: str) -> Iterator[tuple[str, float]]:
    """Give the flexion that a pose itself states of a joint, with its limb: affected, other or both."""
    for limb in ("affected", "other", "both"):
        joints = getattr(pose.joints, limb, None) if pose.joints else None
        stated = getattr(joints, joint, None) if joints is not None else None
        flexion = getattr(stated, "flexion", None) if stated is not None else None
        if isinstance(flexion, int | float):
            yield limb, flexion


def _resting(figure: FigureSpec, joint: str) -> set[str]:
    """Give the sides whose hand (elbow) or foot (knee) is put on something, and of whose joint no pose says more.

    What a limb is put on bends it; how far, only the drawing knows. A foot on the floor below somebody who stands does
    not, unless the hip or the ankle is said to bend, or the body to lean.
    """
    ends = _HAND if joint == "elbow" else _FOOT
    stands = joint == "knee" and _stands_straight(figure)
    parts = [
        contact.part
        for pose in figure.poses
        for contact in pose.contacts
        if not contact.release and not (stands and contact.on == "floor")
    ]
    put = _sides(part.split(maxsplit=1)[0] for part in parts if ends.search(part))
    return put - _sides(limb for pose in figure.poses for limb, _ in _stated(pose, joint))


def _stands_straight(figure: FigureSpec) -> bool:
    """Tell whether all poses stand, and nothing but the knees could bend a leg whose foot is on the floor."""
    names = [pose.posture for pose in figure.poses if pose.posture]
    moved = any(
        pose.directions or any(True for joint in ("hip", "ankle") for _ in _stated(pose, joint))
        for pose in figure.poses
    )
    return bool(names) and not moved and all(position_family(name) == "on_feet" for name in names)


def _sides(limbs: Iterable[str]) -> set[str]:
    found = {*limbs}
    return {"affected", "other"} if "both" in found else found


def _is_shown(claim: _Claim, panels: list[Angles], resting: Container[str]) -> bool:
    """Tell whether some panel has it so, or, for “straighten” and “gets straight”, goes a good way towards it.

    On the side of a `resting` limb it counts as shown.
    """
    for side in [claim.side] if claim.side else ["affected", "other"]:
        if side in resting:
            return True
        angles = [panel.get((side, claim.joint, "flexion"), 0.0) for panel in panels]
        if claim.state == "bent":
            shown = max(angles) >= LEAST_BENT
        else:
            on_the_way = any(one - two >= LEAST_BENT for one, two in pairwise(angles))
            shown = min(angles) <= MOST_STRAIGHT or (on_the_way and claim.is_way)
        if shown:
            return True
    return False
