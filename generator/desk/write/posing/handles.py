"""The parts of a body that can be dragged in a drawing, and where they are in it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from limberleaf.diagrams.draw import Drawing
from limberleaf.diagrams.solving.solved import SolvedPose

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
