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
from limberleaf.diagrams.drawing.draw import Drawing, draw_figure
from limberleaf.diagrams.language.spec import FigureSpec
from limberleaf.diagrams.solving.solve import solve_figure
from limberleaf.diagrams.solving.solved import Problem
from limberleaf.library import Exercise, Side
from limberleaf.store import Store, code_key, content_key

Task = TypeVar("Task")
Made = TypeVar("Made")

FORM = 3
"""Counts up when `draw_order` gives other parts, so that what was kept in the old form is drawn again."""

MANY = 24
"""From so many new figures on, a second process pays for its start."""


@dataclass(frozen=True)
class Order:
    """One figure to draw: its pose, its side and the words for its alternative text."""

    figure: str
    affected: Side
    language: str
    affected_word: str
    other_word: str
    id_prefix: str
    style: str = "screen"
    """`screen`, or `print` for paper: safe in black and white."""

    @property
    def key(self) -> str:
        """Hash all that goes into the drawing, the drawing code included."""
        return content_key("figure", FORM, code_key("limberleaf.diagrams"), *vars(self).values())


@dataclass(frozen=True)
class Move:
    """One moving picture to draw. It holds no words, so the pages of either side and of this side share it."""

    figure: str
    affected: Side

    @property
    def key(self) -> str:
        """Hash all that goes into the moving picture, the drawing code included."""
        return content_key("move", code_key("limberleaf.diagrams"), self.figure, self.affected)


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


def order_for(
    exercise: Exercise, side: Side | None, language: str, words: Mapping[str, str], style: str = "screen"
) -> Order:
    """Say which figure a page needs; without a side the right one stands for the affected one."""
    return Order(
        figure=exercise.figure.model_dump_json(exclude_none=True, exclude_defaults=True),
        affected=side or "right",
        language=language,
        affected_word=words["affected"],
        other_word=words["other"],
        id_prefix=f"{exercise.code}-",
        style=style,
    )


def move_for(exercise: Exercise, side: Side | None) -> Move:
    """Say which moving picture a page needs.

    The picture for the left is that for the right, mirrored, unless a number is printed in it.
    """
    bare = {"poses": {"__all__": {"caption"}}}
    spec = exercise.figure.model_dump_json(exclude=bare, exclude_none=True, exclude_defaults=True)
    return Move(spec, side if side and exercise.figure.angle else "right")


class Figures:
    """Drawn figures by order, from the store or drawn now."""

    def __init__(self, store: Store | None = None) -> None:
        """Keep figures in `store`; without one, for this run only."""
        self._store = store or Store()
        self._drawn: dict[Order, Drawn] = {}
        self._moving: dict[Move, str | None] = {}
        self._helpers = Helpers()

    def prepare(self, orders: Iterable[Order]) -> None:
        """Draw what is not kept yet; many at once in two processes."""
        wanted = [order for order in dict.fromkeys(orders) if order not in self._drawn]
        kept = self._store.read([order.key for order in wanted])
        missing = [order for order in wanted if order.key not in kept]
        made = dict(zip(missing, self._helpers.draw(draw_order, missing), strict=True))
        self._store.keep({order.key: value for order, value in made.items()})
        for order in wanted:
            self._drawn[order] = _thaw(made[order] if order in made else kept[order.key])

    def get(self, order: Order) -> Drawn:
        """Give a figure, drawing it when it is new."""
        if order not in self._drawn:
            self.prepare([order])
        return self._drawn[order]

    def prepare_motions(self, moves: Iterable[Move]) -> None:
        """Draw the moving pictures that are not kept yet."""
        wanted = [move for move in dict.fromkeys(moves) if move not in self._moving]
        kept = self._store.read([move.key for move in wanted])
        missing = [move for move in wanted if move.key not in kept]
        made = dict(zip(missing, self._helpers.draw(draw_move, missing), strict=True))
        self._store.keep({move.key: value for move, value in made.items()})
        for move in wanted:
            self._moving[move] = made[move] if move in made else kept[move.key]

    def motion(self, move: Move) -> str | None:
        """Give a moving picture, or None for a figure of one pose."""
        if move not in self._moving:
            self.prepare_motions([move])
        return self._moving[move]

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
def _drawing(figure: str, affected: Side, style: str, language: str) -> Drawing:
    """Draw once for the page of either side and the page of this side, which differ in words only."""
    return draw_figure(solve_figure(FigureSpec.model_validate_json(figure), affected, language), style=style)


def draw_order(order: Order) -> dict[str, Any]:
    """Solve and draw one figure: a pure function of the order, as plain data."""
    drawing = _drawing(order.figure, order.affected, order.style, order.language)
    solved = drawing.solved
    words = {"affected": order.affected_word, "other": order.other_word}
    alts = describe(solved, order.language, words)
    return {
        "svgs": [
            drawing.panel_svg(i, title=alt, id_prefix=f"{order.id_prefix}{i + 1}-")
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


def draw_move(move: Move) -> str | None:
    """Draw one moving picture; a figure of one pose has none."""
    drawing = _drawing(move.figure, move.affected, "screen", "en")  # a move has no captions
    return drawing.motion_svg() if len(drawing.solved.poses) > 1 else None
