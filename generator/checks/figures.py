"""What is wrong with the drawings: the problems `diagrams` found, each at its line of the entry.

Every exercise is drawn for this check, by the same store of figures that the pages use.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from diagrams import Problem
from diagrams.checks_ladder import compare_steps
from generator.clinical.demand import Asks, PoseOrder
from generator.clinical.voice import voice_for
from generator.figures import Figures, order_for
from generator.findings import Finding
from generator.library import Exercise, Library
from generator.library.source import Source

NERVE_KINDS = ("nerve_slider", "nerve_tensioner")
_ASKS: Mapping[str, Asks] = {"harder": "more", "easier": "less", "same": "same", "mixed": "mixed"}


def check_figures(library: Library, figures: Figures) -> Iterator[Finding]:
    """Find poses that cannot be held and drawings that cannot be read."""
    shown = {code: one for code, one in library.exercises.items() if one.entry.status != "retired"}
    orders = {code: order_for(one.entry, None, *_words(library, one.entry)) for code, one in shown.items()}
    figures.prepare(orders.values())
    for code, order in orders.items():
        yield from problem_findings(figures.get(order).problems, shown[code].source)


def pose_order(library: Library, figures: Figures) -> PoseOrder:
    """Give the function that tells whether one exercise's pose asks more than another's, component by component."""

    def asks(earlier: Exercise, later: Exercise) -> Asks:
        nerve = _nerve(later) if earlier.kind == later.kind and later.kind in NERVE_KINDS else ""
        before, after = (
            figures.get(order_for(one, None, *_words(library, one))).demand[nerve] for one in (earlier, later)
        )
        if not set(before) & set(after):
            return "unknown"
        return _ASKS[compare_steps(before, after).verdict]

    return asks


def _nerve(exercise: Exercise) -> str:
    return "median" if exercise.region in ("neck", "shoulder", "elbow", "wrist_hand") else "sciatic"


def problem_findings(problems: Iterable[Problem], source: Source) -> list[Finding]:
    """Give problems of a figure as findings at their place in the entry."""
    return [
        Finding(
            problem.severity,
            problem.code,
            problem.message,
            problem.hint,
            source.place(("figure", *problem.path)),
        )
        for problem in problems
    ]


def _words(library: Library, exercise: Exercise) -> tuple[str, dict[str, str]]:
    language = library.settings.language
    voice = voice_for(library, exercise, None, language)
    return language, {name: voice.word(name)[0] for name in ("affected", "other")}
