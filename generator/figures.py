"""The figures of a library: asked of `diagrams`, kept by content, drawn in two processes when many are new.

A drawn figure is plain data: one SVG and one alternative text a panel, the motion, and what is wrong with the
pose. It is made for one affected side, in one language, with the words that language says the sides with.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from dataclasses import asdict, dataclass
from functools import lru_cache
from itertools import pairwise
from multiprocessing import get_context
from typing import Any, TypeVar

from limberleaf.diagrams.checking.ladder import NERVES, is_slider, ladder_vector
from limberleaf.diagrams.describing.describe import describe
from limberleaf.diagrams.draw import Drawing, draw_figure
from limberleaf.diagrams.language.spec import FigureSpec
from limberleaf.diagrams.posing import solve_figure
from limberleaf.diagrams.solving.solved import Problem
from limberleaf.library import Exercise, Side
from limberleaf.store import Store, code_key, content_key

Task = TypeVar("Task")
Made = TypeVar("Made")

FORM = 3
"""Counts up when `draw_requested` gives other parts, so that what was kept in the old form is drawn again."""

KIND = "figure"
"""The kind of drawn figures and moving pictures in the store."""

MANY = 24
"""From so many new figures on, a second process pays for its start."""


@dataclass(frozen=True)
class FigureRequest:
    """One figure to draw: its pose, its side and the words for its alternative text."""

    figure: str
    affected: Side
    language: str
    affected_word: str
    other_word: str
    id_prefix: str
    style: str = "screen"
    """`screen`, or `print` for paper: safe in black and white."""
    one_sided: bool = True
    """Whether one side is the affected one; else no limb is tinted."""

    @property
    def key(self) -> str:
        """Hash all that goes into the drawing, the drawing code included."""
        return content_key("figure", FORM, code_key("limberleaf.diagrams"), *vars(self).values())


@dataclass(frozen=True)
class AnimationRequest:
    """One moving picture to draw. It holds no words, so the pages of either side and of this side share it."""

    figure: str
    affected: Side
    one_sided: bool = True

    @property
    def key(self) -> str:
        """Hash all that goes into the moving picture, the drawing code included."""
        return content_key("animation", code_key("limberleaf.diagrams"), *vars(self).values())


@dataclass(frozen=True)
class Drawn:
    """A figure that was drawn."""

    svgs: tuple[str, ...]
    alts: tuple[str, ...]
    thumbnail: str
    problems: tuple[Problem, ...]
    demand: Mapping[str, Mapping[str, float]]
    """What the pose asks, component by component; by nerve, and by range and support under an empty name."""
    slides: tuple[str, ...]
    """The nerves of whose bed one end tightens while another slackens on the way from pose to pose."""


def figure_request_for(
    exercise: Exercise, side: Side | None, language: str, words: Mapping[str, str], style: str = "screen"
) -> FigureRequest:
    """Say which figure a page needs; without a side the right one stands for the affected one."""
    return FigureRequest(
        figure=exercise.figure.model_dump_json(exclude_none=True, exclude_defaults=True),
        affected=side or "right",
        language=language,
        affected_word=words["affected"],
        other_word=words["other"],
        id_prefix=f"{exercise.code}-",
        style=style,
        one_sided=exercise.sides != "both",
    )


def animation_request_for(exercise: Exercise, side: Side | None) -> AnimationRequest:
    """Say which moving picture a page needs.

    The picture for the left is that for the right, mirrored, unless a number is printed in it.
    """
    bare = {"poses": {"__all__": {"caption"}}}
    spec = exercise.figure.model_dump_json(exclude=bare, exclude_none=True, exclude_defaults=True)
    shown = side if side and exercise.figure.angle else "right"
    return AnimationRequest(spec, shown, exercise.sides != "both")


class Figures:
    """Drawn figures by request, from the store or drawn now."""

    def __init__(self, store: Store | None = None) -> None:
        """Keep figures in `store`; without one, for this run only."""
        self._store = store or Store()
        self._drawn: dict[FigureRequest, Drawn] = {}
        self._moving: dict[AnimationRequest, str | None] = {}
        self._helpers = Helpers()

    def prepare(self, requests: Iterable[FigureRequest]) -> None:
        """Draw what is not kept yet; many at once in two processes."""
        wanted = [request for request in dict.fromkeys(requests) if request not in self._drawn]
        kept = self._store.read([request.key for request in wanted], KIND)
        missing = [request for request in wanted if request.key not in kept]
        made = dict(zip(missing, self._helpers.draw(draw_requested, missing), strict=True))
        self._store.keep({request.key: value for request, value in made.items()}, KIND)
        for request in wanted:
            self._drawn[request] = _thaw(made[request] if request in made else kept[request.key])

    def get(self, request: FigureRequest) -> Drawn:
        """Give a figure, drawing it when it is new."""
        if request not in self._drawn:
            self.prepare([request])
        return self._drawn[request]

    def prepare_motions(self, requests: Iterable[AnimationRequest]) -> None:
        """Draw the moving pictures that are not kept yet."""
        wanted = [request for request in dict.fromkeys(requests) if request not in self._moving]
        kept = self._store.read([request.key for request in wanted], KIND)
        missing = [request for request in wanted if request.key not in kept]
        made = dict(zip(missing, self._helpers.draw(animate_requested, missing), strict=True))
        self._store.keep({request.key: value for request, value in made.items()}, KIND)
        for request in wanted:
            self._moving[request] = made[request] if request in made else kept[request.key]

    def motion(self, request: AnimationRequest) -> str | None:
        """Give a moving picture, or None for a figure of one pose."""
        if request not in self._moving:
            self.prepare_motions([request])
        return self._moving[request]

    def save(self) -> None:
        """Write new figures to the store's file and let helping processes go."""
        self._helpers.end()
        self._store.save()


