"""Contacts and directions as residual rows, and how well a solved pose meets them.

Each `Touch` becomes rows of `least_squares.py`: resting points on a plane (floor, seat, wall), a point against a
limb (ankle on knee, palm on shin) or a grip. `report` measures afterwards, from the solved body alone, how far
every touching part stays off, so that a conflict shows as a number and not as a bent body.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from limberleaf.diagrams.adults import per_build
from limberleaf.diagrams.body.kinematics import Kinematics
from limberleaf.diagrams.body.skeleton import Array, Side, Vec3, skeleton
from limberleaf.diagrams.body.vectors import cross, norm
from limberleaf.diagrams.language.words import part_rows
from limberleaf.diagrams.solving.algebra.least_squares import Rows
from limberleaf.diagrams.solving.asked.state import Heading, Touch
from limberleaf.diagrams.solving.settings import weight
from limberleaf.diagrams.solving.solved import ContactReport
from limberleaf.diagrams.solving.touching.places import (
    AXES,
    ORIGIN,
    UP,
    Sample,
    Target,
    Thing,
    World,
    read_place_part,
    samples,
    segment_number,
    target,
)

PALM_AT = np.array([0.0, -0.042, 0.0])
PALM_RADIUS = 0.014
TRUNK = 0.328  # H from the middle of the hips to the neck, straight
FIRM, DIRECTION = weight("contact"), weight("direction")
_ALONG = 0.18  # H; how far behind or in front a hand rests when the author does not say
_BESIDE = 0.15


@dataclass(frozen=True)
class Plane:
    """A flat place: unit normal out of it and its distance along that normal; `thing` None for the ground."""

    normal: Vec3
    value: float
    thing: Thing | None


_BEHIND = (
    "back",
    "upper back",
    "lower back",
    "pelvis",
    "buttock",
    "head",
    "trunk",
)  # what leans on a wall behind


def towards_body(thing: Thing, base: Array, *, behind: bool) -> Vec3:
    """Return the normal, towards the body, of an upright prop; the author's own word for its place comes first."""
    forward = base[:, 0] * np.array([1.0, 0.0, 1.0])
    if norm(forward) < 0.5:  # lying: the wall is beyond the feet, or beyond the head
        forward = -base[:, 1] * np.array([1.0, 0.0, 1.0])
    forward /= norm(forward)
    prop = thing.prop
    if prop is not None and prop.behind is not None:
        behind = True
    if prop is not None and prop.in_front_of is not None:
        behind = False
    if prop is not None and prop.beside is not None:
        right = cross(forward, UP)
        aside: Vec3 = -right if prop.beside == "affected" else right
        return aside
    level: Vec3 = forward if behind else -forward
    return level


def facing(touch: Touch, thing: Thing, base: Array) -> Vec3:
    """Return the normal, towards the body, of an upright prop that a part touches."""
    return towards_body(thing, base, behind=touch.part in _BEHIND)


def plane_of(touch: Touch, world: World) -> Plane | None:
    """Return the plane a touch rests on; None when it touches a body part or holds something."""
    if touch.kind == "holding":
        return None
    if touch.place == "floor":
        return Plane(UP, 0.0, None)
    if touch.place == "ground":
        return Plane(UP, world.ground, None)
    thing = world.seat() if touch.place == "seat" else world.find(touch.place)
    if thing is None:
        return None
    if thing.row["shape"] in ("wall", "doorway"):
        if thing.plane is None:
            return None
        return Plane(thing.plane[0], thing.plane[1], thing)
    return Plane(UP, thing.top_of(touch.place), thing)


def surface_of(touch: Touch, world: World) -> Target | None:
    """Return the part of the body a touch rests on or holds, if it is one."""
    there = part_at(touch.place, touch.side)
    return None if there is None or world.find(touch.place) is not None else there


@per_build
def part_at(place: str, side: Side | None) -> Target | None:
    """Return the part of the body that a place names for a part of one side, if it names one."""
    named = read_place_part(place, side)
    return None if named is None else target(named[0], named[1] if named[1] is not None else side)


def plane_rows(touch: Touch, plane: Plane) -> Rows:
    """Return the rows for a part resting on a plane."""
    rows = Rows()
    for sample in samples(touch.part, touch.side):
        rows.add((sample.segment, sample.at), plane.normal, plane.value + sample.radius, weight=FIRM)
    flat = part_rows()[touch.part].get("flat")
    if flat is not None:  # a palm or a sole lies along the surface, from edge to edge
        segment = segment_number(flat[0], touch.side)
        rows.add((segment, AXES[2]), plane.normal, 0.0, far=(segment, ORIGIN), weight=weight("flat"))
        if touch.part == "hand":
            # The palm, not the back of the hand: a light residual that is met exactly when the hand lies flat.
            rows.add(
                (segment, AXES[0]), plane.normal, -1.0, far=(segment, ORIGIN), weight=weight("palm_down")
            )
    return rows


