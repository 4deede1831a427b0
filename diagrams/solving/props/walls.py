"""Walls, doors and doorways that nobody touches: where they stand by the author's word or by what is fixed to them."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from limberleaf.diagrams.body.skeleton import SIDES, Array, Vec3
from limberleaf.diagrams.language.words import read_part, sides_of
from limberleaf.diagrams.solving.props.placing import Scene, forward_of, palm, spot_of
from limberleaf.diagrams.solving.solved import PlacedProp, Sphere
from limberleaf.diagrams.solving.touching.body_samples import body_samples, sample_places
from limberleaf.diagrams.solving.touching.contacts import towards_body
from limberleaf.diagrams.solving.touching.holding import holders
from limberleaf.diagrams.solving.touching.places import UP, Thing, World, pressed_relation, target

UPRIGHT = ("wall", "doorway")  # shapes that stand on a plane
_GAPS = {
    "behind": 0.03,
    "in_front_of": 0.14,
    "beside": 0.12,
}  # H between a wall and a body that does not touch it
_FAR = 0.45  # H; how far away the fixed end of a band is


def stand_untouched_walls(world: World, scenes: Sequence[Scene]) -> None:
    """Give a plane to every wall, door or doorway that no pose touches but that has a stated place or holds a band."""
    for thing in world.things:
        if thing.row["shape"] not in UPRIGHT or thing.plane is not None:
            continue
        prop = thing.prop
        relation = next(
            (word for word in _GAPS if prop is not None and getattr(prop, word) is not None), None
        )
        if relation is not None:
            normal = towards_body(thing, scenes[0].base, behind=relation == "behind")
            thing.plane = (normal, _clear_of(world, scenes, normal, relation))
            continue
        band = next((t for t in world.things if t.prop is not None and t.prop.fixed_to == thing.kind), None)
        if band is not None:
            way = _way_to_anchor(band, scenes[0])
            spot = _ends(band, scenes[0]) + way * _FAR
            thing.plane = (-way, float(-way @ spot))


def _clear_of(world: World, scenes: Sequence[Scene], normal: Vec3, relation: str) -> float:
    """Return the value of a plane that no pose reaches; a ball between body and wall touches both."""
    _, _, radii = body_samples()
    nearest = min(float((sample_places(s.kin) @ normal - radii).min()) for s in scenes) - _GAPS[relation]
    for thing in world.things:
        ball = pressed_ball(thing, world, scenes[0])
        if ball is not None and getattr(thing.prop, relation) is not None:
            return min(float(normal @ ball.centre) - ball.radius, nearest + _GAPS[relation])
    return nearest


def pressed_ball(thing: Thing, world: World, scene: Scene) -> Sphere | None:
    """Return a ball that a wall presses against the part it is stated behind or in front of; None for all others."""
    relation = pressed_relation(thing, world)
    if relation is None:
        return None
    named = read_part(getattr(thing.prop, relation))
    sides = sides_of(named.side, "right", scene.state.lead) or (None,)
    forward = forward_of(scene.base) * (-1.0 if relation == "behind" else 1.0)
    radius = thing.size[1] / 2
    spots = [
        scene.kin.place(there.segment, there.at) + forward * (there.radius + radius)
        for there in (target(named.part, side) for side in sides)
    ]
    return Sphere("ball", np.mean(spots, axis=0), radius)


def place_pressed(thing: Thing, world: World, scene: Scene) -> PlacedProp | None:
    """Return a ball between a body and a wall as it is in one pose."""
    ball = pressed_ball(thing, world, scene)
    if ball is None:
        return None
    return PlacedProp(thing.kind, thing.name, forward_of(scene.base), spheres=(ball,), path=thing.path)


def _ends(band: Thing, scene: Scene) -> Vec3:
    """Return the middle of what a band with a fixed end pulls at: the hands that hold it or the part it goes round."""
    hands = [palm(scene.kin, side) for side in holders(band, scene.state)]
    if not hands and band.prop is not None and band.prop.around is not None:
        named = read_part(band.prop.around)
        sides = sides_of(named.side, "right", scene.state.lead) or (None,)
        hands = [spot_of(scene.kin, named.part, side) for side in sides]
    out: Vec3 = np.mean(hands or [spot_of(scene.kin, "ankle", side) for side in SIDES], axis=0)
    return out


def _way_to_anchor(band: Thing, scene: Scene) -> Vec3:
    """Return the level way from the body to where a band is fixed: ahead, behind or beside, as stated."""
    forward = forward_of(scene.base)
    prop = band.prop
    if prop is not None and prop.behind is not None:
        return -forward
    if prop is not None and prop.beside is not None:
        right: Array = np.cross(forward, UP)
        return right if prop.beside == "affected" else -right
    return forward


def anchor(band: Thing, world: World, scene: Scene) -> Vec3 | None:
    """Return where on its wall or door the end of a band is fixed: straight across from what it pulls at."""
    prop = band.prop
    if prop is None or prop.fixed_to not in ("wall", "door"):
        return None
    wall = next((t for t in world.things if t.kind == prop.fixed_to and t.plane is not None), None)
    ends = _ends(band, scene)
    if wall is None or wall.plane is None:
        return ends + _way_to_anchor(band, scene) * _FAR
    normal, value = wall.plane
    out: Vec3 = ends - normal * (float(normal @ ends) - value)
    return out
