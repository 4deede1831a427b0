"""Pocket cards: the figure, the three lines to remember, the dose and the stop rules, four cards to a sheet."""

from __future__ import annotations

from collections.abc import Sequence

from limberleaf.handouts.sheet import Choice, choose, document_data, sheet_data, sheet_title
from limberleaf.handouts.typeset import Handout
from limberleaf.pages.language_edition import LanguageEdition


def pocket_handout(edition: LanguageEdition, choices: Sequence[Choice]) -> Handout:
    """Give the cards of some exercises; one exercise alone fills its sheet four times."""
    chosen = [choose(edition, choice) for choice in choices]
    title = edition.words.say("handout.your_plan") if len(chosen) > 1 else sheet_title(chosen[0])
    days = [one.exercise.review.reviewed for one in chosen if one.exercise.review.reviewed]
    name = f"{chosen[0].name}-pocket" if len(chosen) == 1 else "pocket-cards"
    data = {**document_data(edition, title), "cards": [sheet_data(one) for one in chosen]}
    source = edition.context.library.exercises[choices[0].code].source.path
    return Handout(name, "pocket", data, max(days, default=None), source)