def where_rows(touch: Touch, plane: Plane, base: Array) -> Rows:
    """Return the rows for where on its plane a part rests: behind, in front of, beside or under another part."""
    rows = Rows()
    if touch.where is None:
        return rows
    relation, part, side = touch.where
    sample = samples(touch.part, touch.side)[0]
    there = target(part, side)
    point = (there.segment, there.at)
    forward = base[:, 0] - plane.normal * (plane.normal @ base[:, 0])
    if norm(forward) < 0.3:
        forward = base[:, 1] - plane.normal * (plane.normal @ base[:, 1])
    forward = forward / norm(forward)
    right = cross(forward, plane.normal)
    here = (sample.segment, sample.at)
    out = {"right": 1.0, "left": -1.0}.get(touch.side or "", 0.0)
    spread = 0.0 if side in (None, touch.side) else 0.1 * out
    if side is None:
        spread = 0.115 * out
    along = touch.distance if touch.distance is not None else _ALONG
    if relation in ("behind", "in_front_of"):
        rows.add(
            here, forward, -along if relation == "behind" else along, far=point, weight=weight("place_along")
        )
        rows.add(here, right, spread, far=point, weight=weight("place_across"))
    elif relation == "beside":
        aside = touch.distance if touch.distance is not None else _BESIDE
        rows.add(here, right, aside * (out or 1.0), far=point, weight=weight("place_along"))
        rows.add(here, forward, 0.0, far=point, weight=weight("place_across"))
    else:
        rows.add(here, forward, 0.0, far=point, weight=weight("place_along"))
        rows.add(
            here, right, 0.0 if side is not None else 0.04 * out, far=point, weight=weight("place_across")
        )
    return rows


@per_build
def _toucher(part: str, side: Side | None) -> Sample:
    """Return the point of a part that meets a limb: the middle of the palm for a hand."""
    if part == "hand":
        return Sample(segment_number("hand", side), PALM_AT, PALM_RADIUS)
    return samples(part, side)[-1 if part in ("shin", "calf") else 0]


def _way_out(touch: Touch, there: Target, shared: bool) -> Array:
    """Return the way out of a limb where it is touched; two hands on one limb take a side each."""
    if not shared or touch.side is None:
        return there.face
    mixed: Array = there.face + {"right": 0.9, "left": -0.9}[touch.side] * AXES[2]
    return mixed / norm(mixed)


def limb_rows(
    touch: Touch, there: Target, *, shared: bool, firmness: float = FIRM, before: Kinematics | None = None
) -> Rows:
    """Return the rows for a part that touches or holds another part of the body, at one spot of it.

    With `before` the spot is where the part was on that limb in the pose before.
    """
    rows = Rows()
    here = _toucher(touch.part, touch.side)
    spot = there.at + _way_out(touch, there, shared) * (there.radius + here.radius)
    if before is not None:
        off = before.place(here.segment, here.at) - before.origin[there.segment]
        spot = before.rotation[there.segment].T @ off
    for axis in AXES:
        rows.add((here.segment, here.at), axis, 0.0, far=(there.segment, spot), weight=firmness)
    return rows


def gap_rows(touch: Touch, there: Target, kin: Kinematics, *, shared: bool) -> Rows:
    """Return the row that closes the gap between two limbs as they lie in `kin`; along the limb it may slide."""
    rows = Rows()
    here = _toucher(touch.part, touch.side)
    point = kin.place(here.segment, here.at)
    start, end = kin.place(there.segment, there.start), kin.place(there.segment, there.end)
    near = there.start + _share(point, start, end) * (there.end - there.start)
    outward = kin.rotation[there.segment] @ _way_out(touch, there, shared)
    way = point - kin.place(there.segment, near)
    length = norm(way)
    way = way / length if length > 0.5 * there.radius and way @ outward > 0 else outward
    rows.add((here.segment, here.at), way, there.radius + here.radius, far=(there.segment, near), weight=FIRM)
    return rows


def _share(point: Vec3, start: Vec3, end: Vec3) -> float:
    """Return how far along a line segment the point nearest to `point` lies, 0 to 1."""
    along = end - start
    return min(max(float((point - start) @ along) / max(float(along @ along), 1e-12), 0.0), 1.0)


def palm_rows(touch: Touch, there: Target, kin: Kinematics, *, shared: bool) -> Rows:
    """Return light rows that turn a palm towards the limb it touches, as it lies in `kin`."""
    rows = Rows()
    if touch.part != "hand":
        return rows
    way = kin.rotation[there.segment] @ _way_out(touch, there, shared)
    hand = segment_number("hand", touch.side)
    rows.add((hand, AXES[0]), way, -1.0, far=(hand, ORIGIN), weight=weight("palm_to_limb"))
    return rows


def heading_rows(heading: Heading, base: Array, share: float = DIRECTION) -> Rows:
    """Return the rows for a part that is level, vertical, upright or leaning."""
    rows = Rows()
    near, far = heading_ends(heading)
    if heading.kind == "level":
        rows.add(near, UP, 0.0, far=far, weight=share)
        return rows
    forward = base[:, 0] * np.array([1.0, 0.0, 1.0])
    forward = np.array([1.0, 0.0, 0.0]) if norm(forward) < 0.5 else forward / norm(forward)
    right = cross(forward, UP)
    lean = np.radians(heading.degrees)
    along = forward * np.cos(lean) - UP * np.sin(
        lean
    )  # square to the wanted direction, in the sagittal plane
    rows.add(near, along, 0.0, far=far, weight=share)
    rows.add(near, right, 0.0, far=far, weight=share)
    return rows


