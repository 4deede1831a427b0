"""What is wrong with the signs of a picture, measured on what is drawn: pixels of the bodies, shapes of the signs."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations

import numpy as np

from limberleaf.diagrams.body.origins import segment_origin
from limberleaf.diagrams.drawing.body import AREAS, paint_numbers
from limberleaf.diagrams.drawing.panel import Panel
from limberleaf.diagrams.picture.displaylist import Points, Shape, flatten
from limberleaf.diagrams.signs.movement import trails
from limberleaf.diagrams.solving.solved import Problem, SolvedFigure
from limberleaf.diagrams.surface.materials import LIMBS, limb_of

LEAST_TINT = 160.0
"""Square units of tinted skin (300 units to a body's height) that must show in every panel, or the side worked is not
seen: a bare foot from the side has some 500 (measured on the demo figures, no source)."""
TOO_NEAR = 4.0
"""Units between two signs below which they run into each other."""
MOST_SHARED = 0.2
"""Share of a sign's line that may run into another sign (measured on the demo figures, no source)."""
CLOSER = 8.0
"""Units by which an arrow may lie nearer to another limb than to the one whose way it shows."""
STEP = 4
"""Every so many pixels a limb is looked at."""
SHAPES_OF_ARROW = 4
"""Edges of shaft and head, then shaft and head."""


def sign_problems(
    solved: SolvedFigure, panels: Sequence[Panel], scenes: Sequence[Sequence[Shape]], tinted: frozenset[str]
) -> Iterator[Problem]:
    """Report signs that a reader cannot see or takes for another's; `scenes`: the shapes of each panel."""
    yield from _side_unseen(panels, tinted)
    for number, scene in enumerate(scenes):
        yield from _signs_collide(number, scene)
        if number:
            yield from _arrow_at_other_limb(solved, number, panels, scene)


def _side_unseen(panels: Sequence[Panel], tinted: frozenset[str]) -> Iterator[Problem]:
    if not tinted:
        return
    tint = AREAS.index("affected")
    areas = [float((paint_numbers(one.labels, tinted) == tint).sum()) / one.b.px**2 for one in panels]
    if max(areas) < LEAST_TINT:
        names = " and ".join(sorted(limb.partition("_")[0] for limb in tinted))
        yield Problem(
            "figure-side-unseen",
            "warning",
            f"No panel shows the skin of the affected {names}, so a reader cannot tell which side works.",
            "Choose another `view`, or move what lies before it.",
            ("view",),
        )


def _signs_collide(number: int, scene: Sequence[Shape]) -> Iterator[Problem]:
    """Report two signs that lie on each other: arrows, dots where something is felt, a printed angle."""
    signs = _signs(scene)
    for (one, line), (two, other) in combinations(signs, 2):
        shared = max(_share_near(line, other), _share_near(other, line))
        if shared > MOST_SHARED:
            yield Problem(
                "figure-signs-collide",
                "warning",
                f"In panel {number + 1} {_NAMES[one]} and {_NAMES[two]} lie on each other.",
                "Name one part for the arrow, choose another `view`, or leave out one of the two signs.",
                ("poses", number),
            )
            return


_NAMES = {
    "arrow": "an arrow",
    "felt": "the dots where it is felt",
    "angle": "the printed angle",
}


def _signs(scene: Sequence[Shape]) -> list[tuple[str, Points]]:
    """Return the signs of a panel with the places (n, 2) of their lines; a press goes with its own arrow."""
    arrows = [shape for shape in scene if shape.part == "arrow"]
    found = [
        ("arrow", _places(arrows[at + 2 : at + SHAPES_OF_ARROW]))
        for at in range(0, len(arrows), SHAPES_OF_ARROW)
    ]
    for name in ("felt", "angle"):
        shapes = [shape for shape in scene if shape.part == name]
        found += [(name, _places(shapes))] if shapes else []
    return found


def _places(shapes: Sequence[Shape]) -> Points:
    return np.vstack([line for shape in shapes for line, _ in flatten(shape.path, 4)])


def _share_near(line: Points, other: Points) -> float:
    apart = np.hypot(*(line[:, None] - other[None]).transpose(2, 0, 1)).min(axis=1)
    return float((apart < TOO_NEAR).mean())


def _arrow_at_other_limb(
    solved: SolvedFigure, number: int, panels: Sequence[Panel], scene: Sequence[Shape]
) -> Iterator[Problem]:
    """Report an arrow for one limb that is drawn along its twin: a reader moves the wrong one."""
    lines = [line for name, line in _signs(scene) if name == "arrow"]
    for trail in trails(solved, number):
        limb = limb_of(trail.segment)
        if limb is None:
            continue
        path = panels[number].camera.project(trail.places)
        line = min(lines, key=lambda line: float(np.hypot(*(line.mean(0) - path.mean(0)))), default=None)
        if line is None:
            continue
        kind, _, side = limb.partition("_")
        twin = f"{kind}_{'left' if side == 'right' else 'right'}"
        own = np.minimum(*(_distances(line, panels[at], limb) for at in (number - 1, number)))
        others = _distances(line, panels[number], twin)
        if not (np.isfinite(own).all() and np.isfinite(others).all()):  # nothing of a limb is seen
            continue
        away = own.mean() - others.mean()
        if away > CLOSER and not _moves_too(solved, number, trail.segment):
            which, not_which = ("affected", "other") if side == solved.affected else ("other", "affected")
            yield Problem(
                "figure-arrow-at-other-limb",
                "warning",
                f"In panel {number + 1} the arrow of the {which} {kind} runs along the {not_which} {kind}.",
                "Choose another `view` that shows both apart.",
                ("poses", number),
            )


def _moves_too(solved: SolvedFigure, number: int, segment: str) -> bool:
    """Whether the same segment of the other side goes about as far: the arrow is then for both."""
    kind, _, side = segment.rpartition("_")
    before, after = (solved.poses[at].posed for at in (number - 1, number))
    ways = [
        float(np.linalg.norm(segment_origin(after, name) - segment_origin(before, name)))
        for name in (segment, f"{kind}_{'left' if side == 'right' else 'right'}")
    ]
    return ways[1] > ways[0] / 2


def _distances(line: Points, panel: Panel, limb: str) -> Points:
    """Return how far (units) each place of an arrow lies from what is seen of a limb; infinite when nothing is."""
    y, x = np.nonzero(panel.labels.limb[::STEP, ::STEP] == LIMBS.index(limb))
    if not len(x):
        return np.full(len(line), np.inf)
    places = np.column_stack([x, y]) * STEP / panel.b.px + (panel.b.left, panel.b.top)
    apart: Points = np.hypot(*(line[:, None] - places[None]).transpose(2, 0, 1)).min(axis=1)
    return apart
