"""A collection as a page: what is going on, before you start, its ladders and exercises, cautions, questions."""

from __future__ import annotations

from dataclasses import dataclass

from limberleaf.clinical import cautions
from limberleaf.library import Collection
from limberleaf.pages.language_edition import LanguageEdition
from limberleaf.pages.passage import Passage
from limberleaf.pages.views.exercise_view import BoxView, box_view
from limberleaf.pages.views.ladder_view import CardView, card
from limberleaf.pages.views.record_view import RecordView, record_view
from limberleaf.pages.views.set_view import SetDoor, set_doors


@dataclass(frozen=True)
class LadderStrip:
    """A ladder as a strip of its figures."""

    title: str
    href: str
    aim: Passage
    cards: list[CardView]


@dataclass(frozen=True)
class QuestionView:
    """A question people ask, and its answer."""

    ask: Passage
    answer: Passage


@dataclass(frozen=True)
class CollectionView:
    """All that a collection page shows; `others` are exercises outside its ladders."""

    title: str
    summary: Passage
    about: list[Passage]
    before_you_start: list[Passage]
    ladders: list[LadderStrip]
    others: list[CardView]
    boxes: list[BoxView]
    questions: list[QuestionView]
    come_back_when: list[Passage]
    sets: list[SetDoor]
    record: RecordView


def collection_view(edition: LanguageEdition, collection: Collection, url: str) -> CollectionView:
    """Make the view of a collection page."""
    renderer = edition.renderer(url)
    strips = []
    for name in collection.ladders:
        ladder = edition.ladders.get(name)
        if ladder:
            codes = [rung.exercise for rung in ladder.steps if rung.exercise in edition.exercises]
            strips.append(
                LadderStrip(
                    renderer.plain(ladder.title),
                    renderer.to(name) or "",
                    renderer.write(ladder.aim),
                    [card(edition, renderer, code) for code in codes],
                )
            )
    on_ladders = {one.code.lower() for strip in strips for one in strip.cards}
    boxes = cautions.boxes(edition.context.library, collection, edition.language)
    return CollectionView(
        title=renderer.plain(collection.title),
        summary=renderer.write(collection.summary),
        about=renderer.write_all(collection.about),
        before_you_start=renderer.write_all(collection.before_you_start),
        ladders=strips,
        others=[
            card(edition, renderer, code) for code in edition.members(collection) if code not in on_ladders
        ],
        boxes=[box_view(box, renderer) for box in boxes],
        questions=[
            QuestionView(renderer.write(one.ask), renderer.write(one.answer)) for one in collection.questions
        ],
        come_back_when=renderer.write_all(collection.come_back_when),
        sets=set_doors(edition, url, collection.id),
        record=record_view(edition, collection.review, url),
    )
