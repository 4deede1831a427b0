"""Posing a figure from the screen: a figure as typed, solved and drawn, with all that sliders and handles need.

The writer works on the body whose affected side is the right one. What a hand or foot is dragged to is written in joint
angles of that limb, rounded as the trade writes them, or as a contact where it is let go on the ground.
"""

from __future__ import annotations

import copy
from collections.abc import Callable, Iterator, Mapping
from functools import cache
from typing import Any, TypeVar, get_args

import numpy as np
from pydantic import ValidationError

from limberleaf.desk.answers import Asked
from limberleaf.desk.write.form.fields import bare, typed
from limberleaf.desk.write.form.form_words import FormWords, form_words
from limberleaf.desk.write.words import DeskWords, desk_words
from limberleaf.desk.write.workspace import RefusedToWriteError
from limberleaf.diagrams.body.kinematics import posed
from limberleaf.diagrams.body.skeleton import Motion, Side, skeleton
from limberleaf.diagrams.describing.describe import describe
from limberleaf.diagrams.draw import Drawing, draw_figure
from limberleaf.diagrams.language.spec import FigureSpec, Movement, View
from limberleaf.diagrams.language.words import part_rows, posture_rows, prop_rows
from limberleaf.diagrams.posing import solve_figure
from limberleaf.diagrams.remedies import apply_fix
from limberleaf.diagrams.scene.camera import Camera
from limberleaf.diagrams.solving.solved import Problem, SolvedPose
from limberleaf.library.models.exercise import drawn_as

Spec = dict[str, Any]
_Number = TypeVar("_Number", int, float)

STEP = 5.0
"""Degrees to which dragged angles are rounded; nobody writes 63."""
ON_GROUND = 0.04
"""How near the ground (in H) a foot that is let go is meant to stand on it."""

NEAR = 0.03
"""How far (in H) a dragged part may end up from the pointer before another motion of the limb joins in."""

_HANDLES: Mapping[str, tuple[str, str, tuple[str, ...]]] = {
    "foot": ("ball", "heel", ("hip.flexion", "hip.abduction", "knee.flexion")),
    "knee": ("knee", "knee", ("hip.flexion", "hip.abduction")),
    "hand": ("wrist", "knuckle", ("shoulder.flexion", "shoulder.abduction", "elbow.flexion")),
    "elbow": ("elbow", "elbow", ("shoulder.flexion", "shoulder.abduction")),
}
"""What can be dragged: the two named points it lies between, and the motions that follow."""
_GIRDLE = {"shoulder_girdle": "scapula"}
_PARTS = ("pelvis", "lumbar", "thoracic", "neck")


def questions(language: Callable[[], str]) -> Mapping[str, Any]:
    """Give the questions of the figure's part of the page; captions are in the library's `language`."""

    def of_figure(answer: Callable[[Asked], dict[str, Any]]) -> Callable[[Asked], dict[str, Any]]:
        return lambda asked: answer({**asked, "captions": language()})

    return {
        "figure": of_figure(shown),
        "drag": of_figure(dragged),
        "fix": of_figure(with_fix),
        "figure-words": figure_words,
    }


# --- what is shown -------------------------------------------------------------------------------------------------


def shown(asked: Asked) -> dict[str, Any]:
    """Solve and draw a figure as typed; its findings, joints and handles go with it."""
    spec = typed(FigureSpec, asked.get("figure")) or {}
    side: Side = "left" if asked.get("side") == "left" else "right"
    try:
        figure = FigureSpec.model_validate(spec)
    except ValidationError as error:
        return {"problems": [_invalid(one) for one in error.errors(include_url=False)], "panels": []}
    figure = drawn_as(str(asked.get("kind")), figure)
    solved = solve_figure(figure, side, str(asked.get("captions") or "en"))
    style = "print" if asked.get("grey") else "screen"
    drawing = draw_figure(solved, style=style, one_sided=asked.get("sides") != "both")
    alts = describe(solved, "en", {"affected": "affected", "other": "other"})
    words = desk_words(str(asked.get("language") or "en"))
    form = form_words("exercise", words)
    return {
        "problems": [_problem(figure, one, form) for one in drawing.problems],
        "panels": [_panel(drawing, number, alts[number]) for number in range(len(solved.poses))],
        "joints": [
            list(_joints(pose, spec["poses"][number], words)) for number, pose in enumerate(solved.poses)
        ],
    }


