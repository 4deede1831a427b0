"""Where props stand: found from the solved body, so that an edge lies exactly under what it carries.

A prop that stands on its own (chair, step, wall, towel under the knee) is placed once, from the first pose that touches
it, and stays there in every panel. A prop that is held, worn or squeezed follows the body in every pose.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from limberleaf.diagrams.body.skeleton import SIDES, Vec3
from limberleaf.diagrams.body.vectors import cross
from limberleaf.diagrams.language.words import read_part, sides_of
from limberleaf.diagrams.solving.asked.state import Touch
from limberleaf.diagrams.solving.props.placing import (
    Foot,
    Scene,
    forward_of,
    solid_block,
    spot_of,
    touching_points,
)
from limberleaf.diagrams.solving.props.shapes import backrest, standing_prop, with_arms, with_back
from limberleaf.diagrams.solving.solved import PlacedProp
from limberleaf.diagrams.solving.touching.body_samples import body_samples, inside, sample_places
from limberleaf.diagrams.solving.touching.edges import edge_place
from limberleaf.diagrams.solving.touching.holding import is_thing, kept_by_body
from limberleaf.diagrams.solving.touching.places import (
    UP,
    Thing,
    World,
    pressed_relation,
)

_SITS = {"pelvis", "buttock", "hip"}


_EDGE = 0.13  # H; how far the edge of a bed is in front of the hips that sit on it


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
    touching = [p for _, found in touching_points(thing, world, scenes[0]) for p in found]
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
    return on_side or (scene.base[1, 1] > 0.7 and bool(touching_points(thing, world, scene)))


def _looks_away(thing: Thing, scene: Scene) -> bool:
    """Say whether a seat that nobody touches looks where the body looks.

    It does behind the body, to sit down on; and before somebody who stands, where nothing is said of it: a hand soon
    holds its back.
    """
    prop = thing.prop
    if prop is not None and prop.behind is not None:
        return True
    nowhere = prop is None or (prop.in_front_of is None and prop.beside is None)
    return nowhere and scene.base[1, 1] > 0.5 and not scene.state.row.get("lies")


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
            out[thing.name] = backrest(thing, scenes[0], world.ground)
            continue
        lain_on = thing.kind == "bed" and world.ground > 0
        using = None if lain_on else next((s for s in scenes if touching_points(thing, world, s)), None)
        scene = using or scenes[0]
        forward = forward_of(scene.base)
        if _turned(thing, world, scene):
            forward = cross(UP, forward)
        if using is None:
            placed = standing_prop(thing, forward, _fallback(thing, scene, forward))
            out[thing.name] = placed
            if "back" in thing.row:
                out[thing.name] = with_back(thing, placed, forward if _looks_away(thing, scene) else -forward)
            continue
        touching = touching_points(thing, world, scene)
        plan = _plan(thing, touching, forward, scene)
        placed = standing_prop(thing, forward, plan)
        if thing.row["shape"] == "box" and any(t.limb.startswith("leg") for t, _ in touching):
            choices = [
                standing_prop(thing, forward, foot) for foot in _options(thing, plan, touching, forward)
            ]
            placed = min(choices, key=lambda p: round(sum(_pierced(p, s) for s in scenes), 4))
        if "back" in thing.row:
            away = any(
                t.part in ("pelvis", "buttock", "hip") or t.place.endswith(" back") for t, _ in touching
            )
            placed = with_back(thing, placed, forward if away else -forward)
            if "arms" in thing.row:
                placed = with_arms(thing, placed, forward if away else -forward)
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
