"""Rows that keep the body out of props and limbs out of each other, and the mass centre over its support."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

import numpy as np

from limberleaf.diagrams.body.overlap import crossings
from limberleaf.diagrams.body.skeleton import Array, Side, skeleton
from limberleaf.diagrams.solving.algebra.least_squares import Balance, Rows
from limberleaf.diagrams.solving.algebra.support import edges, outline, spread
from limberleaf.diagrams.solving.props.shapes import RIM
from limberleaf.diagrams.solving.settings import tolerance, weight
from limberleaf.diagrams.solving.solved import PlacedProp
from limberleaf.diagrams.solving.targets.rows import stays
from limberleaf.diagrams.solving.targets.setup import Working
from limberleaf.diagrams.solving.touching.body_samples import body_samples, inside, sample_places
from limberleaf.diagrams.solving.touching.contacts import part_at, plane_of
from limberleaf.diagrams.solving.touching.places import World, samples

_INSET, _NEAR = tolerance("balance_inset"), tolerance("near")


def outside_rows(now: Working, placed: Mapping[str, PlacedProp]) -> tuple[Rows, bool]:
    """Return one-sided rows that keep the body out of the nearest face of each prop, and whether any is pierced."""
    rows = Rows()
    pierced = False
    segments, places, radii = body_samples()
    points = sample_places(now.kin)
    for prop in placed.values():
        if prop.kind in ("pillow", "cushion", "towel", "wall", "bed", "wedge", "backrest"):
            continue
        for block in prop.blocks:
            if block.name.endswith(RIM):
                continue
            deep = inside(block, points, radii + _NEAR)
            pierced = pierced or bool((deep > _NEAR + 0.002).any())
            for i in np.flatnonzero(deep > 0.0):
                local = (points[i] - block.centre) @ block.axes
                gap = block.half - np.abs(local)
                axis = int(np.argmin(gap))
                normal = block.axes[:, axis] * (1.0 if local[axis] >= 0 else -1.0)
                value = float(normal @ block.centre) + block.half[axis] + radii[i]
                rows.add((int(segments[i]), places[i]), normal, value, one_sided=True)
    return rows, pierced


def apart_rows(now: Working) -> tuple[Rows, bool]:
    """Return one-sided rows that keep limbs apart, but for those that mean to touch, and whether any cross."""
    rows = Rows()
    crossed = False
    found_near = crossings(now.kin, _NEAR)
    touching = [_brought(t.part, t.side, t.place) for t in now.state.touches] if found_near else []
    for found in found_near:
        if any(set(found.names) <= pair for pair in touching):
            continue
        crossed = crossed or found.gap < -0.004
        near, far = (found.near, found.near_at), (found.far, found.far_at)
        rows.add(near, found.way, found.apart, far=far, one_sided=True)
    return rows, crossed


@cache
def _brought(part: str, side: Side | None, place: str) -> frozenset[str]:
    """Return the segments that a touch between limbs brings together."""
    body = skeleton()
    there = part_at(place, side)
    out = {body.segments[s.segment] for s in samples(part, side)}
    if there is not None:
        out.add(body.segments[there.segment])
        if part == "hand":
            out.add(f"forearm_{side}")
        if part in ("ankle", "foot", "heel"):
            out.add(f"shank_{side}")
    return frozenset(out)


def balance(now: Working, before: Working | None, world: World) -> Balance | None:
    """Return the rule that the mass centre stays over what stands on the floor."""
    if not now.state.row.get("balance"):
        return None
    body = skeleton()
    points: list[Array] = []
    for touch in now.state.touches:
        if plane_of(touch, world) is None:
            continue
        kin = stays(touch, now, before) or now.kin
        for sample in samples(touch.part, touch.side):
            across = kin.rotation[sample.segment][:, 2]
            points.extend(spread(kin.place(sample.segment, sample.at), body.segments[sample.segment], across))
    polygon = outline(points)
    if len(polygon) < 3:
        return None
    inward, value = edges(polygon, _INSET)
    return Balance(inward, value, weight=weight("balance"))
