"""The figures a page asks for: `Figures` as the source of panels, thumbnails and motions of pages and handouts."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping

from limberleaf.diagrams.adults import NEUTRAL, Adult
from limberleaf.figures import (
    AnimationRequest,
    FigureRequest,
    Figures,
    Request,
    animation_request_for,
    figure_request_for,
)
from limberleaf.library import Exercise, Library, Side
from limberleaf.pages import PanelView


def adults_of(library: Library) -> Callable[[str], Adult]:
    """Give who is drawn for the code of an exercise; the settings are asked each time, as an input of what is made."""

    def adult_for(code: str) -> Adult:
        shown = library.settings.figures
        return shown.adult_for(code) if shown else NEUTRAL

    return adult_for


class PageFigures:
    """Gives pages and handouts their panels, thumbnails and motions; draws through `Figures` in one style."""

    def __init__(
        self, figures: Figures, style: str = "screen", adult_for: Callable[[str], Adult] | None = None
    ) -> None:
        """Draw in one style; `adult_for` says who is drawn for the code of an exercise."""
        self._figures = figures
        self._adult_for = adult_for or (lambda _: NEUTRAL)
        self._style = style

    def _request(
        self, exercise: Exercise, side: Side | None, language: str, side_words: Mapping[str, str]
    ) -> FigureRequest:
        return figure_request_for(
            exercise, side, language, side_words, self._adult_for(exercise.code), self._style
        )

    def _movement(self, exercise: Exercise, side: Side | None) -> AnimationRequest:
        return animation_request_for(exercise, side, self._adult_for(exercise.code))

    def requests(
        self, wanted: Iterable[tuple[Exercise, Side | None, str, Mapping[str, str]]]
    ) -> list[Request]:
        """Name the drawings behind many figures and motions, so that they can be drawn together."""
        every = list(wanted)
        requests: list[Request] = [self._request(*one) for one in every]
        if self._style == "screen":
            requests += [self._movement(exercise, side) for exercise, side, _, _ in every]
        return requests

    def panels(
        self, exercise: Exercise, side: Side | None, language: str, side_words: Mapping[str, str]
    ) -> tuple[PanelView, ...]:
        """Give the panels of a figure with their alternative text and raw captions."""
        drawn = self._figures.get(self._request(exercise, side, language, side_words))
        return tuple(
            PanelView(svg, alt, pose.caption or "")
            for svg, alt, pose in zip(drawn.svgs, drawn.alts, exercise.figure.poses, strict=True)
        )

    def thumbnail(self, exercise: Exercise, language: str, side_words: Mapping[str, str]) -> str:
        """Give a small picture of the most telling panel."""
        return self._figures.get(self._request(exercise, None, language, side_words)).thumbnail

    def motion(
        self, exercise: Exercise, side: Side | None, language: str, side_words: Mapping[str, str]
    ) -> str | None:
        """Give the moving picture as a file of its own; paper has none."""
        if self._style != "screen":
            return None
        move = self._movement(exercise, side)
        moving = self._figures.motion(move)
        if not (moving and side == "left" and move.affected == "right"):
            return moving
        from limberleaf.diagrams.writing.motion import mirrored

        return mirrored(moving)
