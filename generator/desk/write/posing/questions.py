"""The questions of the figure's part of the page."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from limberleaf.desk.answers import Asked
from limberleaf.desk.write.posing.choices import figure_words
from limberleaf.desk.write.posing.dragging import dragged
from limberleaf.desk.write.posing.shown import shown, with_fix


def questions(language: Callable[[], str]) -> Mapping[str, Any]:
    """Give them; captions are in the library's `language`."""

    def of_figure(answer: Callable[[Asked], dict[str, Any]]) -> Callable[[Asked], dict[str, Any]]:
        return lambda asked: answer({**asked, "captions": language()})

    return {
        "figure": of_figure(shown),
        "drag": of_figure(dragged),
        "fix": of_figure(with_fix),
        "figure-words": figure_words,
    }
