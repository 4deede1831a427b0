"""The get-help page: the numbers to call, then every caution of the library by tier, in the words boxes use."""

from __future__ import annotations

from dataclasses import dataclass

from limberleaf.clinical import cautions
from limberleaf.library import TIERS
from limberleaf.pages.language_edition import LanguageEdition
from limberleaf.pages.passage import Run, phone
from limberleaf.pages.views.exercise_view import BoxView, box_view
from limberleaf.pages.views.record_view import RecordView, record_view


@dataclass(frozen=True)
class CallView:
    """A number to call: for which tier, the number, whose it is."""

    tier: str
    number: Run
    who: str


@dataclass(frozen=True)
class TierView:
    """A tier: its name and its boxes, one for each thing to do."""

    tier: str
    name: str
    boxes: list[BoxView]


@dataclass(frozen=True)
class HelpView:
    """All that the get-help page shows."""

    calls: list[CallView]
    tiers: list[TierView]
    record: RecordView


def help_view(edition: LanguageEdition, url: str) -> HelpView:
    """Make the view of the get-help page."""
    clinic, language, renderer = edition.clinic, edition.language, edition.renderer(url)
    boxes = cautions.all_boxes(edition.context.library, language)
    tiers = []
    for tier in TIERS:
        own = [box_view(box, renderer) for box in boxes if box.tier == tier]
        if own:
            tiers.append(TierView(tier, edition.words.say(f"tiers.{tier}"), own))
    return HelpView(
        calls=[
            CallView(
                "emergency", phone(clinic.emergency.number), clinic.emergency.place.in_language(language)
            ),
            CallView("clinic", phone(clinic.phone), clinic.hours.in_language(language)),
            CallView("urgent", phone(clinic.urgent.number), clinic.urgent.name.in_language(language)),
        ],
        tiers=tiers,
        record=record_view(edition, None, url),
    )
