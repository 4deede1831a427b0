"""Ladders and collections on paper, from the views of their pages."""

from __future__ import annotations

from typing import Any
from urllib.parse import urljoin

from limberleaf.clinical.placeholder_values import placeholders_for
from limberleaf.handouts.rich import rich, rich_all
from limberleaf.handouts.sheet import boxes_data, document_data, record_data
from limberleaf.handouts.typeset import Handout
from limberleaf.pages.language_edition import LanguageEdition
from limberleaf.pages.links import collection_address, ladder_address
from limberleaf.pages.views.collection_view import CollectionView, collection_view
from limberleaf.pages.views.ladder_view import CardView, LadderView, RungView, ladder_view


def ladder_handout(edition: LanguageEdition, name: str) -> Handout:
    """Give a ladder's handout; KeyError when it has no page in the edition."""
    ladder = edition.ladders[name]
    url = edition.at(ladder_address(name))
    view = ladder_view(edition, ladder, url)
    data = {**document_data(edition, view.title), "ladder": ladder_data(edition, view, url)}
    source = edition.context.library.ladders[name].source.path
    return Handout(f"ladder-{name}", "ladder", data, ladder.review.reviewed, source)


def ladder_data(edition: LanguageEdition, view: LadderView, url: str) -> dict[str, Any]:
    """Give a ladder as its template takes it."""
    say = edition.words.say
    page = edition.context.site + url
    across = None
    if view.across_when is not None:
        across = {
            "heading": say("ladder.across"),
            "when": rich(view.across_when, page),
            "go_to": say("ladder.go_to"),
            "title": view.across_title,
            "to": urljoin(page, view.across_href),
        }
    return {
        "kind": say("ladder.kind"),
        "title": view.title,
        "aim": rich(view.aim, page),
        "how": say("ladder.how"),
        "rungs": [_rung(edition, rung, page, lowest=i == 0) for i, rung in enumerate(view.rungs)],
        "across": across,
        "boxes": boxes_data(view.boxes, page),
        "record": record_data(edition, view.record, url),
    }


def _rung(edition: LanguageEdition, rung: RungView, page: str, *, lowest: bool) -> dict[str, Any]:
    say = edition.words.say
    rules = [
        (say("ladder.start_here_if"), rich(rung.start_here_if, page)),
        (say("ladder.move_on_when"), rich(rung.move_on_when, page)),
        (say("ladder.lowest" if lowest else "ladder.step_back_when"), rich(rung.step_back_when, page)),
        (say("ladder.replaces"), ", ".join(card.title for card in rung.replaces)),
        (say("ladder.keeps"), ", ".join(card.title for card in rung.keeps)),
        (say("ladder.same_or_less"), rich(rung.same_or_less_because, page)),
    ]
    return {
        "number": rung.number,
        **card_data(edition, rung.card, page),
        "rules": [{"label": label, "value": value} for label, value in rules if value],
    }


def card_data(edition: LanguageEdition, card: CardView, page: str) -> dict[str, Any]:
    """Give a card with the most telling panel of its figure."""
    exercise = edition.exercises[card.code.lower()]
    placeholders = placeholders_for(edition.context.library, exercise, None, edition.language)
    words = {name: placeholders.word(name)[0] for name in ("affected", "other")}
    return {
        "code": card.code,
        "title": card.title,
        "to": urljoin(page, card.href),
        "svg": edition.context.figures.thumbnail(exercise, edition.language, words),
        "position": card.position,
        "kind": card.kind,
        "time": card.time,
    }


def collection_handout(edition: LanguageEdition, name: str) -> Handout:
    """Give a collection's handout; KeyError when it has no page in the edition."""
    collection = edition.collections[name]
    url = edition.at(collection_address(name))
    view = collection_view(edition, collection, url)
    data = {**document_data(edition, view.title), "collection": collection_data(edition, view, url)}
    source = edition.context.library.collections[name].source.path
    return Handout(f"collection-{name}", "collection", data, collection.review.reviewed, source)


def collection_data(edition: LanguageEdition, view: CollectionView, url: str) -> dict[str, Any]:
    """Give a collection as its template takes it."""
    page = edition.context.site + url
    return {
        "title": view.title,
        "labels": edition.words.lookup("collection"),
        "summary": rich(view.summary, page),
        "about": rich_all(view.about, page),
        "before_you_start": rich_all(view.before_you_start, page),
        "ladders": [
            {
                "title": strip.title,
                "to": urljoin(page, strip.href),
                "aim": rich(strip.aim, page),
                "cards": [card_data(edition, card, page) for card in strip.cards],
            }
            for strip in view.ladders
        ],
        "others": [card_data(edition, card, page) for card in view.others],
        "boxes": boxes_data(view.boxes, page),
        "questions": [
            {"ask": rich(one.ask, page), "answer": rich(one.answer, page)} for one in view.questions
        ],
        "come_back_when": rich_all(view.come_back_when, page),
        "record": record_data(edition, view.record, url),
    }
