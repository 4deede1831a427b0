"""From a figure as an author wrote it to solved and checked bodies: the one place above `solving` and `checking`.

The affected side is solved as the right one. Checks read the solved bodies and what each pose asked for; for the left
side bodies and findings are mirrored.
"""

from __future__ import annotations

from limberleaf.diagrams.body.skeleton import Side
from limberleaf.diagrams.checking.captions import check_caption
from limberleaf.diagrams.checking.checks import check_figure
from limberleaf.diagrams.checking.props import check_places
from limberleaf.diagrams.language.spec import FigureSpec
from limberleaf.diagrams.remedies import with_remedies
from limberleaf.diagrams.solving.mirror import mirror_pose, mirror_problem, swap_spec
from limberleaf.diagrams.solving.solve import Bodies, solve_bodies
from limberleaf.diagrams.solving.solved import Problem, SolvedFigure, SolvedPose


def solve_figure(spec: FigureSpec, affected: Side = "right", language: str = "en") -> SolvedFigure:
    """Return the solved bodies of a figure and everything that is wrong with them.

    `affected` is the side that the words "affected ..." mean, `language` that of the captions. Deterministic; takes a
    few milliseconds a pose.
    """
    own = spec if affected == "right" else swap_spec(spec)
    bodies = solve_bodies(own)
    problems = check_bodies(own, bodies, language)
    if any(problem.severity == "error" for problem in problems):
        problems = with_remedies(own, problems, lambda changed: _solved(changed, language))
    poses = bodies.poses
    lead: Side = bodies.states[0].lead
    if affected == "left":
        poses = tuple(mirror_pose(pose) for pose in poses)
        problems = [mirror_problem(problem) for problem in problems]
        lead = "left" if lead == "right" else "right"
    return SolvedFigure(affected, lead, poses, tuple(problems), spec)


def _solved(spec: FigureSpec, language: str) -> tuple[tuple[SolvedPose, ...], list[Problem]]:
    """Solve and check a changed figure, for a way out that works."""
    bodies = solve_bodies(spec)
    return bodies.poses, check_bodies(spec, bodies, language)


def check_bodies(spec: FigureSpec, bodies: Bodies, language: str) -> list[Problem]:
    """Return everything that is wrong with solved bodies, each finding once; affected = right."""
    poses = bodies.poses
    problems = [*check_places(bodies.unknown, bodies.things)]
    for number in range(1, len(poses)):
        path = ("poses", number, "caption")
        problems.extend(check_caption(poses[number], poses[number - 1], "right", path, language))
    problems.extend(check_figure(spec, poses, bodies.states))
    return problems
