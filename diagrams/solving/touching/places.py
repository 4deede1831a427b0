"""The places a part can touch: the ground, tops of props, walls, other parts of the body, things held in the hand.

A `World` belongs to one figure. It knows which props are there and, once a pose has used them, where: a prop that does
not move stays where the first pose put it.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cache
from typing import Any

import numpy as np

from limberleaf.diagrams.adults import per_build
from limberleaf.diagrams.body.girths import girth
from limberleaf.diagrams.body.skeleton import Array, Side, Vec3, skeleton
from limberleaf.diagrams.body.vectors import norm
from limberleaf.diagrams.language.spec import Prop
from limberleaf.diagrams.language.words import PartName, part_rows, prop_rows, read_part
from limberleaf.diagrams.solving.solved import Path

AXES, ORIGIN = np.eye(3), np.zeros(3)
UP = AXES[1]
SEATS = ("chair", "armchair", "wheelchair", "stool", "gym_ball", "bed", "step", "ball")
SAT_ON = ("pelvis", "buttock", "hip", "thigh", "back of thigh")
LOW = ("towel", "cushion", "pillow", "foam_roller", "wedge", "ball", "step")


@dataclass
class Thing:
    """A prop of this figure before it is placed: what the author wrote and where it came to stand."""

    kind: str
    name: str
    prop: Prop | None
    path: Path
    size: tuple[float, float, float]
    base: float = 0.0  # height it stands on
    plane: tuple[Vec3, float] | None = None  # upright props: normal towards the body, normal . point

    @property
    def row(self) -> dict[str, Any]:
        """Return the data row of its kind."""
        return prop_rows()[self.kind]

    @property
    def top(self) -> float:
        """Return the height of what carries weight, in H."""
        return self.base + self.size[1]

    def step_number(self, place: str) -> int:
        """Return which step of the stairs a place names: `stairs` is the lowest, `stairs 2` the next."""
        word = place.rsplit(" ", 1)[-1]
        count = int(self.row.get("count", 1))
        return min(max(int(word), 1), count) if word.isdigit() else 1

    def top_of(self, place: str) -> float:
        """Return the height of the part of the prop that a place names: `chair back`, `stairs 2`, or its top."""
        if "back" in self.row and place.endswith(" back"):
            return float(self.row["back"])
        if "arms" in self.row and place.endswith((" arm", " arms")):
            return float(self.row["arms"])
        if self.row["shape"] == "stairs":
            return self.base + self.size[1] * self.step_number(place) / int(self.row["count"])
        return self.top


@dataclass
class World:
    """The props of one figure and the height of the ground the posture lies on."""

    things: list[Thing] = field(default_factory=list)
    ground: float = 0.0

    def find(self, place: str) -> Thing | None:
        """Return the prop an author's place names: its own name, its kind, or its kind and part (`chair seat`)."""
        word = place.replace("-", " ").replace("_", " ")
        for thing in self.things:
            if word == thing.name.lower():
                return thing
        if word.startswith("chair"):  # a chair with arms and a wheelchair are chairs
            other = next((t for t in self.things if t.kind in ("chair", "armchair", "wheelchair")), None)
            if other is not None:
                return other
        for thing in self.things:
            kind = thing.kind.replace("_", " ")
            if word == kind or word.startswith(f"{kind} ") or word.endswith(f" {kind}"):
                return thing
        return None

    def seat(self) -> Thing | None:
        """Return the prop a sitting posture sits on."""
        for kind in SEATS:
            for thing in self.things:
                if thing.kind == kind and is_seat(thing) and (kind != "step" or thing.prop is None):
                    return thing
        return None


def is_seat(thing: Thing) -> bool:
    """Say whether a prop can be what a sitting posture sits on: one placed under a heel or beside the body is not."""
    prop = thing.prop
    if thing.kind not in SEATS:
        return False
    if prop is None:
        return True
    elsewhere = prop.in_front_of or prop.behind or prop.beside or prop.between or prop.held_by
    below = prop.under is None or read_part(prop.under).part in SAT_ON
    return not elsewhere and below


def pressed_relation(thing: Thing, world: World) -> str | None:
    """Return `behind` or `in_front_of` when a wall presses a ball against the part it is stated at, else None."""
    if thing.prop is None or thing.row["shape"] != "ball":
        return None
    walls = [t.prop for t in world.things if t.row["shape"] in ("wall", "doorway") and t.prop is not None]
    for relation in ("behind", "in_front_of"):
        if getattr(thing.prop, relation) and any(getattr(prop, relation) for prop in walls):
            return relation
    return None