def _invalid(error: Mapping[str, Any]) -> dict[str, Any]:
    return {
        "loc": list(error["loc"]),
        "severity": "error",
        "code": "figure-not-whole",
        "message": str(error["msg"]).removeprefix("Value error, "),
        "hint": "",
        "fix": "",
    }


def _problem(figure: FigureSpec, problem: Problem, form: FormWords) -> dict[str, Any]:
    """Give a problem in the words of the form; its way out is a button, so the hint does not say it again."""
    hint, _, fix = problem.hint.partition("Tried, and it works: ")
    fix = fix.rstrip(".")
    helps = bool(fix) and apply_fix(figure, int(problem.path[1]), fix) is not None
    loc = ("figure", *problem.path)
    return {
        "loc": list(problem.path),
        "severity": problem.severity,
        "code": problem.code,
        "message": form.say(problem.message, loc),
        "hint": form.say(hint if helps else problem.hint, loc),
        "fix": fix if helps else "",
        "fix_says": form.say(fix, loc) if helps else "",
    }


def _panel(drawing: Drawing, number: int, alt: str) -> dict[str, Any]:
    pose, frame = drawing.solved.poses[number], drawing.pictures[number].frame
    handles = []
    for word, side in (("affected", drawing.solved.affected), ("other", _other(drawing.solved.affected))):
        for part in _HANDLES:
            x, y = drawing.camera.project(_handle(pose, part, side))[0]
            share = [(x - frame.left) / frame.width, (y - frame.top) / frame.height]
            handles.append(
                {"part": f"{word} {part}", "x": round(float(share[0]), 4), "y": round(float(share[1]), 4)}
            )
    return {"svg": drawing.panel_svg(number, title=alt, id_prefix=f"pose-{number}-"), "handles": handles}


def _other(side: str) -> str:
    return "left" if side == "right" else "right"


def _handle(pose: SolvedPose, part: str, side: str) -> Any:
    one, two, _ = _HANDLES[part]
    points = pose.posed.points
    return (points[f"{one}_{side}"] + points[f"{two}_{side}"]) / 2


@cache
def _motions() -> tuple[Motion, ...]:
    return tuple(one for one in skeleton().motions if not one.name.startswith("root."))


def _joints(pose: SolvedPose, stated: Spec, words: DeskWords) -> Iterator[dict[str, Any]]:
    """Give every joint with its motions: range, present angle, and whether the writer stated it."""
    for motion in _motions():
        place = _place(motion)
        if place is None:
            continue
        where, joint = place
        value = pose.posed.angles[motion.name]
        joints = stated.get("joints") or {}
        own = (joints.get(where) or {}).get(joint) if where != joint else joints.get(joint)
        both = (joints.get("both") or {}).get(joint) or {}
        word, opposite = _words(motion)
        is_stated = any(one in (own or {}) or (where != joint and one in both) for one in (word, opposite))
        yield {
            "where": where,
            "joint": joint,
            "word": word,
            "opposite": opposite,
            "label": words.joint(joint),
            "up": words.motion(word, joint),
            "down": words.motion(opposite, joint),
            "low": -_limit(motion, opposite=True),
            "high": _limit(motion),
            "value": round(value),
            "stated": is_stated,
        }


def _limit(motion: Motion, *, opposite: bool = False) -> int:
    low, high = motion.hard
    return min(round(abs(low if opposite else high)), 180)


def _place(motion: Motion) -> tuple[str, str] | None:
    joint = motion.joint
    for side, word in (("_right", "affected"), ("_left", "other")):
        if joint.endswith(side):
            name = joint.removesuffix(side)
            return word, _GIRDLE.get(name, name)
    return (joint, joint) if joint in _PARTS else None


def _words(motion: Motion) -> tuple[str, str]:
    def written(word: str) -> str:
        if motion.joint == "pelvis" and word.startswith("side_tilt"):
            word = word.replace("side_tilt_right", "hitch_other").replace("side_tilt_left", "hitch_affected")
        return word.replace("_right", "_affected").replace("_left", "_other")

    return written(motion.word), written(motion.opposite)


def _number(value: object, kind: type[_Number]) -> _Number:
    """Read a number a page sent; refuse what is none."""
    try:
        return kind(str(value or 0))
    except ValueError:
        raise RefusedToWriteError("Where the drag ended is no number.") from None


