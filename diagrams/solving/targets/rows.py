"""The targets of one pose as residual rows.

`own_rows` and `limb_contacts` need no solved body. `later_rows` need one: contacts that stay where they were, palms
turned to what they hold, hands along a strap, feet inside the edges of a step.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from limberleaf.diagrams.adults import per_build
from limberleaf.diagrams.body.kinematics import Kinematics
from limberleaf.diagrams.body.skeleton import SIDES, Array, skeleton
from limberleaf.diagrams.body.vectors import norm
from limberleaf.diagrams.language.words import opposite, read_part, sides_of
from limberleaf.diagrams.solving.algebra.least_squares import Rows
from limberleaf.diagrams.solving.asked.state import Heading, State, Touch, kept_lean
from limberleaf.diagrams.solving.props.carried import fixed_point
from limberleaf.diagrams.solving.props.placing import Scene
from limberleaf.diagrams.solving.settings import weight
from limberleaf.diagrams.solving.solved import PlacedProp
from limberleaf.diagrams.solving.targets.setup import Working, steps_forward
from limberleaf.diagrams.solving.touching.contacts import (
    PALM_AT,
    TRUNK,
    Plane,
    gap_rows,
    heading_ends,
    heading_rows,
    limb_rows,
    palm_rows,
    plane_of,
    plane_rows,
    shared_targets,
    surface_of,
    where_rows,
)
from limberleaf.diagrams.solving.touching.edges import beyond
from limberleaf.diagrams.solving.touching.holding import holders, is_thing
from limberleaf.diagrams.solving.touching.places import (
    AXES,
    ORIGIN,
    UP,
    World,
    pressed_relation,
    samples,
    segment_number,
    target,
)

# The hollow of the back and the flat sides of the pelvis come nearer to the floor than their round outline says.
_FLATTENED = {"spine_2": 0.8, "hip": 0.5}
_STEPS = 3.0  # degrees at both hips; less is the sway of a body whose feet stay
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


def own_rows(state: State, world: World, base: Array) -> Rows:
    """Return the rows that need no solved body, but for contacts between limbs."""
    rows = Rows()
    hanging = frozenset(
        f"{point}_{side}"
        for thing in world.things
        for side, _, points in beyond(thing.prop)
        for point in points
    )
    rows.extend(_above_rows(world.ground if state.row.get("lies") else 0.0, hanging))
    rows.extend(_wall_rows(world))
    for touch in state.touches:
        plane = plane_of(touch, world)
        if plane is not None:
            rows.extend(plane_rows(touch, plane))
            rows.extend(where_rows(touch, plane, base))
    for heading in state.headings:
        rows.extend(heading_rows(heading, base))
    rows.extend(_squeeze_rows(state, world, base))
    rows.extend(_stance_rows(state, base))
    rows.extend(_pressed_rows(world))
    lean = kept_lean(state)
    if lean is not None and "level_trunk" in state.row:
        near, far = heading_ends(Heading("lean", "trunk", None, lean, ()))
        rise = TRUNK * np.sin(np.radians(lean))
        rows.add(near, UP, float(rise), far=far, weight=weight("upright_shape"))
    elif lean is not None:
        rows.extend(heading_rows(Heading("lean", "trunk", None, lean, ()), base, weight("upright_shape")))
    return rows


def _pressed_rows(world: World) -> Rows:
    """Return the rows that keep a part as far from its wall as the ball between them is thick."""
    rows = Rows()
    for thing in world.things:
        relation = pressed_relation(thing, world)
        wall = next(
            (
                t
                for t in world.things
                if t.plane is not None and t.prop and relation and getattr(t.prop, relation)
            ),
            None,
        )
        if relation is None or wall is None or wall.plane is None:
            continue
        normal, value = wall.plane
        named = read_part(getattr(thing.prop, relation))
        for side in sides_of(named.side, "right", "right") or (None,):
            there = target(named.part, side)
            gap = value + thing.size[1] + there.radius
            rows.add((there.segment, there.at), normal, gap, weight=weight("contact"))
    return rows


def _stance_rows(state: State, base: Array) -> Rows:
    """Return the rows that keep one foot ahead of the other, where the posture is known by it and both feet rest."""
    rows = Rows()
    stance, aside = state.row.get("stance"), state.row.get("aside")
    feet = [t for t in state.touches if t.part == "foot" and t.kind == "on"]
    if (
        stance is None
        or {t.side for t in feet} != set(SIDES)
        or (aside is None and any(t.author for t in feet))
    ):
        return rows
    ahead, behind = (skeleton().segment(f"foot_{side}") for side in (state.lead, opposite(state.lead)))
    rows.add((ahead, ORIGIN), base[:, 0], stance, far=(behind, ORIGIN), weight=weight("place_along"))
    if aside is not None:
        out = aside if state.lead == "right" else -aside
        rows.add((ahead, ORIGIN), base[:, 2], out, far=(behind, ORIGIN), weight=weight("place_along"))
        for foot in (ahead, behind):  # both soles point straight ahead
            rows.add((foot, AXES[0]), base[:, 2], 0.0, far=(foot, ORIGIN), weight=weight("place_across"))
    return rows


@per_build
def _above_rows(height: float, hanging: frozenset[str]) -> Rows:
    """Return the rows that keep the body above the ground and `hanging` points above the floor; cached: do not add."""
    rows = Rows()
    body = skeleton()
    for name in _POINTS_ABOVE:
        for full in (name, f"{name}_left", f"{name}_right"):
            if full in body.point_index:
                i = body.point_index[full]
                segment = int(body.point_segment[i])
                radius = body.radius[full] * _FLATTENED.get(name, 1.0)
                ground = 0.0 if full in hanging else height
                rows.add((segment, body.point_offset[i]), UP, ground + radius, one_sided=True)
    return rows


def _wall_rows(world: World) -> Rows:
    """Return the rows that keep the body out of the walls it has touched so far."""
    rows = Rows()
    body = skeleton()
    for thing in world.things:
        if thing.plane is None or thing.row["shape"] != "wall":
            continue
        normal, value = thing.plane
        for i, full in enumerate(body.points):
            segment = int(body.point_segment[i])
            rows.add((segment, body.point_offset[i]), normal, value + body.radius[full] * 0.8, one_sided=True)
    return rows


def limb_contacts(state: State, world: World, before: Working | None, kin: Kinematics | None) -> Rows:
    """Return the rows for limbs that touch limbs: pinned to a spot at first, then free to slide a little.

    What touched there in the pose before stays on its spot.
    """
    rows = Rows()
    pairs = shared_targets(state.touches)
    known = {(t.name, t.place) for t in before.state.touches} if before is not None else set()
    for touch in state.touches:
        there = surface_of(touch, world)
        if there is None or plane_of(touch, world) is not None:
            continue
        shared = (touch.place, touch.part) in pairs
        old = before.kin if before is not None and (touch.name, touch.place) in known else None
        if kin is None:
            rows.extend(limb_rows(touch, there, shared=shared, before=old))
            continue
        firm = touch.kind == "holding" or old is not None
        rows.extend(
            limb_rows(touch, there, shared=shared, firmness=weight("grip" if firm else "slide"), before=old)
        )
        rows.extend(gap_rows(touch, there, kin, shared=shared))
        if old is None:
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
            rows.add(ends[0], base[:, 0], 0.0, far=ends[1], weight=weight("squeeze_level"))
            rows.add(ends[0], base[:, 1], 0.0, far=ends[1], weight=weight("squeeze_level"))
    return rows


def later_rows(
    now: Working,
    before: Working | None,
    world: World,
    placed: Mapping[str, PlacedProp],
    scenes: Sequence[Scene],
) -> Rows:
    """Return the rows that need a solved body: what stays put, palms, held things."""
    rows = Rows()
    rows.extend(limb_contacts(now.state, world, before, now.kin))
    for touch in now.state.touches:
        plane = plane_of(touch, world)
        if plane is None:
            continue
        held = stays(touch, now, before)
        if held is not None:
            levels = [axis - plane.normal * float(plane.normal @ axis) for axis in AXES]
            levels = [level for level in levels if norm(level) > 0.9]
            for sample in samples(touch.part, touch.side):
                there_at = held.place(sample.segment, sample.at)
                for level in levels:
                    rows.add((sample.segment, sample.at), level, float(level @ there_at))
        rows.extend(_within_rows(touch, plane, placed))
    rows.extend(_held_rows(now, world, scenes))
    return rows


def _within_rows(touch: Touch, plane: Plane, placed: Mapping[str, PlacedProp]) -> Rows:
    """Return one-sided rows that keep what rests on a prop inside the edges of its top."""
    rows = Rows()
    prop = placed.get(plane.thing.name) if plane.thing is not None else None
    if prop is None or plane.normal[1] < 0.5 or not prop.blocks:
        return rows
    thing = plane.thing
    number = 0
    if thing is not None and touch.place.endswith((" arm", " arms")) and touch.side is not None:
        number = next(i for i, block in enumerate(prop.blocks) if block.name == f"{touch.side} arm")
    if thing is not None and thing.row["shape"] == "stairs":
        number = thing.step_number(touch.place) - 1
    elif touch.place.endswith(" back"):
        number = len(prop.blocks) - 1
    block = prop.blocks[number]
    for sample in samples(touch.part, touch.side):
        for axis in (0, 2):
            way = block.axes[:, axis]
            reach = float(block.half[axis])
            middle = float(way @ block.centre)
            here = (sample.segment, sample.at)
            rows.add(here, way, middle - reach, one_sided=True)
            rows.add(here, -way, -middle - reach, one_sided=True)
    return rows


def stays(touch: Touch, now: Working, before: Working | None) -> Kinematics | None:
    """Return the body whose contact place a touch must keep, if it must."""
    closed = bool(now.state.row.get("closed_chain"))
    leg = touch.limb.startswith("leg")
    if before is not None and steps_forward(now.state, before):
        return before.kin if leg and touch.side != now.state.lead else None
    if before is None or (now.state.from_posture and now.state.posture == before.state.posture):
        return now.kin if closed and leg else None
    # Between feet side by side and one ahead of the other one foot steps and the other stays.
    steps = now.state.row.get("stance") != before.state.row.get("stance") and touch.side == now.state.lead
    if leg and (steps or (closed and _feet_apart(now, before))):
        return None
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


def _feet_apart(now: Working, before: Working) -> bool:
    """Say whether both legs of a standing body are stated further out or in than they were: the feet step there."""
    if now.state.row["base"] != "upright":
        return False
    turned = []
    for side in SIDES:
        name = f"hip_{side}.abduction"
        was = float(np.degrees(before.q[skeleton().index[name]]))
        turned.append(abs(now.state.stated.get(name, was) - was))
    return min(turned) > _STEPS


def _same_end(one: Touch, two: Touch) -> bool:
    """Say whether two touches are the same end of a limb, though a foot may have rolled on to its toes."""
    feet = {"foot", "heel", "toe", "ball of foot", "flat of foot"}
    return one.side == two.side and (one.part == two.part or {one.part, two.part} <= feet)


def _held_rows(now: Working, world: World, scenes: Sequence[Scene]) -> Rows:
    """Return rows for what hands hold: both hands along a strap to what it is around, fists in line on a stick."""
    rows = Rows()
    body = skeleton()
    for thing in world.things:
        sides = holders(thing, now.state)
        if not sides:
            continue
        shape = thing.row["shape"]
        held = {t.side for t in now.state.touches if t.kind == "holding" and is_thing(t.place, thing)}
        moving = [
            s
            for s in sides
            if s in held
            and not any(name.startswith((f"shoulder_{s}", f"elbow_{s}")) for name in now.state.stated)
        ]
        fixed = fixed_point(thing, scenes[-1]) if shape in ("line", "roll") else None
        prop = thing.prop
        if fixed is not None and prop is not None and prop.fixed_to not in ("wall", "door"):
            chest = now.kin.place(body.segment("thorax"), np.array([0.03, 0.0, 0.0]))
            way = fixed - chest
            far = norm(way)
            spot = chest + way / far * min(0.27, far - 0.06)
            right = now.base[:, 2]
            for side in moving:
                out = {"right": 0.035, "left": -0.035}[side] if len(sides) == 2 else 0.0
                for axis in AXES:
                    rows.add(
                        (segment_number("hand", side), PALM_AT),
                        axis,
                        float(axis @ (spot + right * out)),
                        weight=weight("strap_reach"),
                    )
        if shape == "rod" and len(sides) == 2:
            hands = [now.kin.place(segment_number("hand", side), PALM_AT) for side in SIDES]
            way = hands[1] - hands[0]
            way = way / (norm(way) or 1.0)
            for side in SIDES:
                hand = segment_number("hand", side)
                rows.add((hand, AXES[1]), way, 0.0, far=(hand, ORIGIN), weight=weight("stick_line"))
    return rows
