"""What standing props are built of: seats, steps, rolls, arms, wheels, backs."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from limberleaf.diagrams.body.skeleton import Vec3, skeleton
from limberleaf.diagrams.body.vectors import cross, norm
from limberleaf.diagrams.solving.props.placing import Foot, Scene, forward_of, solid_block
from limberleaf.diagrams.solving.solved import Block, PlacedProp, Rod, Sphere
from limberleaf.diagrams.solving.touching.places import (
    UP,
    Thing,
)

RIM = "rim"
"""How the pieces of a wheel are named: hands and legs may pass by them."""


_SEAT_THICKNESS = 0.02


def standing_prop(thing: Thing, forward: Vec3, foot: Foot) -> PlacedProp:
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


def with_arms(thing: Thing, placed: PlacedProp, faces: Vec3) -> PlacedProp:
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


def with_back(thing: Thing, placed: PlacedProp, faces: Vec3) -> PlacedProp:
    """Return a chair with its back at the edge away from where it faces."""
    seat = placed.blocks[0]
    high = float(thing.row["back"]) - thing.top
    depth = 0.02
    half = float(np.abs(seat.axes.T @ faces) @ seat.half)
    centre = seat.centre - faces * (half - depth / 2) + UP * (high / 2 + _SEAT_THICKNESS / 2)
    back = solid_block("back", centre, faces, (depth, high, thing.size[2]))
    return PlacedProp(placed.kind, placed.name, faces, (*placed.blocks, back), carries=True, path=placed.path)


def backrest(thing: Thing, scene: Scene, ground: float) -> PlacedProp:
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
