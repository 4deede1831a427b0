"""From a figure as an author wrote it to solved and checked bodies: the one place above `solving` and `checking`.

The affected side is solved as the right one. Checks read the solved bodies and what each pose asked for; for the left
side bodies and findings are mirrored.
"""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

from limberleaf.diagrams.adults import AVERAGE, with_build
from limberleaf.diagrams.body.skeleton import Side
from limberleaf.diagrams.checking.captions import check_caption
from limberleaf.diagrams.checking.checks import check_figure
from limberleaf.diagrams.checking.props import check_places
from limberleaf.diagrams.language.spec import FigureSpec
from limberleaf.diagrams.remedies import with_remedies
from limberleaf.diagrams.solving.mirror import mirror_pose, mirror_problem, swap_spec
from limberleaf.diagrams.solving.solve import Bodies, solve_bodies
from limberleaf.diagrams.solving.solved import Problem, SolvedFigure, SolvedPose

KEPT = 8
"""Bodies kept for the page of the other side, other languages and the moving picture of the same figure."""


def solve_figure(
    spec: FigureSpec,
    affected: Side = "right",
    language: str = "en",
    *,
    remedies: bool = True,
    build: str = AVERAGE,
) -> SolvedFigure:
    """Return the solved bodies of a figure and everything that is wrong with them.

    `affected` is the side that the words "affected ..." mean, `language` that of the captions, `build` a name of
    `data/adults.yml` (KeyError for another). Deterministic; takes a few milliseconds a pose; with `remedies` a pose
    that nobody can hold is tried with many changes, which takes longer.
    """
    with with_build(build):
        own = spec if affected == "right" else swap_spec(spec)
        bodies, found = _bodies(own.words_of_body(), build)
        pairs = zip(bodies.poses, own.poses, strict=True)
        bodies = replace(bodies, poses=tuple(replace(body, caption=pose.caption) for body, pose in pairs))
        problems = [*check_captions(bodies, language), *found]
        if remedies and any(problem.severity == "error" for problem in problems):
            problems = with_remedies(own, problems, lambda changed: _solved(changed, language))
    poses = bodies.poses
    lead: Side = bodies.states[0].lead
    if affected == "left":
        poses = tuple(mirror_pose(pose) for pose in poses)
        problems = [mirror_problem(problem) for problem in problems]
        lead = "left" if lead == "right" else "right"
    return SolvedFigure(affected, lead, poses, tuple(problems), spec, build)


@lru_cache(maxsize=KEPT)
def _bodies(words: str, build: str) -> tuple[Bodies, tuple[Problem, ...]]:
    """Solve and check a figure, written as JSON without its captions."""
    spec = FigureSpec.model_validate_json(words)
    like = () if build == AVERAGE else tuple(pose.posed.q for pose in _bodies(words, AVERAGE)[0].poses)
    with with_build(build):
        bodies = solve_bodies(spec, like)
        return bodies, tuple(check_bodies(spec, bodies))


def _solved(spec: FigureSpec, language: str) -> tuple[tuple[SolvedPose, ...], list[Problem]]:
    """Solve and check a changed figure, for a way out that works."""
    bodies = solve_bodies(spec)
    return bodies.poses, [*check_captions(bodies, language), *check_bodies(spec, bodies)]


def check_captions(bodies: Bodies, language: str) -> list[Problem]:
    """Return what the captions say that the bodies do not do; affected = right."""
    poses = bodies.poses
    return [
        problem
        for number in range(1, len(poses))
        for problem in check_caption(
            poses[number], poses[number - 1], "right", ("poses", number, "caption"), language
        )
    ]


def check_bodies(spec: FigureSpec, bodies: Bodies) -> list[Problem]:
    """Return everything that is wrong with solved bodies, each finding once; affected = right."""
    return [*check_places(bodies.unknown, bodies.things), *check_figure(spec, bodies.poses, bodies.states)]
