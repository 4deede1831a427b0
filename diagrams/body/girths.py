"""How much stouter or slimmer than the average adult's the body of the present build is, place by place."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any

from limberleaf.diagrams.adults import girth_at
from limberleaf.diagrams.sides import load_data


@cache
def _segments() -> Mapping[str, Any]:
    rows: Mapping[str, Any] = load_data("segments")["segments"]
    return rows


@cache
def _length(segment: str) -> float:
    """Return how far below a segment's joint the next one is, in H; 1 where nothing hangs on it."""
    return next((-row["offset"][1] for row in _segments().values() if row["parent"] == segment), 1.0)


@cache
def _height(segment: str) -> float:
    """Return how high (H) a segment's joint is in the upright body."""
    row = _segments()[segment]
    return float(row["offset"][1]) + (_height(row["parent"]) if row["parent"] else 0.0)


def girth(segment: str, level: float = 0.0, *, front: bool = False) -> float:
    """Return the factor on the body's radius at a place of a segment, named without its side.

    `level` (H): how far above the segment's joint, in its frame; `front`: on the front of the trunk, else its back.
    """
    return girth_at(segment, -level / _length(segment), height=_height(segment) + level, front=front)
