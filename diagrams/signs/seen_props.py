"""Whether a reader sees each thing that an author lists, measured on the picture."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from limberleaf.diagrams.body.skeleton import Array
from limberleaf.diagrams.drawing.panel import Panel
from limberleaf.diagrams.scene.prop_kinds import is_held
from limberleaf.diagrams.solving.solved import Block, ContactReport, PlacedProp, Problem, SolvedFigure
from limberleaf.diagrams.surface.buffers import Bools
from limberleaf.diagrams.surface.materials import LIMBS, limb_of
from limberleaf.diagrams.surface.things import seen

LEAST = 150.0
"""Square units of a thing (300 units to a body's height) that must show in some panel: less is a speck at 150 px
(measured on the demo figures, no source)."""
LEAST_END, ABOUT = 30.0, 14.0
"""Square units of a limb that must show so near (units) to where it bears on something (measured on the demo)."""
GRID = 9
"""Places along each edge of a face at which it is looked at."""
ALONG = np.linspace(-0.97, 0.97, GRID)


def hidden_props(solved: SolvedFigure, panels: Sequence[Panel]) -> Iterator[Problem]:
    """Report a listed thing of which no panel shows enough."""
    for number, listed in enumerate(solved.spec.props):
        path = ("props", number)
        found = [(one, prop) for one in panels for prop in one.pose.props if prop.path == path]
        if not found or max(_area(one, prop) for one, prop in found) >= LEAST:
            continue
        name = (listed.name or listed.kind).replace("_", " ")
        yield Problem(
            "prop-hidden",
            "error",
            f"The {name} is listed, but no panel shows it: it lies behind or under something else.",
            f"Choose another `view`, move the {name} to where it is seen, or leave it out.",
            path,
        )


def hidden_supports(solved: SolvedFigure, panels: Sequence[Panel]) -> Iterator[Problem]:
    """Report what bears or steadies the body and is not seen: the thing, or the hand, foot or knee that is on it.

    A thing that an author lists is told of by `hidden_props`.
    """
    listed = {prop.path for one in panels for prop in one.pose.props if prop.path}
    things: dict[str, float] = {}
    ends: dict[tuple[str, str], float] = {}
    for one in panels:
        for contact in one.pose.contacts:
            named = [p for p in one.pose.props if contact.place.startswith(p.name)]
            prop = max(named, key=lambda p: len(p.name), default=None)  # “block 2” is not “block”
            if not contact.carries or contact.kind != "on" or prop is None or is_held(prop):
                continue
            if prop.path not in listed:
                things[prop.name] = max(_area(one, prop), things.get(prop.name, 0.0))
            limb = limb_of(contact.segments[0]) if contact.segments else None
            if limb is not None:
                key = contact.part, prop.name
                ends[key] = max(_area_near(one, contact, limb), ends.get(key, 0.0))
    for name, area in things.items():
        if area < LEAST:
            yield _unseen_support(f"The {name} bears or steadies the body, but no panel shows it.")
    for (part, name), area in ends.items():
        side, _, kind = part.partition(" ")
        twin = ends.get((f"{'left' if side == 'right' else 'right'} {kind}", name), 0.0)
        if max(area, twin) < LEAST_END:
            which = "affected" if side == solved.affected else "other"
            yield _unseen_support(f"The {which} {kind} is on the {name}, but no panel shows it there.")


def _unseen_support(text: str) -> Problem:
    way_out = "Choose another `view` that shows what bears the body."
    return Problem("figure-support-unseen", "warning", text, way_out, ("view",))


def _area_near(one: Panel, contact: ContactReport, limb: str) -> float:
    """Return how much of a limb is seen where it touches, in square units."""
    y, x = np.nonzero(one.labels.limb == LIMBS.index(limb))
    if not len(x):
        return 0.0
    spots = one.b.pixels(one.camera.project(np.array(contact.points)))
    apart = np.hypot(x[:, None] - spots[:, 0], y[:, None] - spots[:, 1]).min(axis=1)
    return float((apart < ABOUT * one.b.px).sum()) / one.b.px**2


def _area(one: Panel, prop: PlacedProp) -> float:
    """Return how much of a thing a panel shows, in square units."""
    if is_held(prop):
        held = [other for other in one.pose.props if is_held(other)]
        limb = LIMBS.index(f"held{held.index(prop)}")
        return float((one.labels.limb == limb).sum()) / one.b.px**2
    blocks = [*prop.blocks, *(_as_block(rod.start, rod.end, rod.radius) for rod in prop.rods)]
    return sum(_area_of_block(one, prop, block) for block in blocks)


def _as_block(start: Array, end: Array, radius: float) -> Block:
    """Return the box about a roll."""
    along = (end - start) / max(float(np.linalg.norm(end - start)), 1e-9)
    one = np.cross(along, [0.0, 1.0, 0.0] if abs(along[1]) < 0.9 else [1.0, 0.0, 0.0])
    one = one / np.linalg.norm(one)
    half = np.array([float(np.linalg.norm(end - start)) / 2, radius, radius])
    return Block("roll", (start + end) / 2, np.column_stack([along, one, np.cross(along, one)]), half)


def _area_of_block(one: Panel, prop: PlacedProp, block: Block) -> float:
    total = 0.0
    others = [b for p in one.pose.props if p is not prop and not is_held(p) for b in p.blocks]
    for axis in range(3):
        slope = float(block.axes[:, axis] @ one.camera.toward)
        if abs(slope) < 1e-3:
            continue
        across = [k for k in range(3) if k != axis]
        local = np.zeros((GRID * GRID, 3))
        local[:, across[0]], local[:, across[1]] = (g.reshape(-1) for g in np.meshgrid(ALONG, ALONG))
        local[:, axis] = np.sign(slope)
        places = block.centre + (local * block.half) @ block.axes.T
        size = 4 * float(np.prod(block.half[across])) * abs(slope) * one.camera.scale**2
        free = seen(places, one.camera, one.b) | _off_sheet(one, places)
        total += size * float((free & ~_behind(places, one, others)).mean())
    return total


def _off_sheet(one: Panel, places: Array) -> Bools:
    """Return which places lie beyond the body's buffer, where nothing of the body can hide them."""
    pixel = one.b.pixels(one.camera.project(places))
    h, w = one.b.z.shape
    return np.asarray((pixel < 0).any(axis=1) | (pixel[:, 0] >= w) | (pixel[:, 1] >= h))


def _behind(places: Array, one: Panel, blocks: Sequence[Block]) -> Bools:
    """Return which places another block stands before (slab test)."""
    hidden = np.zeros(len(places), dtype=bool)
    for block in blocks:
        local = (places - block.centre) @ block.axes
        way = one.camera.toward @ block.axes
        way = np.where(np.abs(way) < 1e-9, 1e-9, way)
        first, second = (-block.half - local) / way, (block.half - local) / way
        near, far = np.minimum(first, second).max(axis=1), np.maximum(first, second).min(axis=1)
        hidden |= (far > np.maximum(near, 0.0) + 0.004) & (far > 0.004)
    return hidden
