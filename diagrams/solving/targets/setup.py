"""What the solver starts from: target angles, their prior weights, limits, what is frozen.

Also the first guesses that spare an author words: an arm lifted towards a wall, a leg lifted on to a chair, fingers
closed round a stick, a wall that stands where the hands reach it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from limberleaf.diagrams.body.kinematics import Kinematics, forward
from limberleaf.diagrams.body.skeleton import SIDES, Array, Side, skeleton
from limberleaf.diagrams.language.joint_words import limb_angles
from limberleaf.diagrams.language.spec_joints import Limb
from limberleaf.diagrams.language.words import prop_rows, read_part, sides_of
from limberleaf.diagrams.solving.algebra.two_bone import SHANK, THIGH
from limberleaf.diagrams.solving.asked.pose import PLAIN_SWING
from limberleaf.diagrams.solving.asked.state import State, Touch, held_leg, kept_lean
from limberleaf.diagrams.solving.props.aids import AIDS, ARM, FRAME_ARM
from limberleaf.diagrams.solving.settings import factor, prior, stiffness, tolerance
from limberleaf.diagrams.solving.touching.contacts import (
    facing,
    plane_of,
)
from limberleaf.diagrams.solving.touching.holding import holders, kept_by_body
from limberleaf.diagrams.solving.touching.places import World, samples

_RISE = 0.05  # H; a foot that stands so much higher than the other starts from a lifted leg
# Bend of hip and shoulder at which the limb is level or vertical, by base position, in degrees.
_AIMS: Mapping[str, Mapping[tuple[str, str], float]] = {
    "upright": {
        ("level", "hip"): 90,
        ("level", "shoulder"): 90,
        ("vertical", "hip"): 0,
        ("vertical", "shoulder"): 0,
    },
    "supine": {
        ("level", "hip"): 0,
        ("level", "shoulder"): 175,
        ("vertical", "hip"): 90,
        ("vertical", "shoulder"): 90,
    },
    "prone": {
        ("level", "hip"): 0,
        ("level", "shoulder"): 175,
        ("vertical", "hip"): 90,
        ("vertical", "shoulder"): 90,
    },
}


@dataclass(frozen=True)
class Working:
    """One pose while the figure is being solved."""

    state: State
    base: Array
    base_name: str
    q: Array
    kin: Kinematics
    steps: int
    frozen: NDArray[np.bool_]


def base_name(state: State) -> str:
    """Return the name of the base orientation; lying on a side, the lead side is on top."""
    name = str(state.row["base"])
    if name == "side":
        return "left_side" if state.lead == "right" else "right_side"
    return name


def steps_forward(state: State, before: Working | None) -> bool:
    """Say whether a pose is a step: the same stance, with the other foot in front."""
    return (
        before is not None
        and "aside" in state.row
        and state.posture == before.state.posture
        and state.lead != before.state.lead
    )


def target_motions(state: State, before: Working | None, world: World) -> Array:
    """Return the motions a pose aims at (radians, root in H): what it states over what it keeps over its posture."""
    body = skeleton()
    q = np.zeros(len(body.motions))
    for name, value in state.targets.items():
        if not name.startswith("root."):
            q[body.index[name]] = math.radians(value)
    if before is not None and before.state.posture == state.posture:
        q[:3] = before.q[:3]
        if steps_forward(state, before):
            q[:3] += before.base[:, 0] * float(state.row["stance"])
    else:
        q[:3] = state.row.get("at", [0, 0.53, 0])
        q[1] += world.ground
        if before is not None:
            q[0], q[2] = before.q[0], before.q[2]
    return q


@cache
def _usual_weights() -> Array:
    """Return the weight with which the prior holds every motion to its target, before a pose says more."""
    body = skeleton()
    out = np.empty(len(body.motions))
    sideways = ("side_bend_right", "rotation_right", "ulnar_deviation", "inversion", "protraction")
    for i, motion in enumerate(body.motions):
        stem = motion.joint.removesuffix("_left").removesuffix("_right")
        value = stiffness(stem)
        if motion.word in sideways:
            value *= factor("sideways")
        out[i] = prior() * value
    out[1] = prior() * factor("root_height")
    return out


@cache
def _arm_motions(side: Side) -> NDArray[np.intp]:
    joints = (f"shoulder_{side}", f"elbow_{side}", f"shoulder_girdle_{side}")
    return np.array([i for i, motion in enumerate(skeleton().motions) if motion.joint in joints])


def prior_weights(state: State) -> Array:
    """Return the weight with which the prior holds every motion to its target."""
    body = skeleton()
    out = _usual_weights().copy()
    busy = {touch.limb for touch in state.touches}
    for side in SIDES:
        if f"arm_{side}" not in busy:
            out[_arm_motions(side)] *= factor("hanging_arm")
    if state.headings:
        out[body.index["pelvis.anterior_tilt"]] *= factor("leaning_pelvis")
    if kept_lean(state) is not None:
        tilted = "pelvis.anterior_tilt" in state.stated
        out[body.index["lumbar.flexion" if tilted else "pelvis.anterior_tilt"]] *= factor("curved_pelvis")
    for name, share in state.row.get("stiffness", {}).items():
        for i, motion in enumerate(body.motions):
            if motion.name.startswith(name):
                out[i] *= float(share)
    return out


@cache
def last_shares() -> Array:
    """Return how much of each prior weight remains in the last solves: the trunk gives way less than the limbs."""
    trunk = ("pelvis", "lumbar", "thoracic", "neck", "shoulder_girdle")
    return np.array(
        [factor("last_trunk" if m.joint.startswith(trunk) else "last_limbs") for m in skeleton().motions]
    )


def motion_limits(targets: Array, loaded: set[str], stated: Mapping[str, float]) -> tuple[Array, Array]:
    """Return the box for the free motions: the soft range, widened where the posture itself goes further.

    An arm whose swing is stated in one plane stays near it: extension must not become an arm overhead by the side.
    """
    body = skeleton()
    low, high = _usual_limits()
    low, high = low.copy(), high.copy()
    for name in loaded:
        motion, i = body.motions[body.index[name]], body.index[name]
        if motion.loaded_soft is not None:
            high[i] = math.radians(motion.loaded_soft)
        if motion.joint.startswith("wrist"):
            low[i] = math.radians(-90.0)
    low[3:] = np.minimum(low[3:], targets[3:])
    high[3:] = np.maximum(high[3:], targets[3:])
    leave = math.radians(tolerance("plane_of_arm"))
    for side in SIDES:
        pair = (f"shoulder_{side}.flexion", f"shoulder_{side}.abduction")
        for one, other in (pair, pair[::-1]):
            if abs(stated.get(one, 0.0)) > PLAIN_SWING and other not in stated:
                i = body.index[other]
                low[i], high[i] = targets[i] - leave, targets[i] + leave
        _keep_leg_in_plane(side, targets, stated, low, high)
    return low, high


def _keep_leg_in_plane(
    side: Side, targets: Array, stated: Mapping[str, float], low: Array, high: Array
) -> None:
    """Keep a leg whose hip and knee are stated near its plane: a heel that cannot rest so is a finding, not a leg
    that rolls out."""
    words = ("flexion", "abduction", "internal_rotation")
    hip = [f"hip_{side}.{word}" for word in words]
    if hip[0] not in stated or f"knee_{side}.flexion" not in stated or {hip[1], hip[2]} & set(stated):
        return
    leave = math.radians(tolerance("plane_of_leg"))
    for name in hip[1:]:
        i = skeleton().index[name]
        low[i], high[i] = targets[i] - leave, targets[i] + leave


@cache
def _usual_limits() -> tuple[Array, Array]:
    """Return the soft range of every motion, root places wide; knees and elbows do not bend backwards by themselves."""
    body = skeleton()
    limits = np.radians([motion.soft for motion in body.motions])
    limits[:3] = (-9.0, 9.0)
    for side in SIDES:
        for joint in ("knee", "elbow"):
            limits[body.index[f"{joint}_{side}.flexion"], 0] = 0.0
    return limits[:, 0], limits[:, 1]


def frozen_motions(state: State) -> NDArray[np.bool_]:
    """Return which motions the solver may not touch: the stated ones, and turns of the pelvis."""
    body = skeleton()
    out = np.zeros(len(body.motions), dtype=bool)
    for name in state.stated:
        out[body.index[name]] = True
    free = set(state.row.get("free", ()))
    for name in ("pelvis.side_tilt_right", "pelvis.rotation_right"):
        if name not in free:
            out[body.index[name]] = True
    return out


def loaded_motions(state: State, world: World) -> set[str]:
    """Return the motions that weight pushes further: ankles under the body, wrists under the hands."""
    out: set[str] = set()
    for touch in state.touches:
        if touch.side is None or plane_of(touch, world) is None:
            continue
        if touch.part in ("foot", "flat of foot", "toe", "ball of foot", "heel"):
            out |= {f"ankle_{touch.side}.dorsiflexion", f"toes_{touch.side}.extension"}
        if touch.part == "hand":
            out.add(f"wrist_{touch.side}.flexion")
    return out


def stand_walls(state: State, world: World, targets: Array, base: Array) -> None:
    """Give every wall that a pose touches its plane, where the touching parts would be by themselves."""
    for thing in world.things:
        if thing.row["shape"] not in ("wall", "doorway") or thing.plane is not None:
            continue
        touching = [t for t in state.touches if t.kind == "on" and world.find(t.place) is thing]
        if not touching:
            continue
        normal, kin = facing(touching[0], thing, base), forward(targets, base)
        values = [
            float(normal @ kin.place(s.segment, s.at)) - s.radius
            for t in touching
            for s in samples(t.part, t.side)
        ]
        # The part that is nearest to the body decides: the others can reach further.
        thing.plane = (normal, max(values) if normal @ base[:, 0] > 0 else float(np.mean(values)))


def aim(state: State, targets: Array) -> None:
    """Start a limb that must be level or vertical from the bend that the base position suggests."""
    body = skeleton()
    base = str(state.row["base"])
    for heading in state.headings:
        motion = {"arm": "shoulder", "upper arm": "shoulder", "leg": "hip", "thigh": "hip"}.get(heading.part)
        if motion is None or heading.kind not in ("level", "vertical") or base == "side":
            continue
        name = f"{motion}_{heading.side}.flexion"
        if name not in state.stated:
            targets[body.index[name]] = np.radians(_AIMS[base][heading.kind, motion])


@cache
def _reach_angles(kind: str, way: str, side: Side) -> dict[str, float]:
    """Return how an arm is lifted towards a kind of prop, in degrees by motion name."""
    return limb_angles(side, Limb.model_validate(prop_rows()[kind][way]))


def reach(state: State, world: World, targets: Array) -> None:
    """Lift an arm towards a wall, table or worktop that its hand touches, when the author states none of its angles."""
    body = skeleton()
    for touch in state.touches:
        thing = world.find(touch.place)
        if (
            thing is None
            or touch.side is None
            or not (touch.part == "hand" or touch.place.endswith(" back"))
            or not touch.author
            or touch.kind != "on"
        ):
            continue
        arm = (f"shoulder_{touch.side}", f"elbow_{touch.side}")
        lifted = any(name.startswith(arm) for name in state.stated)
        # With the arm's own angles stated a wall still turns the palm, or the fingers may point at the reader.
        if "reach" in thing.row and (not lifted or thing.row["shape"] == "wall"):
            aside = thing.prop is not None and thing.prop.beside is not None and "reach_aside" in thing.row
            way = "reach_back" if touch.place.endswith(" back") else ("reach_aside" if aside else "reach")
            for name, value in _reach_angles(thing.kind, way, touch.side).items():
                if not (lifted and name.startswith(arm)) and name not in state.stated:
                    targets[body.index[name]] = math.radians(value)


def stand_forearm(state: State, world: World, targets: Array) -> None:
    """Turn an arm that is out to the side so that its forearm stands up along the wall or door frame it rests on."""
    body = skeleton()
    for touch in state.touches:
        thing = world.find(touch.place)
        turn = f"shoulder_{touch.side}.internal_rotation"
        if thing is None or touch.part != "forearm" or thing.row["shape"] not in ("wall", "doorway"):
            continue
        arm = (f"shoulder_{touch.side}", f"elbow_{touch.side}")
        if thing.row["shape"] == "wall" and not any(name.startswith(arm) for name in state.stated):
            targets[body.index[f"shoulder_{touch.side}.flexion"]] = math.radians(82.0)
            targets[body.index[f"elbow_{touch.side}.flexion"]] = math.radians(100.0)
            continue
        aside = targets[body.index[f"shoulder_{touch.side}.abduction"]] > math.radians(45.0)
        if aside and turn not in state.stated:
            targets[body.index[turn]] = math.radians(-85.0)


def draw_up(state: State, targets: Array) -> None:
    """Bend the leg of somebody lying whose hands hold its shin, knee or thigh, when its angles are open."""
    body = skeleton()
    for touch in state.touches:
        held = held_leg(touch)
        if held is None or state.row["base"] not in ("supine", "side"):
            continue
        for name, degrees in ((f"hip_{held}.flexion", 110.0), (f"knee_{held}.flexion", 120.0)):
            motion = body.index[name]
            if name not in state.stated and targets[motion] < math.radians(90.0):
                straight = f"knee_{held}.flexion" in state.stated and name.startswith("hip")
                targets[motion] = math.radians(80.0 if straight else degrees)


def _other_height(touch: Touch, state: State, world: World) -> float:
    """Return the height of what the other foot stands on; the ground when it stands on nothing."""
    for other in state.touches:
        plane = plane_of(other, world)
        if (
            other.limb.startswith("leg")
            and other.side != touch.side
            and plane is not None
            and plane.normal[1] > 0.5
        ):
            return plane.value
    return world.ground


def step_up(state: State, world: World, targets: Array) -> None:
    """Lift a leg forward on to what its foot rests on, when its hip is open."""
    body = skeleton()
    for touch in state.touches:
        thing = world.find(touch.place)
        low = touch.limb.startswith("leg") and touch.part in ("foot", "heel", "ankle", "toe", "ball of foot")
        if thing is None or not touch.author or not low or state.row["base"] != "upright":
            continue
        behind = thing.prop is not None and thing.prop.behind is not None
        hip, knee = f"hip_{touch.side}.flexion", f"knee_{touch.side}.flexion"
        rise = thing.top_of(touch.place) - _other_height(touch, state, world)
        shaped = thing.row["shape"] in ("seat", "box", "table", "stairs")
        if hip in state.stated or behind or rise < _RISE or not shaped:
            continue
        if abs(np.degrees(targets[body.index[hip]])) > 10:
            continue
        if knee in state.stated:
            reach = (THIGH + SHANK) * float(np.cos(targets[body.index[knee]] / 2))
            targets[body.index[hip]] = (
                np.arccos(np.clip(1 - rise / reach, -1, 1)) + targets[body.index[knee]] / 2
            )
        else:
            turn = np.arccos(np.clip(1 - rise / (2 * THIGH), -1, 1))
            targets[body.index[hip]], targets[body.index[knee]] = turn * 1.25, turn


def hold_aids(state: State, world: World, targets: Array) -> None:
    """Bring a hand that holds a walking aid to where it is held, and an arm out over the roll under it, where open."""
    body = skeleton()
    for thing in world.things:
        rolled = kept_by_body(thing, state) if thing.prop is not None and thing.prop.under else None
        for side in sides_of(read_part(rolled).side, "right", state.lead) if rolled else ():
            motion = f"shoulder_{side}.abduction"
            if motion not in state.stated:
                targets[body.index[motion]] = math.radians(18.0)
        if thing.row["shape"] not in AIDS:
            continue
        for side in holders(thing, state):
            for name, degrees in (FRAME_ARM if thing.row["shape"] == "frame" else ARM).items():
                motion = name.replace("@", side)
                if motion not in state.stated:
                    targets[body.index[motion]] = math.radians(degrees)


def grip(state: State, world: World, targets: Array) -> None:
    """Close the fingers of a hand that holds something."""
    body = skeleton()
    for thing in world.things:
        for side in holders(thing, state):
            name = f"fingers_{side}.flexion"
            if name not in state.stated and thing.row["shape"] != "ball":
                targets[body.index[name]] = math.radians(80.0)
    for touch in state.touches:
        if touch.kind == "holding" and touch.side and world.find(touch.place) is None:
            targets[body.index[f"fingers_{touch.side}.flexion"]] = math.radians(45.0)
