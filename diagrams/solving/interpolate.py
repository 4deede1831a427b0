"""The body between two poses: joint angles in between, and what both poses touch still touched.

Angles are interpolated, not points, so that no limb shrinks on its way. A foot or hand that rests on the same thing in
both poses is then brought back to it by a few solver steps, which move no angle further than they must.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from limberleaf.diagrams.body.kinematics import forward, posed_at
from limberleaf.diagrams.body.skeleton import SIDES, Array, Posed, skeleton
from limberleaf.diagrams.solving.algebra.least_squares import Rows, Task, minimise
from limberleaf.diagrams.solving.settings import weight
from limberleaf.diagrams.solving.solved import ContactReport, PlacedProp, SolvedPose
from limberleaf.diagrams.solving.touching.places import UP

_HOLD = weight("between_contact")
_RAISED = np.radians(50.0)  # an arm swung so far in both poses goes round and not down
_STEP = 0.03  # H; a foot that goes forward so far while the other goes back steps
_SWING = {"hip": np.radians(22.0), "knee": np.radians(42.0)}  # its bend half way, over that of the poses
_KEEP = weight("between_prior")  # per radian, of the interpolated angles
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


def mixed(first: Array, last: Array, share: float) -> Array:
    """Return the motions a `share` of the way between two poses with one base.

    An arm raised in both goes round at its height: half way between forward and backward it points aside, where the
    plain mean of its swing forward and its swing out would hang it by the hip.
    """
    q: Array = first * (1 - share) + last * share
    for side in SIDES:
        swing = [skeleton().index[f"shoulder_{side}.{word}"] for word in ("flexion", "abduction")]
        (z0, x0), (z1, x1) = first[swing], last[swing]
        lifts = np.hypot(z0, x0), np.hypot(z1, x1)
        if min(lifts) < _RAISED:
            continue
        way = np.arctan2(x0, z0)
        turn = (np.arctan2(x1, z1) - way + np.pi) % (2 * np.pi) - np.pi
        lift = lifts[0] * (1 - share) + lifts[1] * share
        q[swing] = lift * np.cos(way + turn * share), lift * np.sin(way + turn * share)
    return q


def _stepping(pairs: list[tuple[ContactReport, ContactReport]], forward_way: Array) -> str:
    """Return the side of the foot that steps forward while the other goes back; feet that slide stay down."""
    along = {
        one.part: float((two.points[0] - one.points[0]) @ forward_way)
        for one, two in pairs
        if one.part in ("left foot", "right foot") and one.points and two.points
    }
    if len(along) < 2 or min(along.values()) > -_STEP or max(along.values()) < _STEP:
        return ""
    return max(along, key=lambda part: along[part]).split(" ", maxsplit=1)[0]


def interpolate(before: SolvedPose, after: SolvedPose, share: float) -> Posed:
    """Return the body a `share` (0 to 1) of the way from one pose to the next, with shared contacts kept."""
    base = before.posed.base
    target = after.posed.q if np.allclose(after.posed.base, base) else rebase(after.posed, base)
    if share <= 0.0:
        return before.posed
    if share >= 1.0:
        return after.posed
    q = mixed(before.posed.q, target, share)
    stepping = _stepping(shared_contacts(before, after), before.posed.frames["pelvis"][:, 0])
    if stepping:
        for joint, bend in _SWING.items():
            q[skeleton().index[f"{joint}_{stepping}.flexion"]] += bend * np.sin(np.pi * share)
    rows = _contact_rows(before, after, share, stepping)
    rows.extend(_floor_rows(min(before.ground, after.ground)))
    wide = np.full(len(q), np.pi * 2)
    weights = np.full(len(q), _KEEP)
    weights[:3] = _KEEP * 0.2
    frozen = np.zeros(len(q), dtype=bool)
    answer = minimise(Task(base, rows.pack(), q, weights, q - wide, q + wide, frozen), q)
    return posed_at(answer.kin, answer.q, base)


def _contact_rows(before: SolvedPose, after: SolvedPose, share: float, stepping: str) -> Rows:
    rows = Rows()
    body = skeleton()
    first, last = (forward(pose.posed.q, pose.posed.base) for pose in (before, after))
    for one, two in shared_contacts(before, after):
        if not one.carries or one.segments != two.segments or one.part == f"{stepping} foot":
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
