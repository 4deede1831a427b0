"""What the chosen view shortens: important segments that point at the reader in the last panel."""

from __future__ import annotations

from limberleaf.diagrams.body.skeleton import SIDES
from limberleaf.diagrams.problem import Problem
from limberleaf.diagrams.scene.camera import Camera
from limberleaf.diagrams.scene.emphasis import NAMES, main_segments
from limberleaf.diagrams.scene.view import LEAST_LENGTH, LEAST_SEEN, segment_groups, sights
from limberleaf.diagrams.solving.solved import SolvedFigure

VIEW_HINT = "Choose another `view` (side, front, back, above, slant)"


def view_problems(figure: SolvedFigure, camera: Camera) -> tuple[Problem, ...]:
    """Return what the view shortens in the last panel; what it hides is measured in the picture itself."""
    number = len(figure.poses) - 1
    pose = figure.poses[number]
    sight = sights(pose.posed, [camera], pose.props)[0]
    problems = []
    for group in segment_groups(figure) if main_segments(figure) else ():
        best = max(group, key=lambda i: (sight.seen[i] >= LEAST_SEEN, sight.lengths[i]))
        if sight.lengths[best] < LEAST_LENGTH and not NAMES[best].startswith(("foot", "hand", "head")):
            text = (
                f"In panel {number + 1} {segment_words(NAMES[best], figure.affected)} points towards the reader and "
                f"looks only {sight.lengths[best]:.0%} as long as it is."
            )
            hint = f"{VIEW_HINT} that looks at it squarely."
            problems.append(Problem("figure-limb-foreshortened", "warning", text, hint, view_path(figure)))
    return tuple(problems)


def view_path(figure: SolvedFigure) -> tuple[str | int, ...]:
    """Return where a finding on the last panel's view stands: at the view, or at the pose where none is chosen."""
    return ("poses", len(figure.poses) - 1) if figure.spec.view == "auto" else ("view",)


def segment_words(name: str, affected: str) -> str:
    """Return a segment ("shank_left") in an author's words."""
    kind, _, side = name.rpartition("_")
    if side not in SIDES:
        return f"the {name}"
    plain = {"shank": "lower leg", "upper_arm": "upper arm"}.get(kind, kind)
    return f"the {'affected' if side == affected else 'other'} {plain}"
