"""Where props stand: found from the solved body, so that an edge lies exactly under what it carries.

A prop that stands on its own (chair, step, wall, towel under the knee) is placed once, from the first pose that touches
it, and stays there in every panel. A prop that is held, worn or squeezed follows the body in every pose.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np

from diagrams.body import SIDES, Array, Kinematics, Side, Vec3, skeleton
from diagrams.contacts import PALM_AT, plane_of
from diagrams.places import UP, Thing, World, read_place_part, samples, segment_number, target
from diagrams.pose import State, Touch
from diagrams.solved import Block, Line, PlacedProp, Rod, Sphere
from diagrams.words import read_part, sides_of

_SEAT_THICKNESS = 0.02
_FAR = 0.45  # H; how far away the fixed end of a band is drawn


@dataclass(frozen=True)
class Scene:
    """One solved pose as the placing of props reads it."""

    state: State
    kin: Kinematics
    base: Array


def forward_of(base: Array) -> Vec3:
    """Return the level direction a body faces; lying on the back or front, the direction of its feet or head."""
    level = base[:, 0] * np.array([1.0, 0.0, 1.0])
    if np.linalg.norm(level) < 0.5:
        level = -base[:, 1] if base[1, 0] > 0 else base[:, 1]
        level = level * np.array([1.0, 0.0, 1.0])
    out: Vec3 = level / np.linalg.norm(level)
    return out


def _touching(thing: Thing, world: World, scene: Scene) -> list[tuple[Touch, list[Vec3]]]:
    """Return the touches that rest on a prop with their points on its surface."""
    found = []
    for touch in scene.state.touches:
        plane = plane_of(touch, world)
        if plane is None or plane.thing is not thing:
            continue
        points = [
            scene.kin.place(s.segment, s.at) - plane.normal * s.radius
            for s in samples(touch.part, touch.side)
        ]
        found.append((touch, points))
    return found


def _palm(kin: Kinematics, side: Side) -> Vec3:
    return kin.place(segment_number("hand", side), PALM_AT + np.array([0.016, 0.0, 0.0]))


def _spot(kin: Kinematics, part: str, side: Side | None) -> Vec3:
    """Return the middle of a part of the body."""
    there = target(part, side)
    return kin.place(there.segment, there.at)


def _frame(forward: Vec3) -> Array:
    return np.column_stack([forward, UP, np.cross(forward, UP)])


def _block(name: str, centre: Vec3, forward: Vec3, size: tuple[float, float, float]) -> Block:
    return Block(name, centre, _frame(forward), np.array(size) / 2)


@dataclass(frozen=True)
class Foot:
    """The plan of a standing prop: where its near edge begins along `forward` and its middle across."""

    near: float
    across: float


def _plan(thing: Thing, touching: list[tuple[Touch, list[Vec3]]], forward: Vec3, scene: Scene) -> Foot:
    """Return the plan of a prop from what rests on it."""
    right = np.cross(forward, UP)
    points = np.array([p for _, found in touching for p in found])
    along, across = points @ forward, points @ right
    parts = {touch.part for touch, _ in touching}
    depth = thing.size[0]
    pelvis = float(scene.kin.origin[0] @ forward)
    middle = float((across.min() + across.max()) / 2)
    if parts & {"pelvis", "buttock", "hip"} and thing.row["shape"] in ("seat", "box", "ball"):
        if thing.kind == "bed":
            return Foot(pelvis - 0.40, middle)
        edge = scene.state.row.get("seat_front")
        rear = pelvis - 0.105 if edge is None else pelvis + float(edge) - depth
        return Foot(rear, middle)
    if parts & {"calf"}:
        knee = min(float(_spot(scene.kin, "knee", side) @ forward) for side in SIDES)
        return Foot(knee + 0.045, middle)
    if thing.row["shape"] == "table":
        if thing.prop is not None and thing.prop.beside is not None:
            sign = 1.0 if thing.prop.beside == "affected" else -1.0
            inner = float((across * sign).min()) - 0.05
            return Foot(float(along.mean()) - depth / 2, sign * (inner + thing.size[2] / 2))
        return Foot(float(along.min()) - 0.05, float(scene.kin.origin[0] @ right))
    if parts & {"heel"} and thing.kind in ("chair", "stool", "bed"):
        return Foot(float(along.min()) - 0.10, middle)
    return Foot(float(along.min() + along.max()) / 2 - depth / 2, middle)


def _options(thing: Thing, plan: Foot, touching: list[tuple[Touch, list[Vec3]]], forward: Vec3) -> list[Foot]:
    """Return where else a step may stand so that the other foot is free."""
    points = np.array([p for _, found in touching for p in found])
    along, across = points @ forward, points @ np.cross(forward, UP)
    depth, width = thing.size[0], thing.size[2]
    ahead = Foot(float(along.max()) + 0.012 - depth, plan.across)
    behind = Foot(float(along.min()) - 0.012, plan.across)
    aside = [
        Foot(plan.near, float(z) + sign * (width / 2 - 0.035))
        for z, sign in ((across.min(), 1.0), (across.max(), -1.0))
    ]
    return [plan, ahead, behind, *aside]


def inside(block: Block, points: Array, radius: Array) -> Array:
    """Return how deep points with a radius are in a box, (k,); 0 outside."""
    local = np.abs((points - block.centre) @ block.axes) - block.half
    depth = (radius[:, None] - local).min(axis=1)
    corner = np.maximum(local, 0.0)
    touching = np.sqrt((corner**2).sum(axis=1)) < radius + 1e-9
    return np.where(touching, np.maximum(depth, 0.0), 0.0)


@cache
def body_samples() -> tuple[Array, Array, Array]:
    """Return segment numbers, places in their frames and radii of points all over the limbs."""
    body = skeleton()
    segments, places, radii = [], [], []
    for name, start, end, count, r0, r1 in (
        ("thigh", (0, -0.03, 0), (0, -0.245, 0), 6, 0.040, 0.029),
        ("shank", (0, -0.02, 0), (0, -0.246, 0), 6, 0.029, 0.019),
        ("foot", (-0.025, -0.030, 0), (0.079, -0.030, 0), 4, 0.009, 0.009),
        ("toes", (0.015, 0.008, 0), (0.035, 0.008, 0), 2, 0.008, 0.008),
        ("upper_arm", (0, -0.04, 0), (0, -0.167, 0), 4, 0.024, 0.021),
        ("forearm", (0, -0.02, 0), (0, -0.15, 0), 4, 0.020, 0.015),
        ("hand", (0, -0.02, 0), (0, -0.055, 0), 2, 0.013, 0.012),
        ("fingers", (0, -0.02, 0), (0, -0.055, 0), 2, 0.010, 0.007),
    ):
        for side in SIDES:
            for share in np.linspace(0, 1, count):
                segments.append(body.segment(f"{name}_{side}"))
                places.append((1 - share) * np.array(start) + share * np.array(end))
                radii.append((1 - share) * r0 + share * r1)
    for name, at, radius in (
        ("pelvis", (0, 0, 0), 0.05),
        ("pelvis", (0, 0.05, 0), 0.05),
        ("lumbar", (0, 0, 0), 0.05),
        ("thorax_low", (0, 0, 0), 0.05),
        ("thorax", (0, 0, 0), 0.05),
        ("head", (0.004, 0.023, 0), 0.062),
    ):
        segments.append(body.segment(name))
        places.append(np.array(at, dtype=float))
        radii.append(radius)
    return np.array(segments), np.array(places), np.array(radii)


def sample_places(kin: Kinematics) -> Array:
    """Return the world places of `body_samples`, (k, 3)."""
    segments, places, _ = body_samples()
    out: Array = kin.origin[segments] + np.einsum("kij,kj->ki", kin.rotation[segments], places)
    return out


def _standing(thing: Thing, forward: Vec3, foot: Foot) -> PlacedProp:
    """Return a standing prop built on its plan."""
    right = np.cross(forward, UP)
    depth, high, wide = thing.size
    middle = forward * (foot.near + depth / 2) + right * foot.across
    shape = thing.row["shape"]
    blocks: tuple[Block, ...] = ()
    rods: tuple[Rod, ...] = ()
    spheres: tuple[Sphere, ...] = ()
    thick = _SEAT_THICKNESS
    if shape in ("seat", "table"):
        name = "seat" if shape == "seat" else "top"
        blocks = (_block(name, middle + UP * (thing.top - thick / 2), forward, (depth, thick, wide)),)
    elif shape in ("box", "block", "ramp") or (shape == "roll" and thing.size[1] < 0.04):
        blocks = (_block("top", middle + UP * (thing.base + high / 2), forward, (depth, high, wide)),)
    elif shape == "stairs":
        count = int(thing.row["count"])
        run, rise = depth / count, high / count
        blocks = tuple(
            _block(
                f"step {i + 1}",
                forward * (foot.near + run * (i + 0.5)) + right * foot.across + UP * rise * (i + 1) / 2,
                forward,
                (run, rise * (i + 1), wide),
            )
            for i in range(count)
        )
    elif shape in ("roll", "cylinder"):
        centre = middle + UP * (thing.base + high / 2)
        rods = (Rod("roll", centre - right * wide / 2, centre + right * wide / 2, high / 2),)
    elif shape == "ball":
        spheres = (Sphere("ball", middle + UP * (thing.base + high / 2), high / 2),)
    form = thing.prop.form or "" if thing.prop else ""
    if thing.kind == "towel" and not form:
        form = "rolled" if rods else "flat"
    return PlacedProp(
        thing.kind, thing.name, forward, blocks, rods, spheres, form=form, carries=True, path=thing.path
    )


def _with_back(thing: Thing, placed: PlacedProp, faces: Vec3) -> PlacedProp:
    """Return a chair with its back at the edge away from where it faces."""
    seat = placed.blocks[0]
    high = float(thing.row["back"]) - thing.top
    depth = 0.02
    half = float(np.abs(seat.axes.T @ faces) @ seat.half)
    centre = seat.centre - faces * (half - depth / 2) + UP * (high / 2 + _SEAT_THICKNESS / 2)
    back = _block("back", centre, faces, (depth, high, thing.size[2]))
    return PlacedProp(placed.kind, placed.name, faces, (*placed.blocks, back), carries=True, path=placed.path)


def _upright(thing: Thing, world: World, scenes: Sequence[Scene]) -> PlacedProp | None:
    """Return a wall or doorway on its plane."""
    if thing.plane is None:
        return None
    normal, value = thing.plane
    deep, high, wide = thing.size
    right = np.cross(-normal, UP)
    across = float(scenes[0].kin.origin[0] @ right)
    centre = normal * (value - deep / 2) + right * across + UP * high / 2
    if thing.row["shape"] == "wall":
        return PlacedProp(
            thing.kind,
            thing.name,
            normal,
            (_block("wall", centre, -normal, (deep, high, wide)),),
            path=thing.path,
        )
    posts = []
    touching = [p for _, found in _touching(thing, world, scenes[0]) for p in found]
    if touching and (max(p @ right for p in touching) - min(p @ right for p in touching)) < 0.1:
        # One limb leans on one post; the rest of the body is in the opening.
        spot = float(np.mean([p @ right for p in touching]))
        offset = -(wide / 2 + 0.02) if spot > across else wide / 2 + 0.02
        centre = centre + right * (spot + offset - across)
    for sign, name in ((-1.0, "left post"), (1.0, "right post")):
        middle = centre + right * sign * (wide / 2 + 0.02)
        posts.append(_block(name, middle, -normal, (deep, high, 0.04)))
    return PlacedProp(thing.kind, thing.name, normal, tuple(posts), path=thing.path)


def _fallback(thing: Thing, scene: Scene) -> Foot:
    """Return a plan for a prop that nothing rests on: where the author said, or in front of the body."""
    forward = forward_of(scene.base)
    right = np.cross(forward, UP)
    pelvis = scene.kin.origin[0]
    near, across = float(pelvis @ forward) + 0.22, float(pelvis @ right)
    prop = thing.prop
    depth, _, wide = thing.size
    if prop is not None:
        spot_of = prop.under or prop.in_front_of or prop.behind
        if spot_of is not None:
            named = read_part(spot_of)
            sides = sides_of(named.side, "right", scene.state.lead) or (None,)
            spot = np.mean([_spot(scene.kin, named.part, side) for side in sides], axis=0)
            near, across = float(spot @ forward) - depth / 2, float(spot @ right)
            if prop.in_front_of:
                near += depth / 2 + 0.10
            if prop.behind:
                near -= depth / 2 + 0.10
        elif prop.beside is not None:
            sign = 1.0 if prop.beside == "affected" else -1.0
            near, across = float(pelvis @ forward) - depth / 2, across + sign * (wide / 2 + 0.16)
    return Foot(near, across)


def place_standing(world: World, scenes: Sequence[Scene]) -> dict[str, PlacedProp]:
    """Return the props that stand on their own, by name, placed once for all poses."""
    out: dict[str, PlacedProp] = {}
    for thing in world.things:
        if thing.row["shape"] in ("line", "rod", "handheld") or is_carried(thing, scenes):
            continue
        if thing.row["shape"] in ("wall", "doorway"):
            upright = _upright(thing, world, scenes)
            if upright is not None:
                out[thing.name] = upright
            continue
        using = next((s for s in scenes if _touching(thing, world, s)), None)
        scene = using or scenes[0]
        forward = forward_of(scene.base)
        if using is None:
            placed = _standing(thing, forward, _fallback(thing, scene))
            out[thing.name] = _with_back(thing, placed, -forward) if "back" in thing.row else placed
            continue
        touching = _touching(thing, world, scene)
        plan = _plan(thing, touching, forward, scene)
        placed = _standing(thing, forward, plan)
        if thing.row["shape"] in ("box", "stairs") and any(t.limb.startswith("leg") for t, _ in touching):
            choices = [_standing(thing, forward, foot) for foot in _options(thing, plan, touching, forward)]
            placed = min(choices, key=lambda p: round(sum(_pierced(p, s) for s in scenes), 4))
        if "back" in thing.row:
            sits = any(t.part in ("pelvis", "buttock", "hip") for t, _ in touching)
            placed = _with_back(thing, placed, forward if sits else -forward)
        out[thing.name] = placed
    return out


def _pierced(placed: PlacedProp, scene: Scene) -> float:
    _, _, radii = body_samples()
    points = sample_places(scene.kin)
    return float(sum(np.maximum(inside(block, points, radii) - 0.004, 0.0).sum() for block in placed.blocks))


def is_carried(thing: Thing, scenes: Sequence[Scene]) -> bool:
    """Say whether a prop is held, worn or squeezed, so that it moves with the body."""
    prop = thing.prop
    if prop is not None and (prop.between or prop.around or prop.held_by):
        return True
    return any(t.kind == "holding" and is_thing(t.place, thing) for s in scenes for t in s.state.touches)


def is_thing(place: str, thing: Thing) -> bool:
    """Say whether a place names this prop."""
    return place in (thing.name.lower(), thing.kind, thing.kind.replace("_", " "))


def holders(thing: Thing, state: State) -> tuple[Side, ...]:
    """Return the sides whose hands hold a prop."""
    sides = {t.side for t in state.touches if t.kind == "holding" and is_thing(t.place, thing) and t.side}
    if thing.prop is not None and thing.prop.held_by is not None:
        sides |= set(sides_of(read_part(thing.prop.held_by).side, "right", state.lead))
    return tuple(side for side in SIDES if side in sides)


def fixed_point(thing: Thing, scene: Scene) -> Vec3 | None:
    """Return where the end of a band or strap that is not held is fixed."""
    prop = thing.prop
    if prop is None:
        return None
    if prop.fixed_to in ("wall", "door"):
        forward = forward_of(scene.base)
        right = np.cross(forward, UP)
        way = forward
        if prop.behind is not None:
            way = -forward
        elif prop.beside is not None:
            way = right if prop.beside == "affected" else -right
        hands = [_palm(scene.kin, side) for side in holders(thing, scene.state)]
        ends = hands or [_spot(scene.kin, "ankle", "right")]
        return np.mean(ends, axis=0) + way * _FAR
    text = prop.fixed_to or (prop.around if holders(thing, scene.state) else None)
    if text is None:
        return None
    named = read_part(text)
    sides = sides_of(named.side, "right", scene.state.lead) or (None,)
    part = "ball of foot" if named.part == "foot" else named.part
    there = target(part, sides[0])
    return scene.kin.place(there.segment, there.at + there.face * there.radius)


def _loop(kin: Kinematics, part: str) -> tuple[Vec3, ...]:
    """Return a loop around both limbs of a pair."""
    ends = [target(part, side) for side in SIDES]
    left, right = (kin.place(t.segment, t.at) for t in ends)
    axis = kin.rotation[ends[1].segment][:, 1]
    across = (right - left) / (np.linalg.norm(right - left) or 1.0)
    front = np.cross(axis, across)
    front = front / (np.linalg.norm(front) or 1.0)
    radius = ends[0].radius + 0.004
    turns = np.radians([90, 45, 0, -45, -90])
    points = [right + radius * (np.cos(a) * across + np.sin(a) * front) for a in turns]
    points += [left + radius * (-np.cos(a) * across + np.sin(a) * front) for a in turns[::-1]]
    return tuple(points)


def _held(thing: Thing, scene: Scene, fixed: Vec3 | None) -> PlacedProp | None:
    """Return a prop in the hands."""
    sides = holders(thing, scene.state)
    hands = [_palm(scene.kin, side) for side in sides]
    forward = forward_of(scene.base)
    length, high, _ = thing.size
    shape = thing.row["shape"]
    if not hands:
        return None
    if shape in ("rod", "handheld"):
        middle = np.mean(hands, axis=0)
        if len(hands) == 2:
            way = hands[1] - hands[0]
            length = max(length, float(np.linalg.norm(way)) + 0.08)
        else:
            way = scene.kin.rotation[segment_number("hand", sides[0])][:, 2]
        way = way / (np.linalg.norm(way) or 1.0)
        rod = Rod(thing.kind, middle - way * length / 2, middle + way * length / 2, high / 2)
        return PlacedProp(thing.kind, thing.name, forward, rods=(rod,), path=thing.path)
    if shape in ("line", "roll"):
        points = (
            tuple(hands)
            if fixed is None
            else ((hands[0], fixed) if len(hands) == 1 else (hands[0], fixed, hands[1]))
        )
        width = high if shape == "line" else 0.02
        return PlacedProp(
            thing.kind, thing.name, forward, lines=(Line(thing.kind, points, width),), path=thing.path
        )
    centre = np.mean(hands, axis=0)
    if shape == "ball":
        return PlacedProp(
            thing.kind, thing.name, forward, spheres=(Sphere("ball", centre, high / 2),), path=thing.path
        )
    return PlacedProp(
        thing.kind, thing.name, forward, (_block("top", centre, forward, thing.size),), path=thing.path
    )


def place_carried(thing: Thing, scene: Scene, fixed: Vec3 | None) -> PlacedProp | None:
    """Return a prop that is held, worn or squeezed, in one pose."""
    prop = thing.prop
    forward = forward_of(scene.base)
    if prop is not None and prop.between is not None:
        part = {"knees": "knee", "thighs": "thigh", "feet": "ball of foot", "hands": "hand"}[prop.between]
        ends = [_spot(scene.kin, part, side) for side in SIDES]
        centre = (ends[0] + ends[1]) / 2
        across = (ends[1] - ends[0]) / (np.linalg.norm(ends[1] - ends[0]) or 1.0)
        if thing.row["shape"] == "ball":
            return PlacedProp(
                thing.kind,
                thing.name,
                forward,
                spheres=(Sphere("ball", centre, thing.size[1] / 2),),
                path=thing.path,
            )
        up = np.cross(across, forward)
        up = up / (np.linalg.norm(up) or 1.0)
        axes = np.column_stack([np.cross(up, across), up, across])
        size = np.array([thing.size[0] * 0.7, thing.size[0] * 0.5, thing.size[1]])
        return PlacedProp(
            thing.kind,
            thing.name,
            forward,
            (Block("top", centre, axes, size / 2),),
            form="between",
            path=thing.path,
        )
    if prop is not None and prop.around is not None and not holders(thing, scene.state):
        named = read_part(prop.around)
        if named.side == "both":
            loop = Line("loop", _loop(scene.kin, named.part), thing.size[1], closed=True)
            return PlacedProp(thing.kind, thing.name, forward, lines=(loop,), form="loop", path=thing.path)
        side = sides_of(named.side, "right", scene.state.lead)
        end = _spot(scene.kin, named.part, side[0] if side else None)
        if fixed is not None:
            line = Line(thing.kind, (end, fixed), thing.size[1])
            return PlacedProp(thing.kind, thing.name, forward, lines=(line,), path=thing.path)
    return _held(thing, scene, fixed)


def named_limb(place: str, side: Side | None) -> bool:
    """Say whether a place is a part of the body."""
    return read_place_part(place, side) is not None
