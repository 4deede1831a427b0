"""What is wrong with the drawings: the problems `diagrams` found, each at its line of the entry.

Every exercise is drawn for this check, by the same store of figures that the pages use.
"""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator, Mapping
from dataclasses import replace

from limberleaf.clinical.demand import Asks, PoseOrder
from limberleaf.clinical.placeholder_values import placeholders_for
from limberleaf.diagrams.problem import Problem
from limberleaf.figures import FigureRequest, Figures, figure_request_for
from limberleaf.findings import Finding
from limberleaf.library import Exercise, Library, Loaded, Translation
from limberleaf.library.translate import translated
from limberleaf.library.yaml.source import Source
from limberleaf.store.nodes import coming, each
from limberleaf.store.trace import unrecorded

NERVE_KINDS = ("nerve_slider", "nerve_tensioner")
_ASKS: Mapping[str, Asks] = {"harder": "more", "easier": "less", "same": "same", "mixed": "mixed"}


def check_figures(library: Library, figures: Figures) -> Iterator[Finding]:
    """Find poses that cannot be held and drawings that cannot be read."""
    figures.prepare(figures_to_check(library))
    for (_, language), words in each(library.translations):
        for request in _of_translation(library, words, language):
            yield from _caption_findings(figures.get(request).problems, words.source)
    for _, loaded in each(library.exercises):
        for request in _of_exercise(library, loaded):
            drawn = figures.get(request)
            yield from problem_findings(drawn.problems, loaded.source)
            yield from _nerve_kind(loaded, drawn.slides)


def figures_to_check(library: Library, only: Container[str] | None = None) -> list[FigureRequest]:
    """Name every figure that `check_figures` will ask for; `only` of these exercises."""
    with unrecorded():
        exercises = [
            one
            for code, loaded in coming(library.exercises)
            if only is None or code in only
            for one in _of_exercise(library, loaded)
        ]
        return exercises + [
            one
            for (code, language), words in coming(library.translations)
            if only is None or code in only
            for one in _of_translation(library, words, language)
        ]


def _of_exercise(library: Library, loaded: Loaded[Exercise]) -> Iterator[FigureRequest]:
    if loaded.entry.status != "retired":
        yield _request(library, loaded.entry, library.settings.language)


def _of_translation(library: Library, words: Loaded[Translation], language: str) -> Iterator[FigureRequest]:
    original = library.exercises.get(words.entry.translates.code)
    if original and original.entry.status != "retired":
        yield _request(library, translated(original.entry, words.entry), language)


def _nerve_kind(loaded: Loaded[Exercise], slides: tuple[str, ...]) -> Iterator[Finding]:
    """Report where slider and tensioner are mixed up: by its kind an exercise gets its usual dose and its cautions."""
    exercise = loaded.entry
    moves = len(exercise.figure.poses) > 1
    if exercise.kind == "nerve_slider" and moves and _nerve(exercise) not in slides:
        yield Finding(
            "warning",
            "slider-does-not-slide",
            "A slider lets one end of the nerve's bed go while the other tightens; in this figure none lets go.",
            "Let the neck, the wrist or the ankle give way in the second pose, or write `kind: nerve_tensioner`.",
            loaded.source.place(("kind",)),
        )
    if exercise.kind == "nerve_tensioner" and moves and _nerve(exercise) in slides:
        yield Finding(
            "warning",
            "tensioner-slides",
            "A tensioner tightens both ends of the nerve's bed; in this figure one lets go while the other tightens.",
            "Keep the end that lets go as it was in the first pose, or write `kind: nerve_slider`.",
            loaded.source.place(("kind",)),
        )


def pose_order(library: Library, figures: Figures) -> PoseOrder:
    """Give the function that decides whether one exercise's pose asks more than another's, component by component."""

    from limberleaf.diagrams.checking.ladder import compare_steps

    def asks(earlier: Exercise, later: Exercise) -> Asks:
        nerve = _nerve(later) if earlier.kind == later.kind and later.kind in NERVE_KINDS else ""
        before, after = (
            figures.get(_request(library, one, library.settings.language)).demand[nerve]
            for one in (earlier, later)
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


def _caption_findings(problems: Iterable[Problem], source: Source) -> list[Finding]:
    """Give what is wrong with a translation's own captions; everything else is reported at the entry it translates."""
    own = [problem for problem in problems if problem.code.startswith("caption-")]
    placed = [replace(problem, path=("captions", *problem.path[1:2])) for problem in own]
    return problem_findings(placed, source)


def _request(library: Library, exercise: Exercise, language: str) -> FigureRequest:
    placeholders = placeholders_for(library, exercise, None, language)
    words = {name: placeholders.word(name)[0] for name in ("affected", "other")}
    adult = library.settings.adult_for(exercise.code)
    return figure_request_for(exercise, None, language, words, adult)
