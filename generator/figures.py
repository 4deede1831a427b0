"""The figures of a library: asked of `diagrams`, kept by content, drawn in other processes when many are new.

A drawn figure is plain data: one SVG and one alternative text a panel, the motion, and what is wrong with the
pose. It is made for one affected side, in one language, with the words that language says the sides with.
"""

from __future__ import annotations

import json
import os
from collections.abc import Iterable, Mapping, Sequence
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from dataclasses import asdict, dataclass
from functools import lru_cache
from itertools import pairwise
from multiprocessing import get_context
from typing import TYPE_CHECKING, Any

from limberleaf.diagrams.adults import NEUTRAL, Adult
from limberleaf.diagrams.language.spec import FigureSpec
from limberleaf.diagrams.problem import Problem
from limberleaf.library import Exercise, Side
from limberleaf.progress import counted
from limberleaf.store import Store, code_key, content_key

if TYPE_CHECKING:
    from limberleaf.diagrams.draw import Drawing

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
    in_turn: bool = False
    """Whether the other side is to be done afterwards."""
    build: str = NEUTRAL.build
    skin: str = NEUTRAL.skin
    """Who is drawn."""

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
    build: str = NEUTRAL.build
    skin: str = NEUTRAL.skin

    @property
    def key(self) -> str:
        """Hash all that goes into the moving picture, the drawing code included."""
        return content_key("animation", code_key("limberleaf.diagrams"), *vars(self).values())


Request = FigureRequest | AnimationRequest
Coming = Future[list[Any]]
"""What is being drawn for one figure, in the order of its requests."""


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
    exercise: Exercise,
    side: Side | None,
    language: str,
    words: Mapping[str, str],
    adult: Adult,
    style: str = "screen",
) -> FigureRequest:
    """Say which figure a page needs; without a side the right one is taken for the affected one."""
    return FigureRequest(
        figure=exercise.drawn.model_dump_json(exclude_none=True, exclude_defaults=True),
        affected=side or "right",
        language=language,
        affected_word=words["affected"],
        other_word=words["other"],
        id_prefix=f"{exercise.code}-",
        style=style,
        one_sided=exercise.sides != "both",
        in_turn=exercise.sides == "each",
        build=adult.build,
        skin=adult.skin if style == "screen" else NEUTRAL.skin,
    )


def animation_request_for(exercise: Exercise, side: Side | None, adult: Adult) -> AnimationRequest:
    """Say which moving picture a page needs.

    The picture for the left is that for the right, mirrored, unless a number is printed in it.
    """
    bare = {"poses": {"__all__": {"caption"}}}
    spec = exercise.drawn.model_dump_json(exclude=bare, exclude_none=True, exclude_defaults=True)
    shown = side if side and exercise.figure.angle else "right"
    return AnimationRequest(spec, shown, exercise.sides != "both", adult.build, adult.skin)


class Figures:
    """Drawn figures by request, from the store or drawn now."""

    def __init__(self, store: Store | None = None) -> None:
        """Keep figures in `store`; without one, for this run only."""
        self._store = store or Store()
        self._drawn: dict[Request, Drawn | str | None] = {}
        self._coming: dict[Request, tuple[Coming, int]] = {}
        self._helpers = Helpers()

    def begin(self, requests: Iterable[Request]) -> None:
        """Have drawn what is not kept yet; many at once in other processes, and then without waiting for them.

        Requests for one figure (its sides, its languages, its moving picture) are drawn together, since they share
        bodies and pictures.
        """
        wanted = [
            one for one in dict.fromkeys(requests) if one not in self._drawn and one not in self._coming
        ]
        stored = self._store.read([request.key for request in wanted], KIND)
        groups: dict[tuple[object, ...], list[Request]] = {}
        for request in wanted:
            if request.key in stored:
                self._drawn[request] = _thawed(stored[request.key])
            else:
                groups.setdefault(_shared_by(request), []).append(request)
        every = list(groups.values())
        for group, coming in zip(every, self._helpers.draw(every), strict=True):
            self._coming |= {request: (coming, place) for place, request in enumerate(group)}

    def prepare(self, requests: Iterable[Request]) -> None:
        """Draw what is not kept yet, and wait for it."""
        wanted = list(dict.fromkeys(requests))
        self.begin(wanted)
        self._take([request for request in wanted if request in self._coming])

    def _take(self, requests: Sequence[Request]) -> None:
        """Take what was begun, waiting for what is still being drawn, and keep it."""
        drawn: dict[str, Any] = {}
        for request in counted("Drawing figures", requests):
            coming, place = self._coming.pop(request)
            drawn[request.key] = value = _drawn_in(coming, place, request)
            self._drawn[request] = _thawed(value)
        self._store.keep(drawn, KIND)

    def get(self, request: FigureRequest) -> Drawn:
        """Give a figure, drawing it when it is new."""
        found = self._given(request)
        if not isinstance(found, Drawn):
            raise TypeError(f"{request.figure} was kept as something else")
        return found

    def motion(self, request: AnimationRequest) -> str | None:
        """Give a moving picture, or None for a figure of one pose."""
        found = self._given(request)
        return found if isinstance(found, str) else None

    def _given(self, request: Request) -> Drawn | str | None:
        if request not in self._drawn:
            self.prepare([request])
        return self._drawn[request]

    def save(self) -> None:
        """Write new figures to the store's file and let helping processes go; what nobody waited for is left."""
        self._take([request for request, (coming, _) in self._coming.items() if coming.done()])
        self.stop()
        self._store.save()

    def stop(self) -> None:
        """Let helping processes go, whatever they still had to do."""
        self._coming.clear()
        self._helpers.end()


