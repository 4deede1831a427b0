"""What the chosen view hides or shortens: important segments that a reader could not see in the last panel."""

from __future__ import annotations

from limberleaf.diagrams.body.skeleton import SIDES
from limberleaf.diagrams.problem import Problem
from limberleaf.diagrams.scene.camera import Camera
from limberleaf.diagrams.scene.emphasis import NAMES, main_segments
from limberleaf.diagrams.scene.view import LEAST_LENGTH, LEAST_SEEN, segment_groups, sights
from limberleaf.diagrams.solving.solved import SolvedFigure


def view_problems(figure: SolvedFigure, camera: Camera) -> tuple[Problem, ...]:
    """Return what the view hides in the last panel: important segments covered or foreshortened."""
    number = len(figure.poses) - 1
    pose = figure.poses[number]
    sight = sights(pose.posed, [camera], pose.props)[0]
    path: tuple[str | int, ...] = ("poses", number) if figure.spec.view == "auto" else ("view",)
    hint = "Choose another `view` (side, front, back, above, slant)"
    problems = []
    for group in segment_groups(figure) if main_segments(figure) else ():
        best = max(group, key=lambda i: (sight.seen[i] >= LEAST_SEEN, sight.lengths[i]))
        words = _segment_words(NAMES[best], figure.affected)
        if sight.seen[best] < LEAST_SEEN:
            text = f"In panel {number + 1} {words} is mostly hidden: {sight.seen[best]:.0%} of it is seen."
            problems.append(
                Problem("figure-limb-hidden", "warning", text, f"{hint}, or move what is in the way.", path)
            )
        elif sight.lengths[best] < LEAST_LENGTH and not NAMES[best].startswith(("foot", "hand", "head")):
            text = (
                f"In panel {number + 1} {words} points towards the reader and looks only "
                f"{sight.lengths[best]:.0%} as long as it is."
            )
            problems.append(
                Problem(
                    "figure-limb-foreshortened", "warning", text, f"{hint} that looks at it squarely.", path
                )
            )
    return tuple(problems)


def _segment_words(name: str, affected: str) -> str:
    kind, _, side = name.rpartition("_")
    if side not in SIDES:
        return f"the {name}"
    plain = {"shank": "lower leg", "upper_arm": "upper arm"}.get(kind, kind)
    return f"the {'affected' if side == affected else 'other'} {plain}"
