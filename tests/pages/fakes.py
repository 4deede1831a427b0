"""Drawings that cost nothing, for tests about words and links."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from limberleaf.library import Exercise, Side
from limberleaf.pages import PanelView

DOT = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 4 3" role="img"><title>{}</title></svg>'


@dataclass(frozen=True)
class PlainFigures:
    """One empty panel for each pose."""

    def panels(
        self, exercise: Exercise, side: Side | None, language: str, side_words: Mapping[str, str]
    ) -> tuple[PanelView, ...]:
        description = f"Person, {side_words['affected']} side"
        poses = exercise.figure.poses
        return tuple(PanelView(DOT.format(description), description, pose.caption or "") for pose in poses)

    def thumbnail(self, exercise: Exercise, language: str, side_words: Mapping[str, str]) -> str:
        return DOT.format("")

    def motion(
        self, exercise: Exercise, side: Side | None, language: str, side_words: Mapping[str, str]
    ) -> str | None:
        return DOT.format("moving")
