"""What is dragged in a drawing, written as angles of that limb or as a contact where a foot is let go on the ground."""

from __future__ import annotations

import copy
from collections.abc import Mapping
from typing import Any, TypeVar

import numpy as np
from pydantic import ValidationError

from limberleaf.desk.answers import Asked
from limberleaf.desk.write.form.fields import typed
from limberleaf.desk.write.posing.handles import HANDLES
from limberleaf.desk.write.posing.shown import build_of, drawing_at_rest, figure_of, shown
from limberleaf.desk.write.workspace import RefusedToWriteError
from limberleaf.diagrams.adults import with_build
from limberleaf.diagrams.body.kinematics import posed
from limberleaf.diagrams.body.skeleton import skeleton
from limberleaf.diagrams.language.spec import FigureSpec
from limberleaf.diagrams.posing import solve_figure
from limberleaf.diagrams.scene.camera import Camera
from limberleaf.diagrams.solving.solved import SolvedPose

Spec = dict[str, Any]
_Number = TypeVar("_Number", int, float)

STEP = 5.0
"""Degrees to which dragged angles are rounded; nobody writes 63."""
ON_GROUND = 0.04
"""How near the ground (in H) a foot that is let go is meant to stand on it."""

NEAR = 0.03
"""How far (in H) a dragged part may end up from the pointer before another motion of the limb joins in."""


def dragged(asked: Asked) -> dict[str, Any]:
    """Let a limb follow what was dragged, and give the figure that says so, shown."""
    spec: dict[str, Any] = copy.deepcopy(typed(FigureSpec, asked.get("figure")) or {})
    number, handle = number_of(asked.get("panel"), int), str(asked.get("part") or "")
    word, _, part = handle.partition(" ")
    if part not in HANDLES or word not in ("affected", "other"):
        raise RefusedToWriteError("Drag a hand, an elbow, a knee or a foot.")
    try:
        solved = solve_figure(figure_of(asked, spec), remedies=False, build=build_of(asked))
    except ValidationError:
        return shown(asked)
    drawing = drawing_at_rest({"rest": spec, **asked})
    if drawing is None or not 0 <= number < min(len(drawing.pictures), len(solved.poses)):
        raise RefusedToWriteError("That panel is no longer there; the figure has changed.")
    frame = drawing.pictures[number].frame
    goal = np.array(
        [
            frame.left + number_of(asked.get("x"), float) * frame.width,
            frame.top + number_of(asked.get("y"), float) * frame.height,
        ]
    )
    side = "right" if word == "affected" else "left"
    with with_build(solved.build):
        angles, height = _follow(solved.poses[number], drawing.camera, part, side, goal)
    stated = _state(spec, number, word, angles)
    on_ground = (
        part == "foot" and bool(asked.get("drop")) and height - solved.poses[number].ground < ON_GROUND
    )
    if on_ground:
        stated += _stand(spec, number, word)
    return {**shown({**asked, "figure": spec}), "figure": spec, "stated": stated}


def _follow(
    pose: SolvedPose, camera: Camera, part: str, side: str, goal: Any
) -> tuple[dict[tuple[str, str], float], float]:
    """Turn the joints of a limb so that the part meets a place on paper, and give angles and height as `_turn` does.

    Bending alone is tried first: nobody who lifts a knee in a picture from the side means to spread the hip as well.
    """
    names = HANDLES[part][2]
    bending = tuple(name for name in names if not name.endswith(".abduction"))
    angles, height, miss = _turn(pose, camera, part, side, goal, bending)
    if miss > NEAR:
        angles, height, _ = _turn(pose, camera, part, side, goal, names)
    return angles, height


def _turn(
    pose: SolvedPose, camera: Camera, part: str, side: str, goal: Any, names: tuple[str, ...]
) -> tuple[dict[tuple[str, str], float], float, float]:
    """Turn some joints towards a place on paper: damped least squares, the least turn.

    Gives the angles in degrees by joint and motion, how high the part ends up and how far from the place, in H.
    """
    one, two, _ = HANDLES[part]
    body = skeleton()
    motions = [f"{name.split('.')[0]}_{side}.{name.split('.')[1]}" for name in names]
    index = [body.index[name] for name in motions]
    low = np.radians([body.motions[i].soft[0] for i in index])
    high = np.radians([body.motions[i].soft[1] for i in index])
    q, base = np.array(pose.posed.q, dtype=float), pose.posed.base

    def place(vector: Any) -> Any:
        points = posed(vector, base).points
        return (points[f"{one}_{side}"] + points[f"{two}_{side}"]) / 2

    for _ in range(12):
        here = place(q)
        miss = (goal - camera.project(here)[0]) / camera.scale
        if float(np.hypot(*miss)) < 0.004:
            break
        turns = np.empty((2, len(index)))
        for column, i in enumerate(index):
            moved = q.copy()
            moved[i] += 1e-3
            turns[:, column] = (
                (camera.project(place(moved))[0] - camera.project(here)[0]) / camera.scale / 1e-3
            )
        seen = np.linalg.norm(turns, axis=0)
        easy = np.diag(
            (seen / max(float(seen.max()), 1e-9)) ** 4
        )  # joints that turn in the paper's plane go first
        step = easy @ turns.T @ np.linalg.solve(turns @ easy @ turns.T + 4e-4 * np.eye(2), miss)
        q[index] = np.clip(q[index] + np.clip(step, -0.5, 0.5), low, high)
    end = place(q)
    left = float(np.hypot(*(goal - camera.project(end)[0]))) / camera.scale
    before = pose.posed.angles
    found = {}
    for name, motion, i in zip(names, motions, index, strict=True):
        degrees = float(np.degrees(q[i]))
        if abs(degrees - before[motion]) >= STEP / 2:
            joint, word = name.split(".")
            found[joint, word] = round(degrees / STEP) * STEP
    return found, float(end[1]), left


def _state(spec: Spec, number: int, word: str, angles: Mapping[tuple[str, str], float]) -> list[str]:
    """Write angles into a pose as an author would, and say them."""
    stated = []
    body = skeleton()
    limb = spec["poses"][number].setdefault("joints", {}).setdefault(word, {})
    for (joint, motion), degrees in angles.items():
        opposite = body.motions[body.index[f"{joint}_right.{motion}"]].opposite  # the same on both sides
        own = limb.setdefault(joint, {})
        for one in (motion, opposite):
            own.pop(one, None)
        name = motion if degrees >= 0 else opposite
        own[name] = int(abs(degrees))
        stated.append(f"{word} {joint} {name} {abs(degrees):.0f}")
    _tidy(spec["poses"][number])
    return stated


def _stand(spec: Spec, number: int, word: str) -> list[str]:
    """Say that a foot stands on the floor: the contact carries the hip, so only the knee stays stated."""
    pose = spec["poses"][number]
    part = f"{word} foot"
    others = [one for one in pose.get("contacts", []) if one.get("part") not in (part, f"{word} heel")]
    pose["contacts"] = [*others, {"part": part, "on": "floor"}]
    pose.get("joints", {}).get(word, {}).pop("hip", None)
    _tidy(pose)
    return [f"{part} on floor"]


def _tidy(pose: Spec) -> None:
    """Leave no empty mapping behind."""
    joints = pose.get("joints", {})
    for where in [where for where, limb in joints.items() if not limb]:
        del joints[where]
    if not joints:
        pose.pop("joints", None)


def number_of(value: object, kind: type[_Number]) -> _Number:
    """Read a number a page sent; refuse what is none."""
    try:
        return kind(str(value or 0))
    except ValueError:
        raise RefusedToWriteError("Where the drag ended is no number.") from None
