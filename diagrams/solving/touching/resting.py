"""What carries a body although no contact is asked of it: a lying trunk on the ground, thighs on what one sits on."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from limberleaf.diagrams.body.kinematics import Kinematics
from limberleaf.diagrams.body.skeleton import Vec3, skeleton
from limberleaf.diagrams.solving.asked.state import Touch
from limberleaf.diagrams.solving.solved import PlacedProp
from limberleaf.diagrams.solving.touching.body_samples import body_samples, sample_places
from limberleaf.diagrams.solving.touching.contacts import plane_of
from limberleaf.diagrams.solving.touching.places import World, samples

LAID = 0.012
"""How far (H) from the ground such a part may be and still rest on it: flesh gives."""
LAID_PARTS = ("head", "upper back", "chest", "pelvis")
"""Parts of the trunk that carry a lying body although no contact is asked of them."""
_SEATED = ("buttock", "pelvis", "hip")
_SOFT = 0.02  # H; the flesh of a thigh that is sat on gives more


def laid_down(world: World, kin: Kinematics) -> list[tuple[Vec3, str]]:
    """Return where the trunk and the head of a lying body rest on the ground unasked: points and their segments."""
    body = skeleton()
    found = []
    for part in LAID_PARTS:
        for sample in samples(part, None):
            point = kin.place(sample.segment, sample.at)
            if abs(float(point[1]) - sample.radius - world.ground) < LAID:
                found.append((point, body.segments[sample.segment]))
    return found


def sat_on(
    touches: tuple[Touch, ...], world: World, placed: Mapping[str, PlacedProp], kin: Kinematics
) -> list[tuple[Vec3, str]]:
    """Return where the legs of a body that sits rest on what it sits on: points and their segments.

    Thighs lie on a seat as far as it reaches, and so nobody falls forwards who lifts both feet; on the ground whole
    legs do.
    """
    seat = next((plane for t in touches if t.part in _SEATED and (plane := plane_of(t, world))), None)
    if seat is None or seat.normal[1] < 0.5:  # nobody sits on a wall
        return []
    block = None
    if seat.thing is not None:
        prop = placed.get(seat.thing.name)
        if prop is None or not prop.blocks:
            return []
        block = prop.blocks[0]
    body, found = skeleton(), []
    segments, _, radii = body_samples()
    for segment, point, radius in zip(segments.tolist(), sample_places(kin), radii.tolist(), strict=True):
        name = body.segments[segment]
        if not name.startswith("thigh" if block is not None else ("thigh", "shank", "foot")):
            continue
        if abs(float(seat.normal @ point) - seat.value - radius) > _SOFT:
            continue
        if block is not None:
            local = np.abs((point - block.centre) @ block.axes) - block.half
            if max(local[0], local[2]) > 0:
                continue
        found.append((point, name))
    return found
