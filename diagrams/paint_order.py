"""Which part is in front of which, without pixels: spheres that overlap on paper compare their depths.

Every part carries a few spheres. Two parts whose spheres overlap on paper are compared where they do, the nearer
surface wins, and a topological sort turns the pairs into an order from far to near. Parts that do not overlap follow
their mean depth, so a small change of pose never makes a limb pop to the front.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from diagrams.camera import Camera, Vec

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


def overlaps(solids: Sequence[Solid], camera: Camera) -> dict[Pair, tuple[float, float]]:
    """Return for each overlapping pair (lead of the first in H, overlap weight); positive lead: first is nearer."""
    counts = [len(solid.radii) for solid in solids]
    owner = np.repeat(np.arange(len(solids)), counts)
    places = np.vstack([solid.places for solid in solids])
    radii = np.concatenate([solid.radii for solid in solids])
    across, up = places @ camera.right, places @ camera.up
    reach = radii[:, None] + radii[None, :]
    gap = (across[:, None] - across[None, :]) ** 2 + (up[:, None] - up[None, :]) ** 2
    # Only spheres that meet on paper say anything, each pair of parts once, the one listed first first.
    one, two = np.nonzero((gap < reach**2) & (owner[:, None] < owner[None, :]))
    weight = (1.0 - np.sqrt(gap[one, two]) / reach[one, two]) ** 2 * np.minimum(radii[one], radii[two])
    front = places @ camera.toward + 0.6 * radii
    pair = owner[one] * len(solids) + owner[two]
    total = np.bincount(pair, weight)
    lead = np.bincount(pair, weight * (front[one] - front[two]))
    met = np.flatnonzero(total > 1e-4)
    return {
        (solids[number // len(solids)].name, solids[number % len(solids)].name): (first, both)
        for number, first, both in zip(
            met.tolist(), (lead[met] / total[met]).tolist(), total[met].tolist(), strict=True
        )
    }


def _kind(name: str) -> str:
    return name.rsplit("-", 1)[0] if name.endswith(("-left", "-right")) else name


def _leaning(a: str, b: str) -> float:
    one, two = _kind(a), _kind(b)
    return LEANINGS.get((one, two), 0.0) - LEANINGS.get((two, one), 0.0)


def far_to_near(solids: Sequence[Solid], camera: Camera) -> tuple[list[str], dict[Pair, float]]:
    """Return part names from far to near, and the pairs that overlap with the lead of the first (H)."""
    lean = {solid.name: solid.lean for solid in solids}
    pairs = {
        (a, b): lead + _leaning(a, b) - lean[a] + lean[b]
        for (a, b), (lead, _) in overlaps(solids, camera).items()
    }
    depth = {solid.name: float((solid.places @ camera.toward).mean()) - 2 * solid.lean for solid in solids}
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