@lru_cache(maxsize=1024)
def _bare(figure: str) -> str:
    """Return a figure without its captions."""
    words = json.loads(figure)
    for pose in words["poses"]:
        pose.pop("caption", None)
    return json.dumps(words, sort_keys=True)


def _shared_by(request: Request) -> tuple[object, ...]:
    style = request.style if isinstance(request, FigureRequest) else "screen"
    return _bare(request.figure), style, request.one_sided, request.build, request.skin


def _thawed(value: Any) -> Drawn | str | None:
    return _thaw(value) if isinstance(value, Mapping) else value


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

    def draw(self, groups: Sequence[Sequence[Request]]) -> list[Coming]:
        """Draw in this process at once, or begin to in as many as there are cores when the figures are many."""
        workers = min(os.cpu_count() or 1, 4)
        if workers < 2 or (self._pool is None and len(groups) < MANY):
            return [_here(group) for group in groups]
        try:
            if self._pool is None:
                # One thread each: the matrices of a body are too small to share among threads.
                os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
                self._pool = ProcessPoolExecutor(workers, mp_context=get_context("spawn"))
            return [self._pool.submit(draw_together, group) for group in groups]
        except (BrokenProcessPool, OSError):  # no process can be started here: slower, but whole
            self.end()
            return [_here(group) for group in groups]

    def end(self) -> None:
        """Let the processes go; what they have not begun is left."""
        if self._pool is not None:
            self._pool.shutdown(cancel_futures=True)
            self._pool = None


def _here(group: Sequence[Request]) -> Coming:
    """Draw in this process."""
    coming: Coming = Future()
    coming.set_result(draw_together(group))
    return coming


def _drawn_in(coming: Coming, place: int, request: Request) -> Any:
    """Return what another process drew; when it died, draw here: slower, but whole."""
    try:
        return coming.result()[place]
    except (BrokenProcessPool, OSError):
        return draw_together([request])[0]


def draw_together(requests: Sequence[Request]) -> list[dict[str, Any] | str | None]:
    """Draw requests for one figure one behind the other, so that what they share is at hand."""
    return [
        draw_requested(request) if isinstance(request, FigureRequest) else animate_requested(request)
        for request in requests
    ]


@lru_cache(maxsize=16)
def _drawing(
    figure: str,
    affected: Side,
    style: str,
    language: str,
    adult: Adult,
    one_sided: bool,
    in_turn: bool = False,
) -> Drawing:
    """Draw once for the page of either side and the page of this side, which differ in words only."""
    from limberleaf.diagrams.draw import draw_figure  # a second to start; most builds draw nothing
    from limberleaf.diagrams.posing import solve_figure

    solved = solve_figure(FigureSpec.model_validate_json(figure), affected, language, build=adult.build)
    return draw_figure(solved, style=style, one_sided=one_sided, in_turn=in_turn, skin=adult.skin)


def draw_requested(request: FigureRequest) -> dict[str, Any]:
    """Solve and draw one figure: a pure function of the request, as plain data."""
    from limberleaf.diagrams.checking.ladder import NERVES, is_slider, ladder_vector
    from limberleaf.diagrams.describing.describe import describe

    adult = Adult(request.build, request.skin)
    shown = (request.figure, request.affected, request.style, request.language, adult)
    drawing = _drawing(*shown, request.one_sided, request.in_turn)
    solved = drawing.solved
    words = {"affected": request.affected_word, "other": request.other_word}
    alts = describe(solved, request.language, words, in_turn=request.in_turn)
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
    adult = Adult(request.build, request.skin)
    drawing = _drawing(
        request.figure, request.affected, "screen", "en", adult, request.one_sided
    )  # no captions
    return drawing.motion_svg() if len(drawing.solved.poses) > 1 else None
