"""Where props stand: found from the solved body, so that an edge lies exactly under what it carries.

A prop that stands on its own (chair, step, wall, towel under the knee) is placed once, from the first pose that touches
it, and stays there in every panel. A prop that is held, worn or squeezed follows the body in every pose.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from limberleaf.diagrams.body.kinematics import Kinematics
from limberleaf.diagrams.body.skeleton import SIDES, Array, Side, Vec3, skeleton
from limberleaf.diagrams.body.vectors import cross, norm
from limberleaf.diagrams.language.words import read_part, sides_of
from limberleaf.diagrams.solving.body_samples import body_samples, inside, sample_places
from limberleaf.diagrams.solving.contacts import PALM_AT, plane_of
from limberleaf.diagrams.solving.edges import edge_place
from limberleaf.diagrams.solving.holding import is_thing, kept_by_body
from limberleaf.diagrams.solving.places import (
    UP,
    Thing,
    World,
    pressed_relation,
    samples,
    segment_number,
    target,
)
from limberleaf.diagrams.solving.pose import State, Touch
from limberleaf.diagrams.solving.solved import Block, PlacedProp, Rod, Sphere

RIM = "rim"
"""How the pieces of a wheel are named: hands and legs may pass by them."""
_SEAT_THICKNESS = 0.02
_SITS = {"pelvis", "buttock", "hip"}
_EDGE = 0.13  # H; how far the edge of a bed is in front of the hips that sit on it


@dataclass(frozen=True)
class Scene:
    """One solved pose as the placing of props reads it."""

    state: State
    kin: Kinematics
    base: Array


def forward_of(base: Array) -> Vec3:
    """Return the level direction a body faces; lying on the back or front, the direction of its feet or head."""
    level = base[:, 0] * np.array([1.0, 0.0, 1.0])
    if norm(level) < 0.5:
        level = -base[:, 1] if base[1, 0] > 0 else base[:, 1]
        level = level * np.array([1.0, 0.0, 1.0])
    out: Vec3 = level / norm(level)
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


def palm(kin: Kinematics, side: Side) -> Vec3:
    """Return the middle of a palm, on its skin."""
    return kin.place(segment_number("hand", side), PALM_AT + np.array([0.016, 0.0, 0.0]))


def spot_of(kin: Kinematics, part: str, side: Side | None) -> Vec3:
    """Return the middle of a part of the body."""
    there = target(part, side)
    return kin.place(there.segment, there.at)


def _frame(forward: Vec3) -> Array:
    return np.column_stack([forward, UP, cross(forward, UP)])


def solid_block(name: str, centre: Vec3, forward: Vec3, size: tuple[float, float, float]) -> Block:
    """Return a box with its length along `forward`."""
    return Block(name, centre, _frame(forward), np.array(size) / 2)


@dataclass(frozen=True)
class Foot:
    """The plan of a standing prop: where its near edge begins along `forward` and its middle across."""

    near: float
    across: float


def _special_near(thing: Thing, touching: list[tuple[Touch, list[Vec3]]], forward: Vec3) -> float | None:
    """Return the near edge of a chair held by its back, of stairs and of a wedge; None for all others."""
    along = np.array([p for _, found in touching for p in found]) @ forward
    if any(touch.place.endswith(" back") for touch, _ in touching):  # standing behind a chair
        return float(along.mean()) - 0.01
    if thing.row["shape"] == "stairs":
        run = thing.size[0] / int(thing.row["count"])
        spots = [
            float(np.mean(np.array(found) @ forward)) - run * (thing.step_number(touch.place) - 0.5)
            for touch, found in touching
        ]
        return float(np.mean(spots))
    return float(along.min()) - 0.03 if thing.row["shape"] == "ramp" else None


def _plan(thing: Thing, touching: list[tuple[Touch, list[Vec3]]], forward: Vec3, scene: Scene) -> Foot:
    """Return the plan of a prop from what rests on it."""
    right = cross(forward, UP)
    points = np.array([p for _, found in touching for p in found])
    along, across = points @ forward, points @ right
    parts = {touch.part for touch, _ in touching}
    depth = thing.size[0]
    pelvis = float(scene.kin.origin[0] @ forward)
    middle = float((across.min() + across.max()) / 2)
    if thing.kind == "bed" and scene.base[1, 1] > 0.7:
        front = float(scene.kin.origin[0] @ right) + _EDGE - thing.size[2] / 2
        beside = float(across.min()) - 0.015 + thing.size[2] / 2
        return Foot(pelvis - depth / 2, front if parts & _SITS else beside)
    if parts & _SITS and thing.row["shape"] in ("seat", "box", "ball"):
        # A hand on the edge of the seat does not draw the seat to its side.
        middle = float(scene.kin.origin[0] @ right)
        edge = scene.state.row.get("seat_front")
        rear = pelvis - 0.105 if edge is None else pelvis + float(edge) - depth
        return Foot(rear, middle)
    if parts & {"calf"}:
        knee = min(float(spot_of(scene.kin, "knee", side) @ forward) for side in SIDES)
        return Foot(knee + 0.045, middle)
    if thing.row["shape"] in ("table", "rail"):
        if thing.prop is not None and thing.prop.beside is not None:
            sign = 1.0 if thing.prop.beside == "affected" else -1.0
            inner = float((across * sign).mean()) - thing.size[2] / 2 if thing.kind == "rail" else 0.0
            inner = inner or float((across * sign).min()) - 0.05
            return Foot(float(along.mean()) - depth / 2, sign * (inner + thing.size[2] / 2))
        return Foot(float(along.min()) - 0.05, float(scene.kin.origin[0] @ right))
    near = _special_near(thing, touching, forward)
    if near is not None:
        return Foot(near, middle)
    if parts & {"heel"} and thing.kind in ("chair", "stool", "bed"):
        return Foot(float(along.min()) - 0.10, middle)
    return Foot(float(along.min() + along.max()) / 2 - depth / 2, middle)


def _options(thing: Thing, plan: Foot, touching: list[tuple[Touch, list[Vec3]]], forward: Vec3) -> list[Foot]:
    """Return where else a step may stand so that the other foot is free."""
    points = np.array([p for _, found in touching for p in found])
    along, across = points @ forward, points @ cross(forward, UP)
    depth, width = thing.size[0], thing.size[2]
    ahead = Foot(float(along.max()) + 0.012 - depth, plan.across)
    behind = Foot(float(along.min()) - 0.012, plan.across)
    aside = [
        Foot(plan.near, float(z) + sign * (width / 2 - 0.035))
        for z, sign in ((across.min(), 1.0), (across.max(), -1.0))
    ]
    return [plan, ahead, behind, *aside]


def _standing(thing: Thing, forward: Vec3, foot: Foot) -> PlacedProp:
    """Return a standing prop built on its plan."""
    right = cross(forward, UP)
    depth, high, wide = thing.size
    middle = forward * (foot.near + depth / 2) + right * foot.across
    shape = thing.row["shape"]
    blocks: tuple[Block, ...] = ()
    rods: tuple[Rod, ...] = ()
    spheres: tuple[Sphere, ...] = ()
    thick = _SEAT_THICKNESS
    if shape in ("seat", "table"):
        name = "seat" if shape == "seat" else "top"
        blocks = (solid_block(name, middle + UP * (thing.top - thick / 2), forward, (depth, thick, wide)),)
    elif shape in ("box", "block", "ramp") or (shape == "roll" and thing.size[1] < 0.04):
        blocks = (solid_block("top", middle + UP * (thing.base + high / 2), forward, (depth, high, wide)),)
    elif shape == "stairs":
        count = int(thing.row["count"])
        run, rise = depth / count, high / count
        blocks = tuple(
            solid_block(
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
    elif shape == "rail":
        posts = [middle + forward * depth * share for share in (-0.42, 0.42)]
        tall = (wide, thing.top - wide, wide)
        blocks = (
            solid_block("rail", middle + UP * (thing.top - wide / 2), forward, (depth, wide, wide)),
            *(
                solid_block(f"post {i + 1}", post + UP * tall[1] / 2, forward, tall)
                for i, post in enumerate(posts)
            ),
        )
    elif shape == "ball":
        spheres = (Sphere("ball", middle + UP * (thing.base + high / 2), high / 2),)
    form = thing.prop.form or "" if thing.prop else ""
    if thing.kind == "towel" and not form:
        form = "rolled" if rods else "flat"
    return PlacedProp(
        thing.kind, thing.name, forward, blocks, rods, spheres, form=form, carries=True, path=thing.path
    )


def _with_arms(thing: Thing, placed: PlacedProp, faces: Vec3) -> PlacedProp:
    """Return a chair with an arm at each side, and with wheels where it has them."""
    seat = placed.blocks[0]
    right = cross(faces, UP)
    depth, _, wide = thing.size
    arms: list[Block] = []
    rims: list[Block] = []
    for name, sign in (("left arm", -1.0), ("right arm", 1.0)):
        aside = right * sign * (wide / 2 + 0.012)
        top = seat.centre * (1, 0, 1) + aside + UP * (float(thing.row["arms"]) - 0.009)
        arms.append(solid_block(name, top - faces * 0.02, faces, (depth * 0.8, 0.018, 0.03)))
        post = top + faces * depth * 0.3 - UP * (float(thing.row["arms"]) - thing.top) / 2
        arms.append(
            solid_block(f"{name} post", post, faces, (0.018, float(thing.row["arms"]) - thing.top, 0.018))
        )
        for wheel, ahead, radius in thing.row.get("wheels", ()):
            middle = seat.centre * (1, 0, 1) + aside + right * sign * 0.015 + faces * ahead + UP * radius
            rims.extend(_rim(f"{name.split()[0]} {wheel}", middle, faces, radius))
    return replace(placed, blocks=(*placed.blocks, *arms, *rims))


def _rim(name: str, middle: Vec3, faces: Vec3, radius: float) -> list[Block]:
    """Return the rim of a wheel as short pieces."""
    pieces = 20 if radius > 0.1 else 8
    out = []
    for turn in np.linspace(0.0, 2 * np.pi, pieces, endpoint=False):
        outward = np.cos(turn) * faces + np.sin(turn) * UP
        along = -np.sin(turn) * faces + np.cos(turn) * UP
        axes = np.column_stack([along, outward, cross(along, outward)])
        half = np.array([radius * np.tan(np.pi / pieces), 0.006, 0.006])
        out.append(Block(f"{name} {RIM}", middle + outward * (radius - 0.006), axes, half))
    return out


def _with_back(thing: Thing, placed: PlacedProp, faces: Vec3) -> PlacedProp:
    """Return a chair with its back at the edge away from where it faces."""
    seat = placed.blocks[0]
    high = float(thing.row["back"]) - thing.top
    depth = 0.02
    half = float(np.abs(seat.axes.T @ faces) @ seat.half)
    centre = seat.centre - faces * (half - depth / 2) + UP * (high / 2 + _SEAT_THICKNESS / 2)
    back = solid_block("back", centre, faces, (depth, high, thing.size[2]))
    return PlacedProp(placed.kind, placed.name, faces, (*placed.blocks, back), carries=True, path=placed.path)


def _upright(thing: Thing, world: World, scenes: Sequence[Scene]) -> PlacedProp | None:
    """Return a wall or doorway on its plane."""
    if thing.plane is None:
        return None
    normal, value = thing.plane
    deep, high, wide = thing.size
    right = cross(-normal, UP)
    across = float(scenes[0].kin.origin[0] @ right)
    centre = normal * (value - deep / 2) + right * across + UP * high / 2
    if thing.row["shape"] == "wall":
        return PlacedProp(
            thing.kind,
            thing.name,
            normal,
            (solid_block("wall", centre, -normal, (deep, high, wide)),),
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
        posts.append(solid_block(name, middle, -normal, (deep, high, 0.04)))
    return PlacedProp(thing.kind, thing.name, normal, tuple(posts), path=thing.path)


def _fallback(thing: Thing, scene: Scene, forward: Vec3) -> Foot:
    """Return a plan for a prop that nothing rests on: where the author said, or in front of the body."""
    right = cross(forward, UP)
    pelvis = scene.kin.origin[0]
    near, across = float(pelvis @ forward) + 0.22, float(pelvis @ right)
    prop = thing.prop
    depth, _, wide = thing.size
    if thing.row.get("whole_body") and scene.state.row.get("lies"):
        along = sample_places(scene.kin) @ forward  # whoever lies on it lies in its middle
        near = float(along.min() + along.max()) / 2 - depth / 2
        aside = sample_places(scene.kin) @ right
        across = float(aside.min() + aside.max()) / 2
        if prop is not None and prop.edge is not None:
            near, across = edge_place(prop.edge, scene.kin, forward, right, (depth, wide))
    elif prop is not None:
        place = prop.under or prop.in_front_of or prop.behind
        if place is not None:
            named = read_part(place)
            sides = sides_of(named.side, "right", scene.state.lead) or (None,)
            spot = np.mean([spot_of(scene.kin, named.part, side) for side in sides], axis=0)
            near, across = float(spot @ forward) - depth / 2, float(spot @ right)
            if prop.in_front_of:
                near += depth / 2 + 0.10
                if scene.base[1, 1] > 0.5:  # upright: not over the toes
                    near = max(near, float((sample_places(scene.kin) @ forward).max()) + 0.02)
            if prop.behind:
                near -= depth / 2 + 0.10
        elif prop.beside is not None:
            sign = 1.0 if prop.beside == "affected" else -1.0
            near, across = float(pelvis @ forward) - depth / 2, across + sign * (wide / 2 + 0.16)
    return Foot(near, across)


def _turned(thing: Thing, world: World, scene: Scene) -> bool:
    """Say whether a prop lies square to where the body looks.

    A body on its side looks across the bed, and under its arm a roll lies from front to back; who sits on a bed or
    leans on it does so at its long edge.
    """
    on_side = abs(scene.base[1, 2]) > 0.7
    if not thing.row.get("whole_body"):
        return on_side and thing.row["shape"] in ("roll", "cylinder")
    return on_side or (scene.base[1, 1] > 0.7 and bool(_touching(thing, world, scene)))


def _backrest(thing: Thing, scene: Scene, ground: float) -> PlacedProp:
    """Return a board that leans behind the back, from the ground up to the head."""
    body = skeleton()
    thick, long, wide = thing.size
    low, high = (scene.kin.origin[body.segment(name)] for name in ("pelvis", "neck"))
    up = (high - low) / (norm(high - low) or 1.0)
    right = scene.kin.rotation[0][:, 2]
    front = cross(up, right)
    foot = low - front * (0.058 + thick / 2)
    reach = (foot[1] - ground - thick * abs(float(front[1]))) / max(float(up[1]), 0.2)
    centre = foot + up * (long / 2 - reach)
    board = Block("board", centre, np.column_stack([front, up, right]), np.array([thick, long, wide]) / 2)
    return PlacedProp(thing.kind, thing.name, forward_of(scene.base), (board,), path=thing.path)


def place_standing(world: World, scenes: Sequence[Scene]) -> dict[str, PlacedProp]:
    """Return the props that stand on their own, by name, placed once for all poses."""
    out: dict[str, PlacedProp] = {}
    for thing in world.things:
        if thing.row["shape"] in ("line", "rod", "handheld", "cane", "crutch", "frame") or is_carried(
            thing, scenes
        ):
            continue
        if pressed_relation(thing, world) is not None or kept_by_body(thing, scenes[0].state) is not None:
            continue
        if thing.row["shape"] in ("wall", "doorway"):
            upright = _upright(thing, world, scenes)
            if upright is not None:
                out[thing.name] = upright
            continue
        if thing.row["shape"] == "backrest":
            out[thing.name] = _backrest(thing, scenes[0], world.ground)
            continue
        lain_on = thing.kind == "bed" and world.ground > 0
        using = None if lain_on else next((s for s in scenes if _touching(thing, world, s)), None)
        scene = using or scenes[0]
        forward = forward_of(scene.base)
        if _turned(thing, world, scene):
            forward = cross(UP, forward)
        if using is None:
            placed = _standing(thing, forward, _fallback(thing, scene, forward))
            out[thing.name] = placed
            if "back" in thing.row:  # its seat is towards the body
                behind = thing.prop is not None and thing.prop.behind is not None
                out[thing.name] = _with_back(thing, placed, forward if behind else -forward)
            continue
        touching = _touching(thing, world, scene)
        plan = _plan(thing, touching, forward, scene)
        placed = _standing(thing, forward, plan)
        if thing.row["shape"] == "box" and any(t.limb.startswith("leg") for t, _ in touching):
            choices = [_standing(thing, forward, foot) for foot in _options(thing, plan, touching, forward)]
            placed = min(choices, key=lambda p: round(sum(_pierced(p, s) for s in scenes), 4))
        if "back" in thing.row:
            away = any(
                t.part in ("pelvis", "buttock", "hip") or t.place.endswith(" back") for t, _ in touching
            )
            placed = _with_back(thing, placed, forward if away else -forward)
            if "arms" in thing.row:
                placed = _with_arms(thing, placed, forward if away else -forward)
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