def make_thing(kind: str, prop: Prop | None, path: Path) -> Thing:
    """Return a prop with its usual size, or the height the author gave."""
    row = prop_rows()[kind]
    size = list(row["size"])
    if prop is not None and prop.form and prop.form in row.get("forms", {}):
        size = list(row["forms"][prop.form])
    elif kind == "towel":
        size = list(row["forms"]["rolled" if prop is not None and prop.under else "flat"])
    if prop is not None and prop.height is not None:
        size[1] = prop.height
    name = prop.name if prop is not None and prop.name else kind.replace("_", " ")
    return Thing(kind, name, prop, path, (size[0], size[1], size[2]))


def make_world(props: Iterable[Prop], needed: Iterable[str], *, lies: bool) -> World:
    """Return the world of a figure: the author's props and those the posture needs and the author left out."""
    world = World()
    for number, prop in enumerate(props):
        world.things.append(make_thing(prop.kind, prop, ("props", number)))
    for kind in needed:
        if kind in SEATS and kind != "step":
            there = any(is_seat(thing) for thing in world.things)
        else:
            there = any(thing.kind == kind for thing in world.things)
        if not there:
            world.things.append(make_thing(kind, None, ()))
    bed = next((t for t in world.things if t.kind == "bed"), None)
    if bed is not None and lies:
        world.ground = bed.top
    for thing in world.things:
        if thing.kind in LOW:
            thing.base = world.ground
    return world


@dataclass(frozen=True)
class Sample:
    """A point of a part that rests on a surface: segment number, place in its frame, radius of the body there."""

    segment: int
    at: Array
    radius: float


def _side_vector(values: list[float], side: Side | None) -> Array:
    out = np.array(values, dtype=float)
    if side == "left":
        out[2] *= -1.0
    out.flags.writeable = False  # kept and shared
    return out


@cache
def segment_number(name: str, side: Side | None) -> int:
    """Return the number of a segment by its name without side; of a pair, the affected one when no side is meant."""
    body = skeleton()
    if name in body.segments:
        return body.segment(name)
    return body.segment(f"{name}_{side or 'right'}")


@per_build
def samples(part: str, side: Side | None) -> tuple[Sample, ...]:
    """Return the resting points of a part."""
    row = part_rows()[part]
    front = row["face"][0] > 0
    return tuple(
        Sample(
            segment_number(segment, side),
            _side_vector(at, side),
            float(radius) * girth(segment, at[1], front=front),
        )
        for segment, at, radius in row["samples"]
    )


@dataclass(frozen=True)
class Target:
    """A part of the body that something touches: a capsule, the point on its axis and the way out of it."""

    segment: int
    start: Array
    end: Array
    at: Array
    radius: float
    face: Array


@per_build
def target(part: str, side: Side | None) -> Target:
    """Return where on a part things touch it, in its segment's frame."""
    row = part_rows()[part]
    segment, start, end, radius = row["line"]
    a, b = _side_vector(start, side), _side_vector(end, side)
    middle = a + row["grip"] * (b - a)
    face = _side_vector(row["face"], side)
    return Target(
        segment=segment_number(segment, side),
        start=a,
        end=b,
        at=middle,
        radius=float(radius) * girth(segment, float(middle[1]), front=row["face"][0] > 0),
        face=face / norm(face),
    )


def is_place(place: str, side: Side | None, world: World) -> bool:
    """Say whether a contact's place is there: the ground, the seat, a prop of this figure or a part of the body."""
    return (
        place in ("floor", "ground", "seat")
        or world.find(place) is not None
        or read_place_part(place, side) is not None
    )


@cache
def read_place_part(place: str, own: Side | None) -> tuple[str, Side | None] | None:
    """Return the part of the body a place names, if it names one; affected = right; `own` without a side word."""
    try:
        named: PartName = read_part(place)
    except ValueError:
        try:
            named = read_part(f"affected {place}")
        except ValueError:
            return None
        return named.part, own
    if named.side in ("affected", "right", "lead"):
        return named.part, "right"
    if named.side in ("other", "left", "trail"):
        return named.part, "left"
    if named.side == "both":
        return named.part, own
    return named.part, None
