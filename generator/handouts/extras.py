"""What is given out beside the sheets: a diary for two weeks, labels for places, a wall chart of a ladder."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from limberleaf.handouts.groups import ladder_data
from limberleaf.handouts.sheet import Choice, Chosen, choose, document_data, sheet_data
from limberleaf.handouts.typeset import Handout
from limberleaf.pages.language_edition import LanguageEdition
from limberleaf.pages.links import ladder_address
from limberleaf.pages.views.ladder_view import ladder_view


def diary_handout(edition: LanguageEdition, choices: Sequence[Choice], name: str = "diary") -> Handout:
    """Give a diary for two weeks of some exercises, with a card of feedback for the next visit."""
    chosen = [choose(edition, choice) for choice in choices]
    data = {
        **document_data(edition, edition.words.say("handout.diary.title")),
        "exercises": [sheet_data(one) for one in chosen],
    }
    return Handout(name, "diary", data, _last_review(chosen))


def label_handout(edition: LanguageEdition, choices: Sequence[Choice], name: str = "labels") -> Handout:
    """Give labels to put where the exercises are done: one for each exercise, named after what it needs first."""
    chosen = [choose(edition, choice) for choice in choices]
    data = {
        **document_data(edition, edition.words.say("handout.labels.title")),
        "exercises": [sheet_data(one) for one in chosen],
    }
    return Handout(name, "labels", data, _last_review(chosen))


def wall_chart(edition: LanguageEdition, name: str) -> Handout:
    """Give a ladder as a chart for the wall, twice the clinic's paper; KeyError when it has no page."""
    ladder = edition.ladders[name]
    url = edition.at(ladder_address(name))
    view = ladder_view(edition, ladder, url)
    data = {
        **document_data(edition, edition.words.say("handout.wall.title", title=view.title)),
        "ladder": ladder_data(edition, view, url),
    }
    source = edition.context.library.ladders[name].source.path
    return Handout(f"wall-{name}", "wall", data, ladder.review.reviewed, source)


def _last_review(chosen: Sequence[Chosen]) -> date | None:
    days = [one.exercise.review.reviewed for one in chosen if one.exercise.review.reviewed]
    return max(days, default=None)
