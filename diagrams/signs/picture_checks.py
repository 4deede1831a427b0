"""What is wrong with a picture as it is drawn: panels that look alike, an arrow that was asked for and has no way."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from limberleaf.diagrams.body.skeleton import SIDES, Posed
from limberleaf.diagrams.drawing.panel import Panel
from limberleaf.diagrams.scene.parts import part_places
from limberleaf.diagrams.signs.arrows import LEAST_NOD, movement_kind
from limberleaf.diagrams.signs.hidden_limbs import hidden_limbs
from limberleaf.diagrams.signs.movement import LEAST_WAY
from limberleaf.diagrams.signs.seen_props import hidden_props, hidden_supports
from limberleaf.diagrams.solving.solved import Problem, SolvedFigure
from limberleaf.diagrams.surface.mesh import pieces

ALIKE = 0.02
"""Share of the body's pixels that must be drawn elsewhere for a panel to differ to the eye; a head that turns moves 3 %
(measured on the demo figures, no source)."""

LEAST_HAND = 20.0
"""Square units of a hand that must show in some panel: a hand seen edge-on has some 60 (measured on the demo
figures, no source)."""
_HAND = ("palm", "finger", "thumb")


def picture_problems(solved: SolvedFigure, panels: Sequence[Panel]) -> Iterator[Problem]:
    """Report what a reader of the picture would miss; `panels`: one for each pose."""
    yield from hidden_limbs(solved, panels)
    yield from _panels_alike(solved, panels)
    yield from _arrows_without_a_way(solved)
    yield from hidden_props(solved, panels)
    yield from hidden_supports(solved, panels)
    yield from _hands_not_seen(solved, panels)


def _hands_not_seen(solved: SolvedFigure, panels: Sequence[Panel]) -> Iterator[Problem]:
    """Report a hand that an author lays on something and that no panel shows there; of two on one thing one will do."""
    names = [piece.name for piece in pieces()]
    shown: dict[tuple[str, str], float] = {}
    for panel in panels:
        for contact in panel.pose.contacts:
            side = contact.part.partition(" ")[0]
            if not contact.author or contact.part != f"{side} hand" or side not in SIDES:
                continue
            hand = [n for n, name in enumerate(names) if name.startswith(_HAND) and name.endswith(side)]
            area = float(np.isin(panel.labels.piece, hand).sum()) / panel.b.px**2
            shown[side, contact.place] = max(area, shown.get((side, contact.place), 0.0))
    for (side, place), area in shown.items():
        twin = shown.get(("left" if side == "right" else "right", place), 0.0)
        if max(area, twin) < LEAST_HAND:
            which = "affected" if side == solved.affected else "other"
            yield Problem(
                "figure-hand-unseen",
                "warning",
                f"The {which} hand is on the {place}, but no panel shows it there.",
                "Choose another `view` that shows what the hand does, or leave the contact out.",
                ("view",),
            )


def _panels_alike(solved: SolvedFigure, panels: Sequence[Panel]) -> Iterator[Problem]:
    if solved.spec.inset:
        return
    for number, (before, after) in enumerate(pairwise(panels), start=1):
        one, two = _on_one_sheet(before, after)
        share = float((one != two).sum()) / max(int((one >= 0).sum()), 1)
        if share < ALIKE:
            yield Problem(
                "figure-panels-alike",
                "warning",
                f"Panel {number + 1} looks like panel {number}: only {share:.1%} of the body is drawn elsewhere.",
                "Make the movement larger, choose another `view`, or add an `inset` that shows what moves.",
                ("poses", number),
            )


def _on_one_sheet(before: Panel, after: Panel) -> tuple[NDArray[np.int8], NDArray[np.int8]]:
    """Return the limbs at each pixel of two panels, on sheets that lie over each other."""
    corners = [(round(p.b.left * p.b.px), round(p.b.top * p.b.px)) for p in (before, after)]
    limbs = [p.labels.limb for p in (before, after)]
    left, top = np.min(corners, axis=0)
    right = max(x + limb.shape[1] for (x, _), limb in zip(corners, limbs, strict=True))
    bottom = max(y + limb.shape[0] for (_, y), limb in zip(corners, limbs, strict=True))
    sheets = []
    for (x, y), limb in zip(corners, limbs, strict=True):
        sheet = np.full((bottom - top, right - left), -1, dtype=np.int8)
        sheet[y - top : y - top + limb.shape[0], x - left : x - left + limb.shape[1]] = limb
        sheets.append(sheet)
    return sheets[0], sheets[1]


def _arrows_without_a_way(solved: SolvedFigure) -> Iterator[Problem]:
    if len(solved.poses) < 2 or movement_kind(solved) in ("press", "hold", "rest"):
        return
    for number, name in enumerate(solved.spec.arrow):
        if name == "none" or any(
            _moves(name, solved, *pair) for pair in pairwise([pose.posed for pose in solved.poses])
        ):
            continue
        yield Problem(
            "figure-arrow-missing",
            "warning",
            f"The arrow for `{name}` is not drawn: it hardly moves from one panel to the next.",
            "Name the part that moves, or write `arrow: none`.",
            ("arrow", number),
        )


def _moves(name: str, solved: SolvedFigure, before: Posed, after: Posed) -> bool:
    """Whether a part goes anywhere, or turns where it is."""
    first, last = (part_places(name, posed, solved.affected, solved.lead) for posed in (before, after))
    for (start, end, _, segment), (start2, end2, _, _) in zip(first, last, strict=True):
        if float(np.linalg.norm((start + end) - (start2 + end2))) / 2 > LEAST_WAY:
            return True
        cosine = (np.trace(before.frames[segment].T @ after.frames[segment]) - 1) / 2
        if np.degrees(np.arccos(np.clip(cosine, -1, 1))) > LEAST_NOD:
            return True
    return False
