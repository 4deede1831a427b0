"""The parts of a body that can be dragged in a drawing, and where they are in it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from limberleaf.desk.write.posing.choices import posing_layout
from limberleaf.desk.write.posing.saying import contact_words
from limberleaf.desk.write.words import DeskWords
from limberleaf.diagrams.draw import Drawing
from limberleaf.diagrams.solving.asked.state import posture_touches
from limberleaf.diagrams.solving.solved import SolvedFigure, SolvedPose

HANDLES: Mapping[str, tuple[str, str, tuple[str, ...]]] = {
    "foot": ("ball", "heel", ("hip.flexion", "hip.abduction", "knee.flexion")),
    "knee": ("knee", "knee", ("hip.flexion", "hip.abduction")),
    "hand": ("wrist", "knuckle", ("shoulder.flexion", "shoulder.abduction", "elbow.flexion")),
    "elbow": ("elbow", "elbow", ("shoulder.flexion", "shoulder.abduction")),
}
"""What can be dragged: the two named points it lies between, and the motions that follow."""


def handles_of(drawing: Drawing, number: int) -> Iterator[dict[str, Any]]:
    """Give the handles of a panel with their places as shares of the picture, from its left and its top."""
    pose, frame = drawing.solved.poses[number], drawing.pictures[number].frame
    affected = drawing.solved.affected
    for word, side in (("affected", affected), ("other", "left" if affected == "right" else "right")):
        for part in HANDLES:
            x, y = drawing.camera.project(handle_place(pose, part, side))[0]
            share = [(x - frame.left) / frame.width, (y - frame.top) / frame.height]
            yield {"part": f"{word} {part}", "x": round(float(share[0]), 4), "y": round(float(share[1]), 4)}


def handle_place(pose: SolvedPose, part: str, side: str) -> Any:
    """Give where a handle is on the body (3,), in H."""
    one, two, _ = HANDLES[part]
    points = pose.posed.points
    return (points[f"{one}_{side}"] + points[f"{two}_{side}"]) / 2


_STAND_FOR = {"gripping hand": "hand", "flat of foot": "foot"}
"""Parts of a solved pose that an author calls otherwise."""


def touching(solved: SolvedFigure, number: int, handle: str, words: DeskWords) -> dict[str, Any]:
    """Say what the end of a limb touches in a panel, and which part the posture or an earlier panel laid there.

    `handle` is its name, such as “affected hand”; `given` is empty where only this panel says so.
    """
    pose, said = solved.poses[number], solved.spec.poses[number]
    side, _, limb = handle.partition(" ")
    mine = {f"{side} {part}" for part in posing_layout()["near"][limb]}

    def end(name: str) -> str:
        real, _, part = name.partition(" ")
        return f"{'affected' if real == solved.affected else 'other'} {_STAND_FOR.get(part, part)}"

    if number and not said.posture:
        earlier = [one.part for one in solved.poses[number - 1].contacts]
    else:
        earlier = [one.name for one in posture_touches(pose.posture, solved.lead)]
    touches = [
        contact_words(end(one.part), one.kind, one.place, words)
        for one in pose.contacts
        if end(one.part) in mine
    ]
    return {
        "touches": list(dict.fromkeys(touches)),
        "given": next((end(name) for name in earlier if end(name) in mine), ""),
    }
