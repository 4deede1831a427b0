"""What of a limb is seen in a picture, measured in pixels of the depth buffer, and which important one is hidden."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cache

import numpy as np

from limberleaf.diagrams.body.skeleton import SIDES
from limberleaf.diagrams.drawing.panel import Panel
from limberleaf.diagrams.scene.emphasis import NAMES, main_segments
from limberleaf.diagrams.scene.view import segment_groups
from limberleaf.diagrams.scene.view_checks import VIEW_HINT, segment_words, view_path
from limberleaf.diagrams.solving.solved import Problem, SolvedFigure
from limberleaf.diagrams.surface.buffers import rasterise
from limberleaf.diagrams.surface.mesh import mesh, pieces

LEAST_SEEN = 0.25
"""Share of a limb's own outline that must show: the least of the demo figures, a far thigh behind its twin that readers
told apart, has 35 %, and 31 % on the larger adult; below that is room for other bodies (no source)."""
COARSE = 0.8
"""Pixels to a unit at which a limb is looked at by itself."""
_PIECES = {
    "thigh": ("thigh", "shorts", "buttock"),
    "shank": ("shank",),
    "foot": ("foot", "toes"),
    "upper_arm": ("upper_arm", "sleeve", "deltoid"),
    "forearm": ("forearm",),
    "hand": ("palm", "finger", "thumb"),
    "trunk": ("trunk", "yoke", "pec", "lat", "buttock", "deltoid"),
    "head": ("head", "hair", "nose", "nostrils", "lips", "chin", "ear"),
}
"""The pieces of the surface, by how their names begin, that show a segment."""


@cache
def _numbers(name: str) -> frozenset[int]:
    """Return the numbers of the pieces that show a segment ("thigh_right", "trunk")."""
    kind, _, side = name.rpartition("_")
    kind, side = (kind, side) if side in SIDES else (name, "")
    return frozenset(
        number
        for number, piece in enumerate(pieces())
        if piece.name.startswith(_PIECES[kind]) and piece.name.endswith(side)
    )


def seen_share(panel: Panel, name: str) -> float:
    """Return how much of a segment is seen, over what would be seen of it with nothing else in the picture."""
    numbers = sorted(_numbers(name))
    others = {piece.name for number, piece in enumerate(pieces()) if number not in numbers}
    alone = rasterise(panel.world, panel.camera, px=COARSE, without=others)
    whole = float((alone.quad >= 0).sum()) / alone.px**2
    shown = np.isin(mesh().piece[panel.b.quad], numbers) & (panel.b.quad >= 0)
    return min(float(shown.sum()) / panel.b.px**2 / max(whole, 1.0), 1.0)


def hidden_limbs(solved: SolvedFigure, panels: Sequence[Panel]) -> Iterator[Problem]:
    """Report important segments that the last panel hides; of several that show the same, one seen will do."""
    number = len(panels) - 1
    for group in segment_groups(solved) if main_segments(solved) else ():
        shares = {NAMES[i]: seen_share(panels[number], NAMES[i]) for i in group}
        best = max(shares, key=lambda name: shares[name])
        if shares[best] < LEAST_SEEN:
            words = segment_words(best, solved.affected)
            yield Problem(
                "figure-limb-hidden",
                "warning",
                f"In panel {number + 1} {words} is mostly hidden: {shares[best]:.0%} of it is seen.",
                f"{VIEW_HINT}, or move what is in the way.",
                view_path(solved),
            )
