"""What hangs over the edge of a bed: the parts beyond it rest on nothing and may go below the mattress.

The author names the part that lies at the edge (`edge: both ankles`); everything further along that limb is beyond.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np

from limberleaf.diagrams.body.kinematics import Kinematics
from limberleaf.diagrams.body.skeleton import Side, Vec3, load_data, skeleton
from limberleaf.diagrams.language.spec import Prop
from limberleaf.diagrams.language.words import read_part, sides_of
from limberleaf.diagrams.solving.touching.body_samples import sample_places
from limberleaf.diagrams.solving.touching.places import target

_BEFORE, _CLEAR = 0.012, 0.04  # H; how far before the middle of a leg's part the edge is, and of an arm's


def _limb_of(part: str) -> tuple[dict[str, Any], int]:
    """Return the limb of a part that lies at an edge, and how many places out along it the part is."""
    for limb in load_data("limbs").values():
        for number, place in enumerate(limb["places"]):
            if part in place["parts"]:
                return limb, number
    raise ValueError(f"{part!r} is on no limb")


def beyond(prop: Prop | None) -> Iterator[tuple[Side, frozenset[str], frozenset[str]]]:
    """Yield, by side, the parts and the points of the skeleton that hang over a prop's edge; affected = right."""
    if prop is None or prop.edge is None:
        return
    named = read_part(prop.edge)
    limb, number = _limb_of(named.part)
    outer = limb["places"][number + 1 :]
    parts = frozenset(part for place in outer for part in place["parts"])
    points = frozenset(point for place in outer for point in place["points"])
    for side in sides_of(named.side, "right", "right"):
        yield side, parts, points


def edge_place(
    edge: str, kin: Kinematics, forward: Vec3, right: Vec3, size: tuple[float, float]
) -> tuple[float, float]:
    """Return where a bed of `size` (along, across; H) begins along `forward` and its middle across.

    Its edge is at the part that `edge` names: a leg hangs over the end, an arm over the side.
    """
    named = read_part(edge)
    ends = [target(named.part, side) for side in sides_of(named.side, "right", "right")]
    place = np.mean([kin.place(end.segment, end.at) for end in ends], axis=0)
    body = sample_places(kin)
    along, across = body @ forward, body @ right
    if _limb_of(named.part)[0]["hangs"] == "side":
        side = 1.0 if float((place - kin.origin[0]) @ right) > 0 else -1.0
        middle = float(place @ right) - side * (_CLEAR + size[1] / 2)
        return float(along.min() + along.max()) / 2 - size[0] / 2, middle
    spot = float(place @ forward)
    feet_ahead = float((place - kin.origin[skeleton().segment("neck")]) @ forward) > 0
    near = spot - _BEFORE - size[0] if feet_ahead else spot + _BEFORE
    return near, float(across.min() + across.max()) / 2
