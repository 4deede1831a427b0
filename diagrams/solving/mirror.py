"""The same body mirrored: right becomes left, exactly.

Figures are solved with the right side as the affected one. The left side is that very result mirrored in the
plane z = 0, so both sides of a page show the same exercise to the last digit.
"""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np

from limberleaf.diagrams.body.kinematics import posed
from limberleaf.diagrams.body.skeleton import Array, Posed, Vec3, skeleton
from limberleaf.diagrams.language.spec import FigureSpec
from limberleaf.diagrams.solving.solved import (
    Block,
    ContactReport,
    Line,
    PlacedProp,
    Problem,
    Rod,
    SolvedPose,
    Sphere,
)

_SIDE_WORD = re.compile(r"(?<![a-z])(?:left|right)(?![a-z])")
_FLIP = np.diag([1.0, 1.0, -1.0])


def swap_word(text: str) -> str:
    """Return text with the words left and right exchanged; `upright` holds no side."""
    return _SIDE_WORD.sub(lambda found: "left" if found[0] == "right" else "right", text)


def _point(place: Vec3) -> Vec3:
    out: Vec3 = place * np.array([1.0, 1.0, -1.0])
    return out


def _axes(axes: Array) -> Array:
    """Mirror a frame; the last column is turned back so that the frame stays right-handed."""
    out: Array = _FLIP @ axes @ _FLIP
    return out


def mirror_motions(q: Array) -> Array:
    """Return a motion vector with the sides exchanged and one-sided trunk motions reversed."""
    body = skeleton()
    out = q.copy()
    for i, motion in enumerate(body.motions):
        if motion.joint.endswith(("_left", "_right")):
            out[body.index[swap_word(motion.name)]] = q[i]
        elif motion.name.endswith("_right") or motion.name == "root.z":
            out[i] = -q[i]
    return out


def mirror_posed(body: Posed) -> Posed:
    """Return the mirrored body."""
    return posed(mirror_motions(body.q), _axes(body.base))


def _mirror_prop(prop: PlacedProp) -> PlacedProp:
    return replace(
        prop,
        forward=_point(prop.forward),
        blocks=tuple(Block(swap_word(b.name), _point(b.centre), _axes(b.axes), b.half) for b in prop.blocks),
        rods=tuple(Rod(r.name, _point(r.start), _point(r.end), r.radius) for r in prop.rods),
        spheres=tuple(Sphere(s.name, _point(s.centre), s.radius) for s in prop.spheres),
        lines=tuple(Line(x.name, tuple(_point(p) for p in x.points), x.width, x.closed) for x in prop.lines),
    )


def _mirror_contact(contact: ContactReport) -> ContactReport:
    return replace(
        contact,
        part=swap_word(contact.part),
        place=swap_word(contact.place),
        points=tuple(_point(p) for p in contact.points),
        segments=tuple(swap_word(s) for s in contact.segments),
    )


def _one_sided(name: str, value: float) -> tuple[str, float]:
    """Mirror one angle: limb names swap sides, trunk turns change sign."""
    joint, word = name.split(".")
    if joint.endswith(("_left", "_right")):
        return swap_word(name), value
    return name, -value if word.endswith("_right") or name == "root.z" else value


def mirror_pose(pose: SolvedPose) -> SolvedPose:
    """Return a solved pose mirrored."""
    return replace(
        pose,
        base_name=swap_word(pose.base_name),
        posed=mirror_posed(pose.posed),
        props=tuple(_mirror_prop(p) for p in pose.props),
        contacts=tuple(_mirror_contact(c) for c in pose.contacts),
        stated=dict(_one_sided(k, v) for k, v in pose.stated.items()),
        free=dict(_one_sided(k, v) for k, v in pose.free.items()),
        at_limit=tuple(_one_sided(k, 0.0)[0] for k in pose.at_limit),
        moved=tuple(_one_sided(k, 0.0)[0] for k in pose.moved),
        support=tuple(_point(p) for p in pose.support),
        directions={swap_word(k): v for k, v in pose.directions.items()},
    )


def mirror_problem(problem: Problem) -> Problem:
    """Return a finding with left and right exchanged in its words."""
    return replace(problem, message=swap_word(problem.message), hint=swap_word(problem.hint))


def swap_spec(spec: FigureSpec) -> FigureSpec:
    """Return a figure whose own words left and right (not affected and other) are exchanged."""
    text = spec.model_dump_json(exclude_unset=True)
    if "left" not in text and "right" not in text:
        return spec
    data = spec.model_dump(exclude_unset=True)
    return FigureSpec.model_validate(_swap_values(data))


def _swap_values(value: object, key: str = "") -> object:
    if isinstance(value, dict):
        return {k: _swap_values(v, k) for k, v in value.items()}
    if isinstance(value, list):
        return [_swap_values(v, key) for v in value]
    if isinstance(value, str) and key != "caption" and value.startswith(("left ", "right ")):
        return swap_word(value)
    return value
