"""A booklet of a collection or a plan: small pages in reading order, and the same pages on sheets to fold.

The booklet in reading order is a tagged PDF like every other handout. The folded one only serves the printer: its
pages are pictures of the first one's, two to a side, in the order that folding the pile puts right.
"""

from __future__ import annotations

import json
import re
from collections.abc import Sequence
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import typst

from limberleaf.clinical import cautions
from limberleaf.handouts.groups import collection_data
from limberleaf.handouts.sheet import Choice, boxes_data, choose, document_data, record_data, sheet_data
from limberleaf.handouts.typeset import TEMPLATES, Handout, Typesetter, bytes_of
from limberleaf.pages.language_edition import LanguageEdition
from limberleaf.pages.links import HOME, collection_address
from limberleaf.pages.views.collection_view import collection_view
from limberleaf.pages.views.exercise_view import box_view
from limberleaf.pages.views.record_view import record_view
from limberleaf.pages.views.sign_view import legend, signs_data


def collection_booklet(edition: LanguageEdition, name: str) -> Handout:
    """Give the booklet of a collection: all its exercises, each once; KeyError when it has no page."""
    collection = edition.collections[name]
    url = edition.at(collection_address(name))
    view = collection_data(edition, collection_view(edition, collection, url), url)
    chosen = [choose(edition, Choice(code)) for code in edition.members(collection)]
    booklet = {
        **{
            key: view[key]
            for key in ("labels", "summary", "about", "before_you_start", "come_back_when", "boxes")
        },
        "record": view["record"],
        "signs": signs_data(legend(edition)),
        "exercises": [sheet_data(one) for one in chosen],
    }
    data = {**document_data(edition, view["title"]), "booklet": booklet}
    source = edition.context.library.collections[name].source.path
    return Handout(f"booklet-{name}", "booklet", data, collection.review.reviewed, source)


def plan_booklet(
    edition: LanguageEdition, choices: Sequence[Choice], name: str = "plan", *, words: Sequence[str] = ()
) -> Handout:
    """Give the booklet of a plan: `words` of the clinic, its exercises in order, the warning signs of all once."""
    chosen = [choose(edition, choice) for choice in choices]
    days = [one.exercise.review.reviewed for one in chosen if one.exercise.review.reviewed]
    booklet: dict[str, Any] = {
        "labels": edition.words.lookup("collection"),
        "words_title": edition.words.say("plan.words_title"),
        "words": list(words),
        "summary": "",
        "about": [],
        "before_you_start": [],
        "come_back_when": [],
        "boxes": shared_boxes(edition, choices),
        "record": record_data(edition, record_view(edition, None, edition.at(HOME)), edition.at(HOME)),
        "signs": signs_data(legend(edition)),
        "exercises": [sheet_data(one) for one in chosen],
    }
    title = edition.words.say("handout.your_plan")
    data = {**document_data(edition, title), "booklet": booklet}
    return Handout(f"booklet-{name}", "booklet", data, max(days, default=None))


def shared_boxes(edition: LanguageEdition, choices: Sequence[Choice]) -> list[dict[str, Any]]:
    """Give the warning boxes of several exercises, each caution once."""
    library = edition.context.library
    found: dict[str, Any] = {}
    for choice in choices:
        exercise = edition.exercises[choice.code]
        found.update((caution.id, caution) for caution in cautions.cautions_for(library, exercise))
    renderer = edition.renderer(edition.at(HOME))
    boxes = cautions.merged(library, found.values(), edition.language)
    return boxes_data([box_view(box, renderer) for box in boxes], edition.context.site)


def fold_order(pages: int, *, rtl: bool = False) -> list[tuple[int, int]]:
    """Give the pages of each side of each sheet, left and right, counted from 1; `pages` is a multiple of four.

    The sheets are printed on both sides, turned on the short edge, and folded in one pile. In a language that
    runs from right to left the booklet opens on the other side.
    """
    if pages % 4:
        raise ValueError(f"{pages} pages do not fold: a sheet holds four")
    sides: list[tuple[int, int]] = []
    for sheet in range(pages // 4):
        sides.append((pages - 2 * sheet, 1 + 2 * sheet))
        sides.append((2 + 2 * sheet, pages - 1 - 2 * sheet))
    return [(right, left) for left, right in sides] if rtl else sides


def page_count(pdf: bytes) -> int:
    """Give the number of pages of a PDF that typst wrote, from the root of its page tree."""
    counts = [int(number) for number in re.findall(rb"/Type\s*/Pages\b[^>]*?/Count\s+(\d+)", pdf)]
    return max(counts, default=0)


def folded(typesetter: Typesetter, booklet: Handout, pdf: bytes) -> bytes:
    """Give a booklet's pages on sheets to print on both sides and fold; `pdf` is the booklet in reading order."""
    data = {
        "title": booklet.data["title"],
        "lang": booklet.data["lang"],
        "paper": booklet.data["paper"],
        "fonts": typesetter.font_set.families,
        "file": "booklet.pdf",
        "pages": fold_order(page_count(pdf), rtl=booklet.data["dir"] == "rtl"),
    }
    with TemporaryDirectory() as folder:
        (Path(folder) / "booklet.pdf").write_bytes(pdf)
        document = typst.Compiler(
            root=folder, font_paths=typesetter.font_set.fonts, ignore_system_fonts=True
        ).compile(
            input=(TEMPLATES / "fold.typ").read_bytes(),
            format="pdf",
            pdf_tags=False,
            timestamp=booklet.timestamp,
            sys_inputs={"data": json.dumps(data)},
        )
    return bytes_of(document)
