"""From a figure as an author wrote it to solved bodies: the order of work.

1. `pose.py` reads each pose into wanted and frozen angles, contacts and directions, on top of the pose before.
2. A first solve meets contacts, directions and limits from the posture's own defaults.
3. Props are placed under what rests on them. Rows that need a solved body are added: contacts that stay where they were,
   balance over the feet, palms turned to what they hold, nothing inside a prop.
4. A second solve with them and a weaker pull to the defaults, so that contacts are exact; once more if that put
   something else inside a prop.
5. Angles are rounded to 0.01 degree; contacts, support and problems are measured from the rounded body alone.

The affected side is solved as the right one; for the left the result is mirrored.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache

import numpy as np

from diagrams.body import BASES, SIDES, Array, Kinematics, Side, forward, posed, skeleton
from diagrams.checks import check_figure, check_world
from diagrams.checks_overlap import crossings
from diagrams.contacts import (
    PALM_AT,
    Plane,
    facing,
    heading_error,
    heading_rows,
    gap_rows,
    limb_rows,
    palm_rows,
    plane_of,
    plane_rows,
    report,
    shared_targets,
    surface_of,
    where_rows,
)
from diagrams.least_squares import Answer, Balance, Rows, Task, minimise
from diagrams.mirror import mirror_pose, mirror_problem, swap_spec
from diagrams.places import UP, World, make_world, samples, segment_number
from diagrams.pose import State, Touch, first_state, limb_angles, next_state
from diagrams.props import (
    Scene,
    body_samples,
    fixed_point,
    holders,
    inside,
    is_carried,
    is_thing,
    place_carried,
    place_standing,
    sample_places,
)
from diagrams.solved import PlacedProp, Problem, SolvedFigure, SolvedPose
from diagrams.spec import FigureSpec, Limb
from diagrams.two_bone import SHANK, THIGH, arm_seed
from diagrams.support import edges, margin, outline, spread
from diagrams.words import posture_rows, prop_rows, read_part, sides_of

# How strongly each motion is drawn to its default, relative to 0.02 H per radian (common practice: stiff trunk and
# girdle, easy limbs, so that a reaching arm does not bend the back).
_STIFFNESS = {
    "root": 1.0,
    "pelvis": 3.0,
    "lumbar": 7.0,
    "thoracic": 9.0,
    "neck": 4.0,
    "shoulder_girdle": 4.0,
    "shoulder": 1.0,
    "elbow": 1.0,
    "forearm": 1.2,
    "wrist": 1.5,
    "fingers": 3.0,
    "hip": 1.5,
    "knee": 1.0,
    "ankle": 1.5,
    "toes": 2.0,
}
_PULL = 0.02
_INSET = 0.022  # H; how far inside its support the mass centre is kept
_RISE = 0.15  # H; a foot on something higher than a stair starts from a lifted leg
_MISSED = 0.004  # H; an arm that misses by more is tried again from a closed-form seed
_GAP = 0.035  # H; nearer than this a part comes down on what lies under it
_ROUNDS = 4  # solves after the first: each may find something newly inside a prop or another limb
_PIN, _SLIDE = 3.0, 0.6  # weight that keeps a grip on its spot, and a resting part near it
_NEAR = 0.01  # H; things nearer than this are kept from going into each other
_LAST_PULL, _TRUNK_PULL = 0.15, 0.5  # share of the pull in the last solves
# The hollow of the back and the flat sides of the pelvis come nearer to the floor than their round outline says.
_FLATTENED = {"spine_2": 0.8, "hip": 0.5}
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
_POINTS_ABOVE = (
    "head_centre",
    "spine_2",
    "spine_5",
    "shoulder",
    "elbow",
    "wrist",
    "knuckle",
    "fingertip",
    "hip",
    "knee",
    "ankle",
    "heel",
    "ball",
    "toe",
)


@dataclass(frozen=True)
class _Solved:
    """One pose while the figure is being solved."""

    state: State
    base: Array
    base_name: str
    q: Array
    kin: Kinematics
    steps: int
    frozen: Array


def base_name(state: State) -> str:
    """Return the name of the base orientation; lying on a side, the lead side is on top."""
    name = str(state.row["base"])
    if name == "side":
        return "left_side" if state.lead == "right" else "right_side"
    return name


def _wanted(state: State, before: _Solved | None, world: World) -> Array:
    body = skeleton()
    q = np.zeros(len(body.motions))
    for name, value in state.wanted.items():
        if not name.startswith("root."):
            q[body.index[name]] = np.radians(value)
    if before is not None and before.state.posture == state.posture:
        q[:3] = before.q[:3]
    else:
        q[:3] = state.row.get("at", [0, 0.53, 0])
        q[1] += world.ground
        if before is not None:
            q[0], q[2] = before.q[0], before.q[2]
    return q


def _pulls(state: State) -> Array:
    body = skeleton()
    out = np.empty(len(body.motions))
    for i, motion in enumerate(body.motions):
        stem = motion.joint.removesuffix("_left").removesuffix("_right")
        value = _STIFFNESS[stem]
        if motion.word in (
            "side_bend_right",
            "rotation_right",
            "ulnar_deviation",
            "inversion",
            "protraction",
        ):
            value *= 2.0
        out[i] = _PULL * value
    busy = {touch.limb for touch in state.touches}
    for side in SIDES:
        if f"arm_{side}" not in busy:
            for i, motion in enumerate(body.motions):
                if motion.joint in (f"shoulder_{side}", f"elbow_{side}", f"shoulder_girdle_{side}"):
                    out[i] *= 8.0  # a hanging arm is no counterweight
    out[1] = _PULL * 0.1
    if state.headings:
        out[body.index["pelvis.anterior_tilt"]] *= 0.2
    for name, share in state.row.get("stiffness", {}).items():
        for i, motion in enumerate(body.motions):
            if motion.name.startswith(name):
                out[i] *= float(share)
    return out


@cache
def _last_shares() -> Array:
    """Return how much of each pull remains in the last solves: the trunk gives way less than the limbs."""
    trunk = ("pelvis", "lumbar", "thoracic", "neck", "shoulder_girdle")
    return np.array([_TRUNK_PULL if m.joint.startswith(trunk) else _LAST_PULL for m in skeleton().motions])


def _limits(wanted: Array, loaded: set[str]) -> tuple[Array, Array]:
    """Return the box for the free motions: the soft range, widened where the posture itself goes further."""
    body = skeleton()
    low, high = np.empty(len(wanted)), np.empty(len(wanted))
    for i, motion in enumerate(body.motions):
        if i < 3:
            low[i], high[i] = -9.0, 9.0
            continue
        top = motion.soft[1]
        if motion.name in loaded and motion.loaded_soft is not None:
            top = motion.loaded_soft
        if motion.name in loaded and motion.joint.startswith("wrist"):
            low[i], high[i] = np.radians(-90.0), np.radians(top)
        else:
            low[i], high[i] = np.radians(motion.soft[0]), np.radians(top)
        low[i], high[i] = min(low[i], wanted[i]), max(high[i], wanted[i])
    for side in SIDES:
        i = body.index[f"knee_{side}.flexion"]
        low[i] = min(0.0, wanted[i])
        i = body.index[f"elbow_{side}.flexion"]
        low[i] = min(0.0, wanted[i])
    return low, high


def _frozen(state: State) -> Array:
    body = skeleton()
    out = np.zeros(len(body.motions), dtype=bool)
    for name in state.stated:
        out[body.index[name]] = True
    free = set(state.row.get("free", ()))
    for name in ("pelvis.side_tilt_right", "pelvis.rotation_right"):
        if name not in free:
            out[body.index[name]] = True
    return out


def _loaded(state: State, world: World) -> set[str]:
    """Return the motions that weight pushes further: ankles under the body, wrists under the hands."""
    out: set[str] = set()
    for touch in state.touches:
        if touch.side is None or plane_of(touch, world) is None:
            continue
        if touch.part in ("foot", "toe", "ball of foot", "heel"):
            out |= {f"ankle_{touch.side}.dorsiflexion", f"toes_{touch.side}.extension"}
        if touch.part == "hand":
            out.add(f"wrist_{touch.side}.flexion")
    return out


def _stand_walls(state: State, world: World, kin: Kinematics, base: Array) -> None:
    """Give every wall that a pose touches its plane, where the touching parts would be by themselves."""
    for thing in world.things:
        if thing.row["shape"] not in ("wall", "doorway") or thing.plane is not None:
            continue
        touching = [t for t in state.touches if t.kind == "on" and world.find(t.place) is thing]
        if not touching:
            continue
        normal = facing(touching[0], thing, base)
        values = [
            float(normal @ kin.place(s.segment, s.at)) - s.radius
            for t in touching
            for s in samples(t.part, t.side)
        ]
        # The part that is nearest to the body decides: the others can reach further.
        thing.plane = (normal, max(values) if normal @ base[:, 0] > 0 else float(np.mean(values)))


def _floor_rows(world: World, state: State) -> Rows:
    rows = Rows()
    body = skeleton()
    height = world.ground if state.row.get("lies") else 0.0
    for name in _POINTS_ABOVE:
        for full in (name, f"{name}_left", f"{name}_right"):
            if full in body.point_index:
                i = body.point_index[full]
                segment = int(body.point_segment[i])
                radius = body.radius[full] * _FLATTENED.get(name, 1.0)
                rows.add((segment, body.point_offset[i]), UP, height + radius, one_sided=True)
    for thing in world.things:
        if thing.plane is None:
            continue
        normal, value = thing.plane
        for i, full in enumerate(body.points):
            if thing.row["shape"] == "wall":
                segment = int(body.point_segment[i])
                rows.add(
                    (segment, body.point_offset[i]), normal, value + body.radius[full] * 0.8, one_sided=True
                )
    return rows


def _own_rows(state: State, world: World, base: Array) -> Rows:
    """Return the rows that need no solved body, but for contacts between limbs."""
    rows = _floor_rows(world, state)
    for touch in state.touches:
        plane = plane_of(touch, world)
        if plane is not None:
            rows.extend(plane_rows(touch, plane))
            rows.extend(where_rows(touch, plane, base))
    for heading in state.headings:
        rows.extend(heading_rows(heading, base))
    rows.extend(_squeeze_rows(state, world, base))
    return rows


def _limb_contacts(state: State, world: World, kin: Kinematics | None) -> Rows:
    """Return the rows for limbs that touch limbs: pinned to a spot at first, then free to slide a little."""
    rows = Rows()
    pairs = shared_targets(state.touches)
    for touch in state.touches:
        there = surface_of(touch, world)
        if there is None or plane_of(touch, world) is not None:
            continue
        shared = (touch.place, touch.part) in pairs
        if kin is None:
            rows.extend(limb_rows(touch, there, shared=shared))
            continue
        rows.extend(
            limb_rows(touch, there, shared=shared, weight=_PIN if touch.kind == "holding" else _SLIDE)
        )
        rows.extend(gap_rows(touch, there, kin, shared=shared))
        rows.extend(palm_rows(touch, there, kin, shared=shared))
    return rows


def _squeeze_rows(state: State, world: World, base: Array) -> Rows:
    """Return the rows for a thing squeezed between two limbs or held between two palms."""
    rows = Rows()
    body = skeleton()
    for thing in world.things:
        prop = thing.prop
        between = prop.between if prop is not None else None
        both_hold = len(holders(thing, state)) == 2 and thing.row["shape"] == "ball"
        if between is None and not both_hold:
            continue
        if between in ("knees", "thighs", "feet"):
            name = {"knees": "knee", "thighs": "knee", "feet": "ball"}[between]
            left, right = (body.point_index[f"{name}_{side}"] for side in SIDES)
            gap = thing.size[1] + 2 * (body.radius[f"{name}_right"] or 0.02)
        else:
            left = right = -1
            gap = thing.size[1]
        ends = []
        for i, side in ((right, "right"), (left, "left")):
            hand = (body.segment(f"hand_{side}"), PALM_AT + np.array([0.014, 0.0, 0.0]))
            ends.append(hand if i < 0 else (int(body.point_segment[i]), body.point_offset[i]))
        rows.add(ends[0], base[:, 2], gap, far=ends[1])
        if left < 0:
            rows.add(ends[0], base[:, 0], 0.0, far=ends[1], weight=0.3)
            rows.add(ends[0], base[:, 1], 0.0, far=ends[1], weight=0.3)
    return rows


def _later_rows(
    now: _Solved,
    before: _Solved | None,
    world: World,
    placed: Mapping[str, PlacedProp],
    scenes: Sequence[Scene],
) -> tuple[Rows, Balance | None]:
    """Return the rows that need a solved body: what stays put, palms, held things, nothing inside a prop."""
    rows = Rows()
    rows.extend(_limb_contacts(now.state, world, now.kin))
    for touch in now.state.touches:
        plane = plane_of(touch, world)
        if plane is None:
            continue
        held = _stays(touch, now, before)
        if held is not None:
            for sample in samples(touch.part, touch.side):
                there_at = held.place(sample.segment, sample.at)
                for axis in np.eye(3):
                    level = axis - plane.normal * (plane.normal @ axis)
                    if np.linalg.norm(level) > 0.9:
                        rows.add((sample.segment, sample.at), level, float(level @ there_at))
        rows.extend(_within_rows(touch, plane, placed))
    rows.extend(_held_rows(now, world, scenes))
    return rows, _balance(now, before, world)


def _within_rows(touch: Touch, plane: Plane, placed: Mapping[str, PlacedProp]) -> Rows:
    """Return one-sided rows that keep what rests on a prop inside the edges of its top."""
    rows = Rows()
    prop = placed.get(plane.thing.name) if plane.thing is not None else None
    if prop is None or plane.normal[1] < 0.5 or not prop.blocks:
        return rows
    block = prop.blocks[0]
    for sample in samples(touch.part, touch.side):
        for axis in (0, 2):
            way = block.axes[:, axis]
            reach = float(block.half[axis])
            middle = float(way @ block.centre)
            here = (sample.segment, sample.at)
            rows.add(here, way, middle - reach, one_sided=True)
            rows.add(here, -way, -middle - reach, one_sided=True)
    return rows


def _stays(touch: Touch, now: _Solved, before: _Solved | None) -> Kinematics | None:
    """Return the body whose contact place a touch must keep, if it must."""
    closed = bool(now.state.row.get("closed_chain"))
    leg = touch.limb.startswith("leg")
    if before is None or (now.state.anew and now.state.posture == before.state.posture):
        return now.kin if closed and leg else None
    was = [t for t in before.state.touches if _same_end(t, touch) and t.place == touch.place]
    if not was and leg and touch.place in ("floor", "ground") and now.state.posture != before.state.posture:
        was = [t for t in before.state.touches if _same_end(t, touch) and t.place in ("floor", "ground")]
    if not was:
        return None
    restated = touch.author and touch.path[:2] != was[0].path[:2]
    if leg and touch.limb in now.state.fresh and not closed:
        return None
    if not leg and restated and touch.limb in now.state.fresh:
        return None
    if touch.limb == "trunk" and "pelvis" in now.state.fresh:
        return None
    return before.kin


def _same_end(one: Touch, two: Touch) -> bool:
    """Say whether two touches are the same end of a limb, though a foot may have rolled on to its toes."""
    feet = {"foot", "heel", "toe", "ball of foot"}
    return one.side == two.side and (one.part == two.part or {one.part, two.part} <= feet)


def _held_rows(now: _Solved, world: World, scenes: Sequence[Scene]) -> Rows:
    """Return rows for what hands hold: both hands along a strap to what it is around, fists in line on a stick."""
    rows = Rows()
    body = skeleton()
    for thing in world.things:
        sides = holders(thing, now.state)
        if not sides:
            continue
        shape = thing.row["shape"]
        told = {t.side for t in now.state.touches if t.kind == "holding" and is_thing(t.place, thing)}
        moving = [
            s
            for s in sides
            if s in told
            and not any(
                name.startswith(f"shoulder_{s}") or name.startswith(f"elbow_{s}") for name in now.state.stated
            )
        ]
        fixed = fixed_point(thing, scenes[-1]) if shape in ("line", "roll") else None
        prop = thing.prop
        if fixed is not None and prop is not None and prop.fixed_to not in ("wall", "door"):
            chest = now.kin.place(body.segment("thorax"), np.array([0.03, 0.0, 0.0]))
            way = fixed - chest
            far = float(np.linalg.norm(way))
            spot = chest + way / far * min(0.27, far - 0.06)
            right = now.base[:, 2]
            for side in moving:
                out = {"right": 0.035, "left": -0.035}[side] if len(sides) == 2 else 0.0
                for axis in np.eye(3):
                    rows.add(
                        (segment_number("hand", side), PALM_AT),
                        axis,
                        float(axis @ (spot + right * out)),
                        weight=0.3,
                    )
        if shape == "rod" and len(sides) == 2:
            hands = [now.kin.place(segment_number("hand", side), PALM_AT) for side in SIDES]
            way = hands[1] - hands[0]
            way = way / (np.linalg.norm(way) or 1.0)
            for side in SIDES:
                hand = segment_number("hand", side)
                rows.add((hand, np.array([0.0, 1.0, 0.0])), way, 0.0, far=(hand, np.zeros(3)), weight=0.03)
    return rows


def _outside_rows(now: _Solved, placed: Mapping[str, PlacedProp]) -> tuple[Rows, bool]:
    """Return one-sided rows that keep the body out of the nearest face of each prop, and whether any is pierced."""
    rows = Rows()
    pierced = False
    segments, places, radii = body_samples()
    points = sample_places(now.kin)
    for prop in placed.values():
        if prop.kind in ("pillow", "cushion", "towel", "wall", "doorway", "bed"):
            continue
        for block in prop.blocks:
            deep = inside(block, points, radii + _NEAR)
            pierced = pierced or bool((deep > _NEAR + 0.002).any())
            for i in np.flatnonzero(deep > 0.0):
                local = (points[i] - block.centre) @ block.axes
                gap = block.half - np.abs(local)
                axis = int(np.argmin(gap))
                normal = block.axes[:, axis] * (1.0 if local[axis] >= 0 else -1.0)
                value = float(normal @ block.centre) + block.half[axis] + radii[i]
                rows.add((int(segments[i]), places[i]), normal, value, one_sided=True)
    return rows, pierced


def _apart_rows(now: _Solved) -> tuple[Rows, bool]:
    """Return one-sided rows that keep limbs apart, but for those that mean to touch, and whether any cross."""
    rows = Rows()
    crossed = False
    touching = [_segments_of(touch) for touch in now.state.touches]
    for found in crossings(now.kin, _NEAR):
        if any(set(found.names) <= pair for pair in touching):
            continue
        crossed = crossed or found.gap < -0.004
        near, far = (found.near, found.near_at), (found.far, found.far_at)
        rows.add(near, found.way, found.apart, far=far, one_sided=True)
    return rows, crossed


def _segments_of(touch: Touch) -> set[str]:
    """Return the segments that a touch between limbs brings together."""
    body = skeleton()
    there = surface_of(touch, World())
    out = {body.segments[s.segment] for s in samples(touch.part, touch.side)}
    if there is not None:
        out.add(body.segments[there.segment])
        if touch.part == "hand":
            out.add(f"forearm_{touch.side}")
    return out


def _balance(now: _Solved, before: _Solved | None, world: World) -> Balance | None:
    """Return the wish that the mass centre stays over what stands on the floor."""
    if not now.state.row.get("balance"):
        return None
    body = skeleton()
    points: list[Array] = []
    for touch in now.state.touches:
        if plane_of(touch, world) is None:
            continue
        kin = _stays(touch, now, before) or now.kin
        for sample in samples(touch.part, touch.side):
            across = kin.rotation[sample.segment][:, 2]
            points.extend(spread(kin.place(sample.segment, sample.at), body.segments[sample.segment], across))
    polygon = outline(points)
    if len(polygon) < 3:
        return None
    inward, value = edges(polygon, _INSET)
    return Balance(inward, value, weight=0.8)


def _solve_pose(state: State, world: World, done: list[_Solved]) -> _Solved:
    before = done[-1] if done else None
    name = base_name(state)
    base = BASES[name]
    wanted = _wanted(state, before, world)
    frozen = _frozen(state)
    _aim(state, wanted)
    _reach(state, world, wanted)
    _step_up(state, world, wanted)
    _grip(state, world, wanted)
    _stand_walls(state, world, forward(wanted, base), base)
    low, high = _limits(wanted, _loaded(state, world))
    pull = _pulls(state)
    own = _own_rows(state, world, base)
    pinned = _limb_contacts(state, world, None)
    pinned.extend(own)
    task = Task(base, pinned.pack(), wanted, pull, low, high, frozen)
    first = minimise(task, wanted)
    first = _reseeded(task, first, state, world)
    now = _Solved(state, base, name, first.q, forward(first.q, base), first.steps, frozen)
    rolled = _rolled_feet(now, world)
    if rolled != state:
        own = _own_rows(rolled, world, base)
        pinned = _limb_contacts(rolled, world, None)
        pinned.extend(own)
        again = minimise(replace(task, rows=pinned.pack()), first.q)
        now = replace(now, state=rolled, q=again.q, kin=forward(again.q, base), steps=now.steps + again.steps)
    for _ in range(_ROUNDS):
        scenes = [Scene(s.state, s.kin, s.base) for s in (*done, now)]
        placed = place_standing(world, scenes)
        clear, pierced = _outside_rows(now, placed)
        apart, crossed = _apart_rows(now)
        clear.extend(apart)
        if now.q is not first.q and not pierced and not crossed:
            break
        later, balance = _later_rows(now, before, world, placed, scenes)
        later.extend(own)
        later.extend(clear)
        answer = minimise(
            replace(task, rows=later.pack(), pull=pull * _last_shares(), balance=balance), now.q
        )
        now = replace(now, q=answer.q, kin=forward(answer.q, base), steps=now.steps + answer.steps)
    q = now.q.copy()
    q[3:] = np.radians(np.round(np.degrees(q[3:]), 2))
    q[:3] = np.round(q[:3], 6)
    q[frozen] = wanted[frozen]
    return replace(now, q=q, kin=forward(q, base))


def _aim(state: State, wanted: Array) -> None:
    """Start a limb that must be level or vertical from the bend that the base position suggests."""
    body = skeleton()
    base = str(state.row["base"])
    for heading in state.headings:
        motion = {"arm": "shoulder", "upper arm": "shoulder", "leg": "hip", "thigh": "hip"}.get(heading.part)
        if motion is None or heading.kind not in ("level", "vertical") or base == "side":
            continue
        name = f"{motion}_{heading.side}.flexion"
        if name not in state.stated:
            wanted[body.index[name]] = np.radians(_AIMS[base][heading.kind, motion])


def _reach(state: State, world: World, wanted: Array) -> None:
    """Lift an arm towards a wall, table or worktop that its hand touches, when the author states none of its angles."""
    body = skeleton()
    for touch in state.touches:
        thing = world.find(touch.place)
        if (
            thing is None
            or touch.side is None
            or touch.part != "hand"
            or not touch.author
            or touch.kind != "on"
        ):
            continue
        arm = (f"shoulder_{touch.side}", f"elbow_{touch.side}")
        if "reach" in thing.row and not any(name.startswith(arm) for name in state.stated):
            for name, value in limb_angles(touch.side, Limb.model_validate(thing.row["reach"])).items():
                wanted[body.index[name]] = np.radians(value)


def _step_up(state: State, world: World, wanted: Array) -> None:
    """Lift a leg forward on to what its foot rests on, when its hip is open."""
    body = skeleton()
    for touch in state.touches:
        thing = world.find(touch.place)
        low = touch.limb.startswith("leg") and touch.part in ("foot", "heel", "ankle", "toe", "ball of foot")
        if thing is None or not touch.author or not low or state.row["base"] != "upright":
            continue
        behind = thing.prop is not None and thing.prop.behind is not None
        hip, knee = f"hip_{touch.side}.flexion", f"knee_{touch.side}.flexion"
        rise = thing.top - world.ground
        if hip in state.stated or behind or rise < _RISE or thing.row["shape"] not in ("seat", "box", "table"):
            continue
        if abs(np.degrees(wanted[body.index[hip]])) > 10:
            continue
        if knee in state.stated:
            reach = (THIGH + SHANK) * float(np.cos(wanted[body.index[knee]] / 2))
            wanted[body.index[hip]] = np.arccos(np.clip(1 - rise / reach, -1, 1)) + wanted[body.index[knee]] / 2
        else:
            turn = np.arccos(np.clip(1 - rise / (2 * THIGH), -1, 1))
            wanted[body.index[hip]], wanted[body.index[knee]] = turn * 1.2, turn * 1.2


def _reseeded(task: Task, first: Answer, state: State, world: World) -> Answer:
    """Try again from a closed-form seed for arms that miss what they should touch; return the better answer."""
    kin = forward(first.q, task.base)
    start = first.q.copy()
    missed = False
    for touch in state.touches:
        side, there = touch.side, surface_of(touch, world)
        if (
            side is None
            or there is None
            or not touch.limb.startswith("arm")
            or plane_of(touch, world) is not None
        ):
            continue
        if report(touch, world, kin).error < _MISSED or f"elbow_{side}.flexion" in state.stated:
            continue
        spot = kin.place(there.segment, there.at + there.face * there.radius)
        thorax = kin.rotation[skeleton().segment("thorax")]
        back = kin.origin[skeleton().segment(f"upper_arm_{side}")] - spot
        wrist = spot + back / max(float(np.linalg.norm(back)), 1e-9) * -PALM_AT[1]
        out = 0.7 if side == "right" else -0.7
        for name, value in arm_seed(kin, side, wrist, -thorax[:, 1] + out * thorax[:, 2]).items():
            start[skeleton().index[name]] = value
        missed = True
    if not missed:
        return first
    again = minimise(task, start)
    return replace(again if again.cost < first.cost else first, steps=first.steps + again.steps)


def _rolled_feet(now: _Solved, world: World) -> State:
    """Let a foot whose leg is stated throughout roll on to its heel or toes when it cannot lie flat."""
    touches = list(now.state.touches)
    for i, touch in enumerate(touches):
        stated = all(
            f"{joint}_{touch.side}" in {n.split(".")[0] for n in now.state.stated}
            for joint in ("hip", "knee")
        )
        plane = plane_of(touch, world)
        if touch.part != "foot" or touch.author or plane is None or not stated:
            continue
        heights = [
            float(now.kin.place(s.segment, s.at)[1]) - plane.value for s in samples("foot", touch.side)
        ]
        if max(abs(h) for h in heights) > 0.004:
            touches[i] = replace(touch, part="heel" if heights[0] < heights[1] else "toe")
    return replace(now.state, touches=tuple(touches))


def _grip(state: State, world: World, wanted: Array) -> None:
    """Close the fingers of a hand that holds something."""
    body = skeleton()
    for thing in world.things:
        for side in holders(thing, state):
            name = f"fingers_{side}.flexion"
            if name not in state.stated and thing.row["shape"] != "ball":
                wanted[body.index[name]] = np.radians(80.0)
    for touch in state.touches:
        if touch.kind == "holding" and touch.side and world.find(touch.place) is None:
            wanted[body.index[f"fingers_{touch.side}.flexion"]] = np.radians(45.0)


def _with_props(state: State, world: World) -> State:
    """Add the contacts that props bring: what lies under a part carries it.

    A prop that the posture itself does not come near (a cushion on the calves, a towel under a raised elbow) only
    fills the gap: it is hung where the part is.
    """
    extra: list[Touch] = []
    kept = [_edge_grip(touch, world) for touch in state.touches]
    base = BASES[base_name(state)]
    kin = forward(_wanted(state, None, world), base)
    for thing in world.things:
        prop = thing.prop
        if prop is None or prop.under is None:
            continue
        named = read_part(prop.under)
        for side in sides_of(named.side, "right", state.lead) or (None,):
            touch = Touch(named.part, side, thing.name.lower(), "on", author=True, path=thing.path)
            low = min(float(kin.place(s.segment, s.at)[1]) - s.radius for s in samples(named.part, side))
            if low - thing.top > _GAP:
                thing.base = max(thing.base, low - thing.size[1])
                continue
            if any(t.name == touch.name and t.author for t in kept):
                continue
            kept = [
                t for t in kept if t.author or not (t.name == touch.name or t.limb == touch.limb == "head")
            ]
            if touch.part in ("upper back", "back") and thing.size[1] > _GAP:
                # The shoulders are lifted: the head may hang or be held.
                kept = [t for t in kept if t.author or t.limb != "head"]
            extra.append(touch)
    return replace(state, touches=(*kept, *extra))


def _edge_grip(touch: Touch, world: World) -> Touch:
    """Let a hand on the seat one sits on grip its edge: there is no room for a flat palm beside the hips."""
    thing = world.find(touch.place)
    if touch.part == "hand" and touch.kind == "on" and thing is not None and thing.row.get("edge_grip"):
        return replace(touch, part="gripping hand")
    return touch


def _finish(
    solved: _Solved,
    before: _Solved | None,
    world: World,
    placed: Mapping[str, PlacedProp],
    fixed: Mapping[str, Array],
    caption: str | None,
) -> SolvedPose:
    """Measure a solved pose and put it into plain data."""
    body = skeleton()
    result = posed(solved.q, solved.base)
    contacts = tuple(report(t, world, solved.kin) for t in solved.state.touches)
    scene = Scene(solved.state, solved.kin, solved.base)
    props = list(placed.values())
    for thing in world.things:
        if thing.name not in placed:
            carried = place_carried(thing, scene, fixed.get(thing.name))
            if carried is not None:
                props.append(carried)
    resting = [
        edge
        for c in contacts
        if c.carries
        for point, segment in zip(c.points, c.segments, strict=True)
        for edge in spread(point, segment, result.frames[segment][:, 2])
    ]
    polygon = outline(resting)
    angles = result.angles
    at_limit = tuple(
        m.name
        for i, m in enumerate(body.motions[3:], start=3)
        if not solved.frozen[i] and (m.soft[1] - angles[m.name] < 0.05 or angles[m.name] - m.soft[0] < 0.05)
    )
    moved = (
        ()
        if before is None
        else tuple(
            m.name
            for i, m in enumerate(body.motions[3:], start=3)
            if abs(np.degrees(solved.q[i] - before.q[i])) > 0.5
        )
    )
    return SolvedPose(
        posture=solved.state.posture,
        base_name=solved.base_name,
        posed=result,
        props=tuple(props),
        contacts=contacts,
        stated={k: round(v, 2) for k, v in solved.state.stated.items()},
        free={m.name: angles[m.name] for m in body.motions[3:] if m.name not in solved.state.stated},
        at_limit=at_limit,
        moved=moved,
        support=polygon,
        margin=margin(polygon, result.mass_centre),
        ground=world.ground,
        caption=caption,
        iterations=solved.steps,
        directions={
            f"{h.kind} {h.side + ' ' if h.side else ''}{h.part}": round(heading_error(h, solved.kin), 2)
            for h in solved.state.headings
        },
    )


def _bed_is_furniture(spec: FigureSpec) -> bool:
    """Say whether a bed stands beside the body instead of under it: it has a place, or single contacts name it."""
    placed = any(p.kind == "bed" and (p.in_front_of or p.behind or p.beside) for p in spec.props)
    return placed or any((c.on or "").startswith("bed") for pose in spec.poses for c in pose.contacts)


def _needed_props(spec: FigureSpec, first: State) -> list[str]:
    """Return the kinds of props that the postures need and that contacts name."""
    needed = [str(kind) for kind in first.row.get("props", ())]
    named = {prop.name.lower() for prop in spec.props if prop.name}
    for pose in spec.poses:
        if pose.posture is not None:
            needed.extend(str(kind) for kind in posture_rows()[pose.posture].get("props", ()))
        for contact in pose.contacts:
            place = (contact.on or contact.holding or "").replace("_", " ")
            for kind in prop_rows():
                word = kind.replace("_", " ")
                if place not in named and (place == word or place.startswith(f"{word} ")):
                    needed.append(kind)
    return list(dict.fromkeys(needed))


def solve_figure(spec: FigureSpec, affected: Side = "right") -> SolvedFigure:
    """Return the solved bodies of a figure and everything that is wrong with them.

    `affected` is the side that the words "affected ..." mean. Deterministic; takes a few milliseconds a pose.
    """
    own = spec if affected == "right" else swap_spec(spec)
    states: list[State] = []
    first = first_state(own.poses[0], ("poses", 0))
    row_needs = _needed_props(own, first)
    lies = bool(first.row.get("lies"))
    world = make_world(own.props, row_needs, lies=lies and not _bed_is_furniture(own))
    problems: list[Problem] = []
    done: list[_Solved] = []
    for number, pose in enumerate(own.poses):
        if number == 0:
            state = first
        else:
            reached = {m.name: float(np.degrees(done[-1].q[i])) for i, m in enumerate(skeleton().motions)}
            state = next_state(done[-1].state, pose, ("poses", number), reached)
        state = _with_props(state, world)
        state, missing = check_world(state, world)
        problems.extend(missing)
        states.append(state)
        done.append(_solve_pose(state, world, done))
    scenes = [Scene(s.state, s.kin, s.base) for s in done]
    placed = place_standing(world, scenes)
    fixed: dict[str, Array] = {}
    poses: list[SolvedPose] = []
    for number, solved in enumerate(done):
        for thing in world.things:
            prop = thing.prop
            moves = prop is None or prop.fixed_to not in ("wall", "door")
            if is_carried(thing, scenes) and (moves or thing.name not in fixed):
                point = fixed_point(thing, scenes[number])
                if point is not None:
                    fixed[thing.name] = point
        poses.append(
            _finish(
                solved, done[number - 1] if number else None, world, placed, fixed, own.poses[number].caption
            )
        )
    problems.extend(check_figure(own, poses, [s.state.stated_paths for s in done]))
    lead: Side = states[0].lead
    if affected == "left":
        poses = [mirror_pose(pose) for pose in poses]
        problems = [mirror_problem(problem) for problem in problems]
        lead = "left" if lead == "right" else "right"
    return SolvedFigure(affected, lead, tuple(poses), tuple(problems), spec)
