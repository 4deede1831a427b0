"""The questions of the figure's part of the page."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from limberleaf.desk.answers import Asked
from limberleaf.desk.write.posing.choices import figure_words
from limberleaf.desk.write.posing.dragging import dragged
from limberleaf.desk.write.posing.shown import shown, with_fix
from limberleaf.library.models.clinic import Clinic


def questions(settings: Callable[[], Clinic]) -> Mapping[str, Any]:
    """Give them; captions are in the clinic's first language, bodies those of the adults it has drawn."""

    def of_figure(answer: Callable[[Asked], dict[str, Any]]) -> Callable[[Asked], dict[str, Any]]:
        def answered(asked: Asked) -> dict[str, Any]:
            clinic = settings()
            adult = clinic.adult_for(str(asked.get("code") or ""))
            return answer({**asked, "captions": clinic.language, "build": adult.build, "skin": adult.skin})

        return answered

    return {
        "figure": of_figure(shown),
        "drag": of_figure(dragged),
        "fix": of_figure(with_fix),
        "figure-words": figure_words,
    }
