"""Share pictures: 1200 by 630 pixels with the figure and the title, for links in messages.

A picture is set by typst, like the handouts, so every script and every figure comes out as on paper; Pillow then
brings it to a few colours, a quarter of the bytes. The build may write one as `share.png` beside each page.
"""

from __future__ import annotations

from collections.abc import Iterator
from io import BytesIO
from typing import Any

from PIL import Image

from limberleaf.clinical.placeholder_values import placeholders_for
from limberleaf.handouts.sheet import aspect, document_data
from limberleaf.handouts.typeset import Handout, Typesetter
from limberleaf.library import Exercise, Side
from limberleaf.pages import links
from limberleaf.pages.language_edition import LanguageEdition
from limberleaf.pages.model import SiteContext
from limberleaf.pages.site import editions
from limberleaf.pages.views.exercise_view import SIDES

WIDTH, HEIGHT = 1200, 630
COLOURS = 64
FILE = "share.png"
MOST_PICTURES = 4


def share_pictures(context: SiteContext, typesetter: Typesetter) -> Iterator[tuple[str, bytes]]:
    """Give the share picture of every exercise, ladder and collection page: its path below the site, and PNG bytes."""
    for handout in share_cards(context):
        yield f"{handout.name}{FILE}", share_picture(typesetter, handout)


def share_cards(context: SiteContext) -> Iterator[Handout]:
    """Give the card of every page that has a picture, in the order of the site."""
    for edition in editions(context):
        yield from _cards(edition)


def share_picture(typesetter: Typesetter, card: Handout) -> bytes:
    """Set one card and bring it to few colours."""
    raw = typesetter.png(card, ppi=72)
    with Image.open(BytesIO(raw)) as picture:
        few = picture.convert("RGB").quantize(
            COLOURS, method=Image.Quantize.FASTOCTREE, dither=Image.Dither.NONE
        )
    out = BytesIO()
    few.save(out, "PNG", optimize=True)
    return out.getvalue()


def _cards(edition: LanguageEdition) -> Iterator[Handout]:
    for exercise in edition.exercises.values():
        for side in SIDES if exercise.sides == "one" else (None,):
            yield exercise_card(edition, exercise, side)
    for name, ladder in edition.ladders.items():
        codes = [rung.exercise for rung in ladder.steps if rung.exercise in edition.exercises]
        aim = edition.renderer("").plain(ladder.aim)
        yield group_card(edition, edition.at(links.ladder_address(name)), ladder.title, aim, codes)
    for name, one in edition.collections.items():
        summary = edition.renderer("").plain(one.summary)
        url = edition.at(links.collection_address(name))
        yield group_card(edition, url, one.title, summary, edition.members(one))


def exercise_card(edition: LanguageEdition, exercise: Exercise, side: Side | None) -> Handout:
    """Give the card of an exercise's page: its panels, title, side and aim."""
    url = edition.at(links.exercise_address(exercise.code, side))
    renderer = edition.renderer(url, exercise, side)
    words = {name: renderer.placeholders.word(name)[0] for name in ("affected", "other")}
    panels = edition.context.figures.panels(exercise, side, edition.language, words)
    side_words = edition.words.say(f"exercise.side_{side}") if side else ""
    svgs = [panel.svg for panel in panels]
    return _card(
        edition,
        url,
        (renderer.plain(exercise.title), side_words, renderer.plain(exercise.aim)),
        svgs,
        group=False,
    )


def group_card(edition: LanguageEdition, url: str, title: str, aim: str, codes: list[str]) -> Handout:
    """Give the card of a ladder or collection: its title and the first few pictures."""
    svgs = []
    for code in codes[:MOST_PICTURES]:
        exercise = edition.exercises[code]
        placeholders = placeholders_for(edition.context.library, exercise, None, edition.language)
        words = {name: placeholders.word(name)[0] for name in ("affected", "other")}
        svgs.append(edition.context.figures.thumbnail(exercise, edition.language, words))
    return _card(edition, url, (title, "", aim), svgs, group=True)


def _card(
    edition: LanguageEdition, url: str, words: tuple[str, str, str], svgs: list[str], *, group: bool
) -> Handout:
    title, side, aim = words
    data: dict[str, Any] = {
        **document_data(edition, title),
        "card": {
            "title": title,
            "side": side,
            "aim": aim,
            "group": group,
            "address": links.in_words(edition.context.site, url),
            "pictures": [{"svg": svg, "aspect": aspect(svg)} for svg in svgs],
        },
    }
    return Handout(url, "share", data)
