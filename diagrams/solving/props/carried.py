"""Props that follow the body: held, worn, squeezed, or stretched from a hand to a fixed end."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from limberleaf.diagrams.body.kinematics import Kinematics
from limberleaf.diagrams.body.skeleton import SIDES, Side, Vec3
from limberleaf.diagrams.body.vectors import cross, norm
from limberleaf.diagrams.language.words import read_part, sides_of
from limberleaf.diagrams.solving.props.placing import Scene, forward_of, palm, solid_block, spot_of
from limberleaf.diagrams.solving.solved import Block, Line, PlacedProp, Rod, Sphere
from limberleaf.diagrams.solving.touching.holding import holders, kept_by_body, slid_by
from limberleaf.diagrams.solving.touching.places import UP, Thing, samples, segment_number, target

CLOTH = 0.19
"""How long (H) a cloth that slides is at most: it must stay on the table."""
ACROSS = 0.28
"""How wide (H) a cloth under one hand or foot is at most: it shows at both sides of the part."""
ARM_ROLL = 0.020
"""The least radius (H) of what an upper arm keeps at the ribs: less is not seen."""
BESIDE_PALM = 0.07
"""How much wider (H) than the two hands a cloth under them is."""


def fixed_point(thing: Thing, scene: Scene) -> Vec3 | None:
    """Return where the end of a band or strap that is not held is fixed."""
    prop = thing.prop
    if prop is None:
        return None
    if prop.fixed_to in ("wall", "door"):
        return None  # on its wall: walls.py
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
    across = (right - left) / (norm(right - left) or 1.0)
    front = cross(axis, across)
    front = front / (norm(front) or 1.0)
    radius = ends[0].radius + 0.004
    turns = np.radians([90, 45, 0, -45, -90])
    points = [right + radius * (np.cos(a) * across + np.sin(a) * front) for a in turns]
    points += [left + radius * (-np.cos(a) * across + np.sin(a) * front) for a in turns[::-1]]
    return tuple(points)


def _cuff(kin: Kinematics, part: str, side: Side | None) -> tuple[Vec3, ...]:
    """Return a ring round one limb."""
    there = target(part, side)
    axis = kin.rotation[there.segment] @ (there.end - there.start)
    axis = axis / (norm(axis) or 1.0)
    one = cross(axis, kin.rotation[there.segment] @ there.face)
    one = one / (norm(one) or 1.0)
    two = cross(axis, one)
    middle, radius = kin.place(there.segment, there.at), there.radius + 0.004
    turns = np.linspace(0.0, 2 * np.pi, 12, endpoint=False)
    return tuple(middle + radius * (np.cos(a) * one + np.sin(a) * two) for a in turns)


def _held(thing: Thing, scene: Scene, fixed: Vec3 | None) -> PlacedProp | None:
    """Return a prop in the hands."""
    sides = holders(thing, scene.state)
    hands = [palm(scene.kin, side) for side in sides]
    forward = forward_of(scene.base)
    length, high, _ = thing.size
    shape = thing.row["shape"]
    if not hands:
        return None
    if shape in ("rod", "handheld"):
        middle = np.mean(hands, axis=0)
        if len(hands) == 2:
            way = hands[1] - hands[0]
            length = max(length, norm(way) + 0.08)
        else:
            way = scene.kin.rotation[segment_number("hand", sides[0])][:, 2]
        way = way / (norm(way) or 1.0)
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
        thing.kind, thing.name, forward, (solid_block("top", centre, forward, thing.size),), path=thing.path
    )


def _beside_arm(thing: Thing, scene: Scene, side: Side) -> PlacedProp:
    """Return a roll held between the upper arm and the ribs."""
    arm, thorax = segment_number("upper_arm", side), segment_number("thorax", None)
    out = scene.kin.rotation[thorax][:, 2] * (1.0 if side == "right" else -1.0)
    radius = max(thing.size[1] / 2, ARM_ROLL)
    start, end = (
        scene.kin.place(arm, np.array([0.0, -along, 0.0])) - out * (0.024 + radius * 0.7)
        for along in (0.07, 0.17)
    )
    rod = Rod("roll", start, end, radius)
    return PlacedProp(
        thing.kind, thing.name, forward_of(scene.base), rods=(rod,), form="between", path=thing.path
    )


def _at_back(thing: Thing, scene: Scene, part: str) -> PlacedProp:
    """Return a cushion or a roll between the back of somebody who sits and the back of the chair."""
    there = target(part, None)
    frame = scene.kin.rotation[there.segment]
    thick, long, wide = min(thing.size[:2]), max(thing.size[:2]), thing.size[2] * 0.8
    centre = scene.kin.place(there.segment, there.at) - frame[:, 0] * (there.radius + thick * 0.35)
    half = np.array([thick, min(long, 0.2), wide]) / 2
    block = Block("top", centre, frame, half)
    return PlacedProp(
        thing.kind, thing.name, forward_of(scene.base), (block,), form="between", path=thing.path
    )


def _slid(thing: Thing, scene: Scene, part: str, sides: Sequence[Side]) -> PlacedProp:
    """Return a cloth between hands or feet and what they lie on."""
    forward = forward_of(scene.base)
    places = []
    for side in sides:
        found = samples(part, side)
        on_it = [scene.kin.place(one.segment, one.at) - UP * one.radius for one in found]
        places.append(np.mean(on_it, axis=0))
    spots = np.array(places)
    middle = spots.mean(axis=0)
    deep, thick, wide = min(thing.size[0], CLOTH), *thing.size[1:]
    apart = float(np.abs((spots - middle) @ cross(forward, UP)).max())
    size = (deep, thick, min(wide, ACROSS) if len(sides) == 1 else 2 * apart + BESIDE_PALM)
    # Hands lie on the far part of the cloth, which they push; a foot stands on it with its heel on the near part.
    ahead = deep / 5 * (1.0 if part in ("heel", "foot") else -1.0)
    centre = (middle + forward * ahead) * (1, 0, 1) + UP * (float(spots[:, 1].min()) + thick / 2)
    block = solid_block("top", centre, forward, size)
    form = thing.prop.form or "" if thing.prop else ""
    return PlacedProp(thing.kind, thing.name, forward, (block,), form=form, path=thing.path)


def place_at_body(thing: Thing, scene: Scene) -> PlacedProp | None:
    """Return a soft thing that the body itself keeps in place: under the arm, or behind the back on a chair."""
    text = kept_by_body(thing, scene.state)
    if text is None:
        return None
    named = read_part(text)
    if sliding := slid_by(thing, scene.state):
        return _slid(thing, scene, named.part, sliding)
    if named.side == "none":
        return _at_back(thing, scene, named.part)
    sides = sides_of(named.side, "right", scene.state.lead)
    return _beside_arm(thing, scene, sides[0])


def place_carried(thing: Thing, scene: Scene, fixed: Vec3 | None) -> PlacedProp | None:
    """Return a prop that is held, worn or squeezed, in one pose."""
    prop = thing.prop
    forward = forward_of(scene.base)
    if prop is not None and prop.between is not None:
        part = {"knees": "knee", "thighs": "thigh", "feet": "ball of foot", "hands": "hand"}[prop.between]
        ends = [spot_of(scene.kin, part, side) for side in SIDES]
        centre = (ends[0] + ends[1]) / 2
        across = (ends[1] - ends[0]) / (norm(ends[1] - ends[0]) or 1.0)
        if thing.row["shape"] == "ball":
            return PlacedProp(
                thing.kind,
                thing.name,
                forward,
                spheres=(Sphere("ball", centre, thing.size[1] / 2),),
                path=thing.path,
            )
        up = cross(across, forward)
        up = up / (norm(up) or 1.0)
        axes = np.column_stack([cross(up, across), up, across])
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
        end = spot_of(scene.kin, named.part, side[0] if side else None)
        if fixed is not None:
            line = Line(thing.kind, (end, fixed), thing.size[1])
            return PlacedProp(thing.kind, thing.name, forward, lines=(line,), path=thing.path)
        ring = Line(
            "cuff", _cuff(scene.kin, named.part, side[0] if side else None), thing.size[1], closed=True
        )
        return PlacedProp(thing.kind, thing.name, forward, lines=(ring,), form="cuff", path=thing.path)
    return _held(thing, scene, fixed)
