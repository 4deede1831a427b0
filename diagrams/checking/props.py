"""Findings about props and places: unknown, unused, or with a part of the body inside."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

import numpy as np

from limberleaf.diagrams.body.kinematics import Kinematics, forward
from limberleaf.diagrams.body.skeleton import Array, Vec3, skeleton
from limberleaf.diagrams.body.vectors import norm
from limberleaf.diagrams.checking.check_words import centimetres, joints_in_the_way, limb_joints, part_words
from limberleaf.diagrams.language.spec import FigureSpec
from limberleaf.diagrams.language.words import nearest, part_rows, prop_rows, read_part, sides_of
from limberleaf.diagrams.solving.asked.state import Touch
from limberleaf.diagrams.solving.props.placing import spot_of
from limberleaf.diagrams.solving.props.shapes import RIM
from limberleaf.diagrams.solving.settings import tolerance
from limberleaf.diagrams.solving.solved import Path, PlacedProp, Problem, SolvedPose
from limberleaf.diagrams.solving.touching.body_samples import (
    body_samples,
    inside,
    sample_girths,
    sample_places,
)
from limberleaf.diagrams.solving.touching.places import SEATS

# Not furniture: they stay only where something keeps them.
_BY_HAND = ("ball", "cushion", "pillow", "towel", "foam_roller", "gym_ball")


def check_props(pose: SolvedPose, kin: Kinematics, path: Path) -> Iterator[Problem]:
    """Report parts of the body inside a prop."""
    segments, _, radii = body_samples()
    points = sample_places(kin)
    for prop in pose.props:
        soft = prop_rows()[prop.kind].get("soft")
        gives = np.maximum(sample_girths(), 1.0) if soft else np.ones(len(radii))
        limit = gives * tolerance("soft_prop" if soft else "prop")
        sloping = prop_rows()[prop.kind]["shape"] == "ramp"  # its box is more than its wood
        for block in () if sloping else prop.blocks:
            deep = inside(block, points, radii)
            beside = block.name == "back" and pose.posture == "supine_legs_on_chair"  # drawn turned sideways
            if prop.form == "between" or beside or block.name.endswith(RIM) or (deep <= limit).all():
                continue
            yield _pierced(int(segments[deep.argmax()]), float(deep.max()), prop, pose, path)
        for centre, radius in () if prop.form == "aid" or prop.kind == "rail" else _round_parts(prop):
            apart = np.linalg.norm(points[:, None, :] - centre[None, :, :], axis=2).min(axis=1)
            deep = np.minimum(radius + radii - apart, 2 * radii)
            if prop.form != "between" and (deep > limit).any():
                yield _pierced(int(segments[deep.argmax()]), float(deep.max()), prop, pose, path)


def _round_parts(prop: PlacedProp) -> Iterator[tuple[Array, float]]:
    """Return points along the middle of a prop's round parts that carry weight, with their radius."""
    if not prop.carries:
        return
    for rod in prop.rods:
        yield rod.start + np.linspace(0, 1, 9)[:, None] * (rod.end - rod.start), rod.radius
    for ball in prop.spheres:
        yield ball.centre[None, :], ball.radius


def _pierced(segment: int, depth: float, prop: PlacedProp, pose: SolvedPose, path: Path) -> Problem:
    part = skeleton().segments[segment]
    names = joints_in_the_way(pose.stated, limb_joints(part))
    return Problem(
        "inside-prop",
        "error",
        f"The {part_words(part)} is {centimetres(depth)} inside the {prop.name}.",
        f"Give the {prop.name} another place or height, or change the angles of the {names or 'joints above it'}.",
        prop.path or path,
    )


def check_props_used(spec: FigureSpec, poses: Sequence[SolvedPose]) -> Iterator[Problem]:
    """Report a listed prop that nothing touches and that has no place of its own."""
    for number, prop in enumerate(spec.props):
        placed_by = (prop.under, prop.behind, prop.in_front_of, prop.beside, prop.between, prop.around,
                     prop.held_by, prop.fixed_to)  # fmt: skip
        name = (prop.name or prop.kind).replace("_", " ").lower()
        kind = prop.kind.replace("_", " ")
        touched = any(
            name in contact.place or kind in contact.place or (contact.place == "seat" and prop.kind in SEATS)
            for pose in poses
            for contact in pose.contacts
        )
        lain_on = any(pose.ground > 0 for pose in poses) and prop.kind == "bed"
        if not touched and not lain_on and all(place is None for place in placed_by):
            yield Problem(
                "prop-unused",
                "warning",
                f"Nothing touches the {name}, so its place is a guess.",
                "Say what it is under, beside or held by, or add a contact on it.",
                ("props", number),
            )


def check_props_drawn(spec: FigureSpec, poses: Sequence[SolvedPose]) -> Iterator[Problem]:
    """Report a listed prop that is in no panel, or is not where it was stated to be."""
    for number, prop in enumerate(spec.props):
        name = (prop.name or prop.kind).replace("_", " ").lower()
        path: Path = ("props", number)
        drawn = [[one for one in pose.props if one.path == path] for pose in poses]
        if not all(drawn):
            panel = next(i for i, found in enumerate(drawn) if not found) + 1
            yield Problem(
                "prop-not-drawn",
                "error",
                f"The {name} is not in panel {panel}: nothing holds it or touches it there, and no place is stated.",
                f"Say who holds it (`held_by`), what touches it (a contact on the {name}), or its place"
                " (under, behind, in_front_of or beside).",
                path,
            )
            continue
        part = prop.behind or prop.in_front_of
        if part is None or prop.kind not in _BY_HAND:
            continue
        named = read_part(part)
        sides = sides_of(named.side, "right", "right") or (None,)
        for pose, found in zip(poses, drawn, strict=True):
            kin = forward(pose.posed.q, pose.posed.base)
            gap = min(_distance(found[0], spot_of(kin, named.part, side)) for side in sides)
            if gap > tolerance("prop_beside"):
                where = "behind" if prop.behind else "in front of"
                yield Problem(
                    "prop-elsewhere",
                    "error",
                    f"The {name} is stated {where} the {part}, but lies {centimetres(gap)} away from it.",
                    f"Add what keeps the {name} there, such as a wall {where} the {part}, or a hand that holds it.",
                    path,
                )
                break


def _distance(prop: PlacedProp, spot: Vec3) -> float:
    """Return how far a place is from the nearest surface of a prop, in H; 0 inside."""
    ways = [
        float(np.linalg.norm(np.maximum(np.abs((spot - block.centre) @ block.axes) - block.half, 0.0)))
        for block in prop.blocks
    ]
    ways += [norm(spot - ball.centre) - ball.radius for ball in prop.spheres]
    for rod in prop.rods:
        way = rod.end - rod.start
        share = min(max(float((spot - rod.start) @ way) / max(float(way @ way), 1e-12), 0.0), 1.0)
        ways.append(norm(spot - rod.start - share * way) - rod.radius)
    return max(min(ways, default=0.0), 0.0)


def check_places(unknown: Iterable[Touch], things: Sequence[str]) -> Iterator[Problem]:
    """Report contacts with a place that is not there; `things` are the names of the props of the figure."""
    names = ["floor", *things, *sorted(part_rows()), *sorted(prop_rows())]
    for touch in unknown:
        yield Problem(
            "place-unknown",
            "error",
            f"{touch.place!r} is not a place here.{nearest(touch.place, names)}",
            f"Name {', '.join(['the floor', *(f'the {thing}' for thing in things)])} or a part of the body.",
            touch.path,
        )
