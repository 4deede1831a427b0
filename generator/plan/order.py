"""The order of a plan: exercises in the same posture together, and from one height to the next, never back."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from importlib.resources import files
from itertools import pairwise

import yaml


@cache
def places() -> dict[str, tuple[int, int]]:
    """Give the level (0 standing ... 3 on the floor) and the place in the order of every posture."""
    levels = yaml.safe_load(files(__package__).joinpath("data/positions.yml").read_text("utf-8"))
    names = [(level, name) for level, group in enumerate(levels) for name in group]
    return {name: (level, place) for place, (level, name) in enumerate(names)}


def suggested(positions: Sequence[str]) -> list[int]:
    """Give the order (as indices) in which a patient gets up and down as little as possible.

    Sorting by height gives the fewest changes of height there can be. Of the two directions the one is taken that
    starts nearer to where the first exercise stands. A posture we do not know counts as the lowest.
    """
    if not positions:
        return []
    known = places()
    place = [known.get(name, (len(known), len(known))) for name in positions]
    down = sorted(range(len(positions)), key=lambda i: place[i][1])
    up = sorted(range(len(positions)), key=lambda i: -place[i][1])
    return down if down.index(0) <= up.index(0) else up


def height_changes(positions: Sequence[str]) -> int:
    """Count how often the height changes from one exercise to the next."""
    levels = [places().get(name, (99, 99))[0] for name in positions]
    return sum(first != second for first, second in pairwise(levels))
