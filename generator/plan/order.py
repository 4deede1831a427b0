"""The order of a plan: exercises in the same posture together, and from one height to the next, never back."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from itertools import pairwise

from limberleaf.data_files import data_of

_UNKNOWN = (3, 999)


@cache
def places() -> dict[str, tuple[int, int]]:
    """Give the level (0 standing ... 3 on the floor) and the place in the order of every posture."""
    levels = data_of(__package__, "positions.yml")
    names = [(level, name) for level, group in enumerate(levels) for name in group]
    return {name: (level, place) for place, (level, name) in enumerate(names)}


def place_of(position: str) -> tuple[int, int]:
    """Give the level and place of a posture; one we do not know counts as the lowest."""
    return places().get(position, _UNKNOWN)


def suggested(positions: Sequence[str]) -> list[int]:
    """Give the order (as indices) in which a patient gets up and down as little as possible.

    Sorting by height gives the least way up and down there can be. Of the two directions the one is taken that
    starts nearer to the first exercise.
    """
    if not positions:
        return []
    place = [place_of(name) for name in positions]
    down = sorted(range(len(positions)), key=lambda i: place[i][1])
    up = sorted(range(len(positions)), key=lambda i: -place[i][1])
    return down if down.index(0) <= up.index(0) else up


def travel(positions: Sequence[str]) -> int:
    """Count the levels a patient goes up and down from one exercise to the next."""
    levels = [place_of(name)[0] for name in positions]
    return sum(abs(first - second) for first, second in pairwise(levels))
