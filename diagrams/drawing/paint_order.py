"""Which part is in front of which, without pixels: spheres that overlap on paper compare their depths.

Every part carries a few spheres. Two parts whose spheres overlap on paper are compared where they do, the nearer
surface wins, and a topological sort turns the pairs into an order from far to near. Parts that do not overlap follow
their mean depth, so a small change of pose never makes a limb pop to the front.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np

from limberleaf.diagrams.scene.camera import Camera, Vec

Pair = tuple[str, str]


@dataclass(frozen=True)
class Solid:
    """What the sort needs of a part: sphere places (n, 3), radii (n,) in H, its limb, and how far back it leans (H)."""

    name: str
    limb: str
    places: Vec
    radii: Vec
    lean: float = 0.0


# Parts that share a joint overlap there by their nature: the share of their depth difference that counts is small, and
# these leanings decide a tie. Positive: the first is painted over the second.
LEANINGS: Mapping[Pair, float] = {
    ("head", "neck"): 0.008,
    ("neck", "trunk"): 0.012,
    ("upper-arm", "trunk"): 0.004,
    ("thigh", "trunk"): 0.004,
    ("forearm", "upper-arm"): 0.0,
    ("shank", "thigh"): 0.0,
    ("foot", "shank"): 0.004,
    ("hand", "forearm"): 0.004,
}


def _leads(solids: Sequence[Solid], across: Vec, up: Vec, depth: Vec) -> dict[Pair, float]:
    """Return for each pair that overlaps on paper how much nearer the first is (H), where they do; (n,) each sphere."""
    count = len(solids)
    owner = np.repeat(np.arange(count), [len(solid.radii) for solid in solids])
    radii = np.concatenate([solid.radii for solid in solids])
    reach = radii[:, None] + radii
    gap = (across[:, None] - across) ** 2 + (up[:, None] - up) ** 2
    # Only spheres that meet on paper say anything, each pair of parts once, the one listed first first.
    one, two = np.nonzero((gap < reach**2) & (owner[:, None] < owner))
    weight = (1.0 - np.sqrt(gap[one, two]) / reach[one, two]) ** 2 * np.minimum(radii[one], radii[two])
    front = depth + 0.6 * radii
    pair = owner[one] * count + owner[two]
    total = np.bincount(pair, weight)
    lead = np.bincount(pair, weight * (front[one] - front[two]))
    met = np.flatnonzero(total > 1e-4)
    first, second = (met // count).tolist(), (met % count).tolist()
    return {
        (solids[i].name, solids[j].name): value
        for i, j, value in zip(first, second, (lead[met] / total[met]).tolist(), strict=True)
    }


@cache
def _leaning(a: str, b: str) -> float:
    one, two = (name.removesuffix("-left").removesuffix("-right") for name in (a, b))
    return LEANINGS.get((one, two), 0.0) - LEANINGS.get((two, one), 0.0)


def far_to_near(solids: Sequence[Solid], camera: Camera) -> tuple[list[str], dict[Pair, float]]:
    """Return part names from far to near, and the pairs that overlap with the lead of the first (H)."""
    places = np.concatenate([solid.places for solid in solids])
    toward = places @ camera.toward
    lean = {solid.name: solid.lean for solid in solids}
    pairs = {
        (a, b): lead + _leaning(a, b) - lean[a] + lean[b]
        for (a, b), lead in _leads(solids, places @ camera.right, places @ camera.up, toward).items()
    }
    counts = np.array([len(solid.places) for solid in solids])
    middle = (np.add.reduceat(toward, np.cumsum(counts) - counts) / counts).tolist()
    depth = {solid.name: at - 2 * solid.lean for solid, at in zip(solids, middle, strict=True)}
    behind: dict[str, dict[str, float]] = {solid.name: {} for solid in solids}
    for (a, b), lead in pairs.items():
        near, far = (a, b) if lead > 0 else (b, a)
        behind[near][far] = abs(lead)
    order: list[str] = []
    left = sorted(depth, key=lambda name: (round(depth[name], 4), name))
    while left:
        waiting = set(left)
        chosen = next((name for name in left if waiting.isdisjoint(behind[name])), None)
        if chosen is None:
            # A ring of parts each in front of the next is broken where the difference in depth is least.
            chosen = min(left, key=lambda n: max(v for o, v in behind[n].items() if o in waiting))
        order.append(chosen)
        left.remove(chosen)
    return order, pairs
