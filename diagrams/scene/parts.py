"""Where a part of the body that an author names lies on a posed body."""

from __future__ import annotations

import numpy as np

from limberleaf.diagrams.body.origins import segment_origin
from limberleaf.diagrams.body.skeleton import Posed, Side
from limberleaf.diagrams.language.words import part_rows, read_part, sides_of
from limberleaf.diagrams.scene.camera import Vec


def part_places(name: str, posed: Posed, affected: Side, lead: Side) -> list[tuple[Vec, Vec, float, str]]:
    """Return for each side a part means: its ends (two points), radius (H), and the segment it rides on."""
    word = read_part(name)
    segment, start, end, radius = part_rows()[word.part]["line"]
    result = []
    for side in sides_of(word.side, affected, lead) or (None,):
        full = f"{segment}_{side}" if f"{segment}_{side}" in posed.frames else segment
        flip = np.array([1.0, 1.0, -1.0 if side == "left" else 1.0])
        origin, frame = segment_origin(posed, full), posed.frames[full]
        ends = [origin + frame @ (np.array(v, dtype=float) * flip) for v in (start, end)]
        result.append((ends[0], ends[1], float(radius), full))
    return result
