"""Where a limb was in the panel before: a dashed, empty outline, over the body but not where the limb is now."""

from __future__ import annotations

from collections.abc import Collection

import numpy as np
from numpy.typing import NDArray

from limberleaf.diagrams.body.skeleton import SIDES
from limberleaf.diagrams.drawing.chains import Chain, mask_loops
from limberleaf.diagrams.drawing.curves import LINE, curves
from limberleaf.diagrams.drawing.panel import Panel
from limberleaf.diagrams.picture.displaylist import Command, Paint, PathBuilder, Points, Shape, basis
from limberleaf.diagrams.picture.style import Style
from limberleaf.diagrams.solving.solved import SolvedFigure
from limberleaf.diagrams.surface.buffers import Bools
from limberleaf.diagrams.surface.materials import CORE, LIMBS

LEAST_WAY = 0.075
"""How far (H) the end of the limb must have come: a nearer outline only thickens the limb."""
STILL = 0.05
"""How far (H) the trunk may have moved: when all moves, the outline of one limb says nothing."""
NOD = (0.05, 0.40)
ROOM = 4.5
"""Units round the limb as it is now where the old outline says nothing new."""
LEAST_RUN, LEAST_SUM = 22.0, 60.0
"""Shortest run of dashes and least of all of them (units): a few dashes say nothing."""
_ENDS = (("leg", ("ankle", "toe", "knee")), ("arm", ("wrist", "elbow")))


def moved_limbs(solved: SolvedFigure, number: int, tinted: Collection[str]) -> set[str]:
    """Return the limbs whose end went far while the trunk stayed; the tinted ones alone when one of them did."""
    before, after = (solved.poses[i].posed.points for i in (number - 1, number))

    def way(name: str) -> float:
        return float(np.linalg.norm(before[name] - after[name]))

    if max(way(name) for name in ("pelvis_mid", "spine_6")) > STILL:
        return set()
    found = {
        f"{limb}_{side}"
        for limb, ends in _ENDS
        for side in SIDES
        if max(way(f"{end}_{side}") for end in ends) > LEAST_WAY
    }
    if not found and NOD[0] < way("vertex") < NOD[1] and way("spine_6") < 0.02:
        return {"head", "hair"}
    found = found & set(tinted) or found
    if found and "head" in solved.spec.arrow and way("vertex") > NOD[0]:
        found |= {"head", "hair"}
    return found


def ghost_shapes(limbs: Collection[str], before: Panel, after: Panel, style: Style) -> list[Shape]:
    """Return the dashed outline of limbs as they were."""
    if not limbs:
        return []
    numbers = [LIMBS.index(name) for name in limbs]
    now = _grown(np.isin(after.labels.limb, numbers), round(ROOM * after.b.px))
    path, total = PathBuilder(), 0.0
    for loop in mask_loops(np.isin(before.labels.limb, numbers), 8, least=30):
        for run in _shown_runs(_outline(loop, before), before, after, now):
            length = float(np.hypot(*np.diff(run, axis=0).T).sum())
            if len(run) > 4 and length > LEAST_RUN:
                path.move(run[0]).through(np.vstack([run[:-1:4], run[-1:]]))
                total += length
    if total < LEAST_SUM:
        return []
    return dashed(path.done(), style)


def dashed(dashes: tuple[Command, ...], style: Style) -> list[Shape]:
    """Return a path as the dashes of what was, with a light edge under them."""
    dash = Paint(None, style.ghost, 1.6, cap="butt", dash=(5.0, 10 / 3))
    return [
        Shape(dashes, Paint(None, style.paper, 3.2), "ghost", "ghost"),
        Shape(dashes, dash, "ghost", "ghost"),
    ]


def _grown(mask: Bools, times: int) -> Bools:
    for _ in range(times):
        grown = mask.copy()
        grown[1:] |= mask[:-1]
        grown[:-1] |= mask[1:]
        grown[:, 1:] |= mask[:, :-1]
        grown[:, :-1] |= mask[:, 1:]
        mask = grown
    return mask


def _outline(loop: Chain, before: Panel) -> Points:
    """Return the places of a smooth outline, five to a cubic."""
    start, rows = curves([loop], before.b, [LINE])[0]
    starts = np.vstack([start, rows[:-1, 4:]])
    corners = np.concatenate([starts[:, None], rows.reshape(-1, 3, 2)], axis=1)
    out: Points = np.vstack([start[None], (basis(5) @ corners).reshape(-1, 2)])
    return out


def _shown_runs(outline: Points, before: Panel, after: Panel, now: Bools) -> list[Points]:
    """Cut an outline where the limb itself is now and where it only joined the body."""
    pixel = after.b.clamped(after.b.pixels(outline))
    show: NDArray[np.bool_] = ~now[pixel[:, 1], pixel[:, 0]]
    back = before.b.pixels(outline)
    for step in ((3, 0), (-3, 0), (0, 3), (0, -3)):
        beside = before.b.clamped(back + step)
        show &= before.labels.limb[beside[:, 1], beside[:, 0]] != CORE
    first = int(np.argmin(show))  # begin where it is hidden, so that no run is cut in two
    outline, show = np.roll(outline, -first, axis=0), np.roll(show, -first)
    edges = np.flatnonzero(np.diff(np.r_[False, show, False].astype(int)))
    return [outline[start:stop] for start, stop in zip(edges[::2], edges[1::2], strict=True)]
