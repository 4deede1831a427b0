"""The body between two poses: joint angles in between, and what both poses touch still touched.

Angles are interpolated, not points, so that no limb shrinks on its way. A foot or hand that rests on the same thing in
both poses is then brought back to it by a few solver steps, which move no angle further than they must.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from diagrams.body import Array, Posed, skeleton
from diagrams.kinematics import forward, posed_at
from diagrams.least_squares import Rows, Task, minimise
from diagrams.places import UP
from diagrams.solved import ContactReport, PlacedProp, SolvedPose

_HOLD = 3.0  # weight of a kept contact
_KEEP = 0.06  # pull to the interpolated angles, per radian
_ABOVE = ("heel", "ball", "toe", "ankle", "knee", "elbow", "wrist", "knuckle", "fingertip", "head_centre")


def rebase(body: Posed, base: Array) -> Array:
    """Return a body's motions (radians, H) with its pelvis turned from another base orientation (3x3)."""
    index = skeleton().index
    turn = base.T @ body.frames["pelvis"]
    q = body.q.copy()
    q[index["pelvis.anterior_tilt"]] = -np.arctan2(-turn[0, 1], turn[1, 1])
    q[index["pelvis.side_tilt_right"]] = np.arcsin(np.clip(turn[2, 1], -1.0, 1.0))
    q[index["pelvis.rotation_right"]] = -np.arctan2(-turn[2, 0], turn[2, 2])
    return q


def shared_contacts(before: SolvedPose, after: SolvedPose) -> list[tuple[ContactReport, ContactReport]]:
    """Return the contacts that both poses have: same part on the same place."""
    later = {(c.part, c.place): c for c in after.contacts}
    return [(c, later[c.part, c.place]) for c in before.contacts if (c.part, c.place) in later]


def interpolate(before: SolvedPose, after: SolvedPose, share: float) -> Posed:
    """Return the body a `share` (0 to 1) of the way from one pose to the next, with shared contacts kept."""
    base = before.posed.base
    target = after.posed.q if np.allclose(after.posed.base, base) else rebase(after.posed, base)
    if share <= 0.0:
        return before.posed
    if share >= 1.0:
        return after.posed
    q = before.posed.q * (1 - share) + target * share
    rows = _contact_rows(before, after, share)
    rows.extend(_floor_rows(min(before.ground, after.ground)))
    wide = np.full(len(q), np.pi * 2)
    pull = np.full(len(q), _KEEP)
    pull[:3] = _KEEP * 0.2
    frozen = np.zeros(len(q), dtype=bool)
    answer = minimise(Task(base, rows.pack(), q, pull, q - wide, q + wide, frozen), q)
    return posed_at(answer.kin, answer.q, base)


def _contact_rows(before: SolvedPose, after: SolvedPose, share: float) -> Rows:
    rows = Rows()
    body = skeleton()
    first, last = (forward(pose.posed.q, pose.posed.base) for pose in (before, after))
    for one, two in shared_contacts(before, after):
        if not one.carries or one.segments != two.segments:
            continue
        for name, start, end in zip(one.segments, one.points, two.points, strict=True):
            segment = body.segment(name)
            local_start = first.rotation[segment].T @ (start - first.origin[segment])
            local_end = last.rotation[segment].T @ (end - last.origin[segment])
            local = local_start * (1 - share) + local_end * share
            place = start * (1 - share) + end * share
            for axis in np.eye(3):
                rows.add((segment, local), axis, float(axis @ place), weight=_HOLD)
    return rows


def _floor_rows(height: float) -> Rows:
    rows = Rows()
    body = skeleton()
    for i, name in enumerate(body.points):
        if name.removesuffix("_left").removesuffix("_right") in _ABOVE:
            rows.add(
                (int(body.point_segment[i]), body.point_offset[i]),
                UP,
                height + body.radius[name],
                one_sided=True,
            )
    return rows


def between(before: SolvedPose, after: SolvedPose, share: float) -> SolvedPose:
    """Return a pose a `share` of the way: the body, and props that are held or worn moved along with it."""
    later = {(prop.kind, prop.name): prop for prop in after.props}
    props = tuple(_blend(prop, later.get((prop.kind, prop.name)), share) for prop in before.props)
    return replace(before, posed=interpolate(before, after, share), props=props)


def _blend(one: PlacedProp, two: PlacedProp | None, share: float) -> PlacedProp:
    """Return a prop between two places; one that is only in the first pose, or built otherwise there, stays."""
    if two is None or _build(one) != _build(two):
        return one

    def mix(a: Array, b: Array) -> Array:
        return a * (1 - share) + b * share

    return replace(
        one,
        blocks=tuple(
            replace(a, centre=mix(a.centre, b.centre)) for a, b in zip(one.blocks, two.blocks, strict=True)
        ),
        rods=tuple(
            replace(a, start=mix(a.start, b.start), end=mix(a.end, b.end))
            for a, b in zip(one.rods, two.rods, strict=True)
        ),
        spheres=tuple(
            replace(a, centre=mix(a.centre, b.centre)) for a, b in zip(one.spheres, two.spheres, strict=True)
        ),
        lines=tuple(
            replace(a, points=tuple(mix(p, q) for p, q in zip(a.points, b.points, strict=True)))
            for a, b in zip(one.lines, two.lines, strict=True)
        ),
    )


def _build(prop: PlacedProp) -> tuple[int, ...]:
    return (len(prop.blocks), len(prop.rods), len(prop.spheres), *(len(line.points) for line in prop.lines))


def frames(before: SolvedPose, after: SolvedPose, count: int) -> list[Posed]:
    """Return `count` bodies (at least 2) from one pose to the next, both ends included."""
    return [interpolate(before, after, share) for share in np.linspace(0.0, 1.0, max(count, 2))]
