"""What is wrong with the drawings: the problems `diagrams` found, each at its line of the entry.

Every exercise is drawn for this check, by the same store of figures that the pages use.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from diagrams import Problem
from generator.clinical.voice import voice_for
from generator.figures import Figures, order_for
from generator.findings import Finding
from generator.library import Exercise, Library, Loaded
from generator.library.source import Source


def check_figures(library: Library, figures: Figures) -> Iterator[Finding]:
    """Find poses that cannot be held and drawings that cannot be read."""
    shown = {code: one for code, one in library.exercises.items() if one.entry.status != "retired"}
    orders = {code: order_for(one.entry, None, *_words(library, one)) for code, one in shown.items()}
    figures.prepare(orders.values())
    for code, order in orders.items():
        yield from problem_findings(figures.get(order).problems, shown[code].source)


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


def _words(library: Library, loaded: Loaded[Exercise]) -> tuple[str, dict[str, str]]:
    language = library.settings.language
    voice = voice_for(library, loaded.entry, None, language)
    return language, {name: voice.word(name)[0] for name in ("affected", "other")}