def heading_ends(heading: Heading) -> tuple[tuple[int, Array], tuple[int, Array]]:
    """Return the upper and the lower end of a part as (segment, place in its frame)."""
    if heading.part in ("trunk", "back", "chest", "upper back", "lower back", "belly"):
        neck, pelvis = skeleton().segment("neck"), skeleton().segment("pelvis")
        return (neck, ORIGIN), (pelvis, ORIGIN)
    if heading.part in ("pelvis", "head", "neck"):
        segment = skeleton().segment("head" if heading.part != "pelvis" else "pelvis")
        return (segment, np.array([0.0, 0.1, 0.0])), (segment, ORIGIN)
    if heading.part in ("foot", "heel", "toe", "ball of foot", "top of foot"):
        segment = segment_number("foot", heading.side)
        return (segment, np.array([0.079, -0.039, 0.0])), (segment, np.array([-0.035, -0.039, 0.0]))
    row = part_rows()[heading.part]
    name = {"arm": "upper_arm", "leg": "thigh"}.get(heading.part, row["line"][0])
    segment = segment_number(name, heading.side)
    if heading.part in ("arm", "leg"):
        end = segment_number("hand" if heading.part == "arm" else "foot", heading.side)
        return (segment, ORIGIN), (end, ORIGIN)
    reach = {"thigh": 0.245, "shank": 0.246, "upper_arm": 0.167, "forearm": 0.150, "hand": 0.055}.get(
        name, 0.1
    )
    return (segment, ORIGIN), (segment, np.array([0.0, -reach, 0.0]))


def heading_error(heading: Heading, kin: Kinematics) -> float:
    """Return how many degrees a part is off the direction it should have."""
    near, far = heading_ends(heading)
    way = kin.place(*near) - kin.place(*far)
    way = way / norm(way)
    if heading.kind == "level":
        return float(np.degrees(np.arcsin(abs(way[1]))))
    wanted = np.array([np.sin(np.radians(heading.degrees)), np.cos(np.radians(heading.degrees)), 0.0])
    cosine = way @ wanted if heading.kind in ("upright", "lean") else abs(way[1])
    return float(np.degrees(np.arccos(np.clip(cosine, -1.0, 1.0))))


def shared_targets(touches: tuple[Touch, ...]) -> set[tuple[str, str]]:
    """Return the (place, part) pairs that both sides touch at one spot."""
    seen: dict[tuple[str, str], set[Side | None]] = {}
    for touch in touches:
        named = read_place_part(touch.place, None)
        if named is not None:
            seen.setdefault((touch.place, touch.part), set()).add(touch.side)
    unpaired = {"both", ""}
    return {key for key, sides in seen.items() if len(sides) == 2 and key[0].split(" ")[0] not in unpaired}


def _distance(point: Vec3, there: Target, kin: Kinematics) -> float:
    """Return how far a point is from the axis of a limb, in H."""
    start, end = kin.place(there.segment, there.start), kin.place(there.segment, there.end)
    return norm(point - start - _share(point, start, end) * (end - start))


def _off_spot(touch: Touch, plane: Plane | None, kin: Kinematics) -> float:
    """Return how far (H) a part is from its stated spot on a plane; 0 when none is stated."""
    if plane is None or touch.where is None:
        return 0.0
    base = kin.placed[-1, :3, :3]
    spots = where_rows(touch, plane, base)
    if not len(spots):
        return 0.0
    packed = spots.pack()
    return float(np.max(np.abs(packed.residual(kin) / packed.weight)))


def report(touch: Touch, world: World, kin: Kinematics) -> ContactReport:
    """Return how well a solved body meets one contact."""
    plane = plane_of(touch, world)
    body = skeleton()
    points: list[Vec3] = []
    segments: list[str] = []
    error = 0.0
    if plane is not None:
        for sample in samples(touch.part, touch.side):
            point = kin.place(sample.segment, sample.at)
            error = max(error, abs(float(plane.normal @ point) - plane.value - sample.radius))
            points.append(point - plane.normal * sample.radius)
            segments.append(body.segments[sample.segment])
    else:
        here = _toucher(touch.part, touch.side)
        point = kin.place(here.segment, here.at)
        there = surface_of(touch, world)
        if there is not None:
            error = abs(_distance(point, there, kin) - there.radius - here.radius)
        points.append(point)
        segments.append(body.segments[here.segment])
    return ContactReport(
        part=touch.name,
        place=touch.place,
        kind="holding" if touch.kind == "holding" else "on",
        error=error,
        points=tuple(points),
        segments=tuple(segments),
        author=touch.author,
        path=touch.path,
        carries=plane is not None,
        off_spot=_off_spot(touch, plane, kin),
    )
