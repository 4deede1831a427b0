"""Words of movement against the poses: captions and first steps that bend what the drawing straightens.

English. The phrases and what they do to a joint are data (data/movement_words.yml).
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache
from itertools import pairwise
from typing import NamedTuple

from limberleaf.checks.each import each_exercise
from limberleaf.clinical.pose_facts import Angles, angles_of, angles_of_posture
from limberleaf.data_files import data_of
from limberleaf.findings import Finding
from limberleaf.library import Exercise, Library, Loaded
from limberleaf.library.yaml.source import Loc

LEAST_DEGREES = 4
"""A change of a joint below this counts as none."""

_SENTENCE = re.compile(r"[^.!?]+")
_AND = re.compile(r",| and | as you ")


class Says(NamedTuple):
    """A phrase for a movement and what it does to a joint."""

    pattern: re.Pattern[str]
    joint: str
    motion: str
    turns: str


@cache
def phrases() -> tuple[Says, ...]:
    """Read the phrases."""
    return tuple(
        Says(re.compile(row["says"], re.IGNORECASE), row["joint"], row["motion"], row["turns"])
        for row in data_of(__package__, "movement_words.yml")
    )


@cache
def _comes_back() -> re.Pattern[str]:
    return re.compile(data_of(__package__, "compared_words.yml")["way_back_begins"], re.IGNORECASE)


def check_movement(library: Library) -> Iterator[Finding]:
    """Report captions and first steps that move a joint the other way than the poses do."""
    if library.settings.language == "en":
        yield from each_exercise(library, _of_exercise, "en")


def _of_exercise(loaded: Loaded[Exercise], _: str) -> Iterator[Finding]:
    figure = loaded.entry.figure
    panels = [angles_of_posture(figure.poses[0]), *angles_of(figure)]
    for index, (pose, (before, after)) in enumerate(zip(figure.poses, pairwise(panels), strict=True)):
        loc: Loc = ("figure", "poses", index, "caption")
        yield from _against(loaded, pose.caption or "", loc, before, after, "The caption")
    if len(figure.poses) > 1 and figure.poses[1].posture is None:
        yield from _first_step(loaded, panels[1], panels[2])


def _first_step(loaded: Loaded[Exercise], before: Angles, after: Angles) -> Iterator[Finding]:
    """Compare the first step that names a movement, unless the first panel shows it done already."""
    shown = loaded.entry.figure.poses[0].caption or ""
    done: dict[tuple[str, str], str] = {}
    for index, step in enumerate(loaded.entry.steps):
        if done and _comes_back().search(step):
            return
        found = [says for says in phrases() if says.pattern.search(step)]
        if any(done.get((says.joint, says.motion), says.turns) != says.turns for says in found):
            return
        if found:
            if not done and any(says.pattern.search(shown) for says in found):
                return
            done |= {(says.joint, says.motion): says.turns for says in found}
            yield from _against(loaded, step, ("steps", index), before, after, "The step")


def _against(
    loaded: Loaded[Exercise], text: str, loc: Loc, before: Angles, after: Angles, what: str
) -> Iterator[Finding]:
    for sentence in _SENTENCE.findall(text):
        for part in _AND.split(sentence):
            for says in phrases():
                if says.pattern.search(part) and _goes_other_way(says, sentence, before, after):
                    yield Finding(
                        "error",
                        "movement-other-way",
                        f"{what} says “{part.strip()}”, and the joints of the figure move the other way.",
                        "Correct the words, or the angles of the two poses; they may have been swapped.",
                        loaded.source.place(loc),
                    )
                    return


def _goes_other_way(says: Says, sentence: str, before: Angles, after: Angles) -> bool:
    named = [side for side in ("affected", "other") if f"{{{side}}}" in sentence]
    sides = named if len(named) == 1 else ["affected", "other"]
    if says.joint in ("neck", "lumbar", "lean"):
        sides = [""]
    changes = [_change(says, side, before, after) for side in sides]
    wanted = -1 if says.turns in ("less", "middle") else 1
    return any(wanted * change <= -LEAST_DEGREES for change in changes) and not any(
        wanted * change >= LEAST_DEGREES for change in changes
    )


def _change(says: Says, side: str, before: Angles, after: Angles) -> float:
    if says.motion == "elevation":
        return _raised(side, says.joint, after) - _raised(side, says.joint, before)
    ends = [panel.get((side, says.joint, says.motion), 0.0) for panel in (before, after)]
    if says.turns in ("apart", "middle"):
        ends = [abs(end) for end in ends]
    return ends[1] - ends[0]


def _raised(side: str, joint: str, panel: Angles) -> float:
    return max(abs(panel.get((side, joint, motion), 0.0)) for motion in ("flexion", "abduction"))