# --- dragging ------------------------------------------------------------------------------------------------------


def dragged(asked: Asked) -> dict[str, Any]:
    """Let a limb follow what was dragged, and give the figure that says so, shown."""
    spec: Spec = copy.deepcopy(typed(FigureSpec, asked.get("figure")) or {})
    number, handle = _number(asked.get("panel"), int), str(asked.get("part") or "")
    word, _, part = handle.partition(" ")
    if part not in _HANDLES or word not in ("affected", "other"):
        raise RefusedToWriteError("Drag a hand, an elbow, a knee or a foot.")
    try:
        figure = FigureSpec.model_validate(spec)
    except ValidationError:
        return shown(asked)
    figure = drawn_as(str(asked.get("kind")), figure)
    solved = solve_figure(figure)
    drawing = draw_figure(solved, one_sided=asked.get("sides") != "both")
    if not 0 <= number < len(drawing.pictures):
        raise RefusedToWriteError("That panel is no longer there; the figure has changed.")
    frame = drawing.pictures[number].frame
    goal = np.array(
        [
            frame.left + _number(asked.get("x"), float) * frame.width,
            frame.top + _number(asked.get("y"), float) * frame.height,
        ]
    )
    side = "right" if word == "affected" else "left"
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
    names = _HANDLES[part][2]
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
    one, two, _ = _HANDLES[part]
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


def with_fix(asked: Asked) -> dict[str, Any]:
    """Take the way out that a finding advises, which the solver has tried, and show what comes of it."""
    spec = typed(FigureSpec, asked.get("figure")) or {}
    try:
        figure = FigureSpec.model_validate(spec)
        changed = apply_fix(figure, int(asked.get("panel") or 0), str(asked.get("fix") or ""))
    except (ValueError, IndexError):
        changed = None
    if changed is None:
        raise RefusedToWriteError("That way out is no longer there; the figure has changed.")
    return {**shown({**asked, "figure": changed}), "figure": changed}


# --- words ---------------------------------------------------------------------------------------------------------


def figure_words(asked: Asked) -> dict[str, Any]:
    """Give what the page chooses from: postures and props with their pictures, views, parts, places."""
    words = desk_words(str(asked.get("language") or "en"))
    postures = [
        [name, words.posture(name), f"assets/guide/postures-{name.replace('_', '-')}.svg"]
        for name in posture_rows()
    ]
    props = [
        [name, words.prop(name), f"assets/guide/props-{name.replace('_', '-')}.svg"] for name in prop_rows()
    ]
    places = ["floor", "wall", "chair seat", *(name.replace("_", " ") for name in prop_rows())]
    return {
        "postures": postures,
        "props": props,
        "views": [[one, words.option("view", one)] for one in get_args(View)],
        "parts": sorted(_parts(), key=lambda one: _GROUPS.index(one[1])),
        "places": list(dict.fromkeys(places)),
        "movements": [[one, words.option("movement", one)] for one in get_args(Movement)],
        "insets": [
            [one, words.option("inset", one)]
            for one in get_args(bare(FigureSpec.model_fields["inset"].annotation))
        ],
    }


_GROUPS = ("affected_leg", "affected_arm", "other_leg", "other_arm", "both_leg", "both_arm", "trunk")
_LIMBS = {"thigh": "leg", "shank": "leg", "foot": "leg", "toes": "leg"} | dict.fromkeys(
    ("upper_arm", "forearm", "hand", "fingers"), "arm"
)


def _parts() -> Iterator[tuple[str, str]]:
    """Give the parts of the body that can touch or be marked, each with the limb it is listed under."""
    for name, row in part_rows().items():
        limb = _LIMBS.get(row["samples"][0][0], "")
        for side in ("affected", "other", "both") if row.get("paired") else ("",):
            plural = row.get("plural", f"{name}s") if side == "both" else name
            yield f"{side} {plural}".strip(), f"{side}_{limb}" if side and limb else "trunk"


def drawn_panels(figure: FigureSpec, *, one_sided: bool) -> list[str]:
    """Draw the panels of a figure for the comparison of an approval, as SVG."""
    solved = solve_figure(figure)
    drawing = draw_figure(solved, one_sided=one_sided)
    alts = describe(solved, "en", {"affected": "affected", "other": "other"})
    return [drawing.panel_svg(number, title=alt) for number, alt in enumerate(alts)]
