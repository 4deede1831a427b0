"""Findings about props and places: unknown, unused, or with a part of the body inside."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

import numpy as np

from limberleaf.diagrams.body.kinematics import Kinematics
from limberleaf.diagrams.body.skeleton import Array, skeleton
from limberleaf.diagrams.checking.check_words import centimetres, joints_in_the_way, limb_joints, part_words
from limberleaf.diagrams.language.spec import FigureSpec
from limberleaf.diagrams.language.words import nearest, part_rows, prop_rows
from limberleaf.diagrams.solving.body_samples import body_samples, inside, sample_places
from limberleaf.diagrams.solving.places import SEATS
from limberleaf.diagrams.solving.pose import Touch
from limberleaf.diagrams.solving.settings import tolerance
from limberleaf.diagrams.solving.solved import Path, PlacedProp, Problem, SolvedPose


def check_props(pose: SolvedPose, kin: Kinematics, path: Path) -> Iterator[Problem]:
    """Report parts of the body inside a prop."""
    segments, _, radii = body_samples()
    points = sample_places(kin)
    for prop in pose.props:
        limit = tolerance("soft_prop" if prop_rows()[prop.kind].get("soft") else "prop")
        sloping = prop_rows()[prop.kind]["shape"] == "ramp"  # its box is more than its wood
        for block in () if sloping else prop.blocks:
            deep = inside(block, points, radii)
            if prop.form == "between" or float(deep.max()) <= limit:
                continue
            yield _pierced(int(segments[deep.argmax()]), float(deep.max()), prop, pose, path)
        for centre, radius in _round_parts(prop):
            apart = np.linalg.norm(points[:, None, :] - centre[None, :, :], axis=2).min(axis=1)
            deep = np.minimum(radius + radii - apart, 2 * radii)
            if prop.form != "between" and float(deep.max()) > limit:
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