def _thaw(value: Mapping[str, Any]) -> Drawn:
    return Drawn(
        tuple(value["svgs"]),
        tuple(value["alts"]),
        value["thumbnail"],
        tuple(Problem(**{**row, "path": tuple(row["path"])}) for row in value["problems"]),
        value["demand"],
        tuple(value["slides"]),
    )


class Helpers:
    """Other processes to draw in, started when many figures are new and ended when the work is saved."""

    def __init__(self) -> None:
        """Start nothing yet."""
        self._pool: ProcessPoolExecutor | None = None

    def draw(self, draw: Callable[[Task], Made], tasks: Sequence[Task]) -> list[Made]:
        """Draw in this process, or in as many as there are cores when the tasks are many; the order is kept."""
        workers = min(os.cpu_count() or 1, 4)
        if workers < 2 or (self._pool is None and len(tasks) < MANY):
            return [draw(task) for task in tasks]
        if self._pool is None:
            # One thread each: the matrices of a body are too small to share among threads.
            os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
            self._pool = ProcessPoolExecutor(workers, mp_context=get_context("spawn"))
        try:
            return list(self._pool.map(draw, tasks, chunksize=3))
        except (BrokenProcessPool, OSError):  # no process can be started here: slower, but whole
            self.end()
            return [draw(task) for task in tasks]

    def end(self) -> None:
        """Let the processes go."""
        if self._pool is not None:
            self._pool.shutdown()
            self._pool = None


@lru_cache(maxsize=16)
def _drawing(figure: str, affected: Side, style: str, language: str, one_sided: bool) -> Drawing:
    """Draw once for the page of either side and the page of this side, which differ in words only."""
    solved = solve_figure(FigureSpec.model_validate_json(figure), affected, language)
    return draw_figure(solved, style=style, one_sided=one_sided)


def draw_requested(request: FigureRequest) -> dict[str, Any]:
    """Solve and draw one figure: a pure function of the request, as plain data."""
    drawing = _drawing(request.figure, request.affected, request.style, request.language, request.one_sided)
    solved = drawing.solved
    words = {"affected": request.affected_word, "other": request.other_word}
    alts = describe(solved, request.language, words)
    return {
        "svgs": [
            drawing.panel_svg(i, title=alt, id_prefix=f"{request.id_prefix}{i + 1}-")
            for i, alt in enumerate(alts)
        ],
        "alts": alts,
        "thumbnail": drawing.panel_svg(len(alts) - 1),
        "problems": [asdict(problem) for problem in drawing.problems],
        "demand": {
            "": ladder_vector(solved),
            "sciatic": ladder_vector(solved, "sciatic"),
            "median": ladder_vector(solved, "median"),
        },
        "slides": [
            nerve
            for nerve in NERVES
            if any(is_slider(one, two, nerve, solved.affected) for one, two in pairwise(solved.poses))
        ],
    }


def animate_requested(request: AnimationRequest) -> str | None:
    """Draw one moving picture; a figure of one pose has none."""
    drawing = _drawing(request.figure, request.affected, "screen", "en", request.one_sided)  # no captions
    return drawing.motion_svg() if len(drawing.solved.poses) > 1 else None
