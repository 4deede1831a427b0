"""Booklets: in reading order, and on sheets that a fold puts right.

The order of pages is checked by folding: a pile of sheets, printed on both sides and turned on the short edge, is
folded in the middle and leafed through. The eight-page case is the printers' usual one: 8 1, 2 7, 6 3, 4 5.
"""

from __future__ import annotations

from io import BytesIO

import pdfplumber
import pytest
from handouts.pdf_text import structure

from limberleaf.handouts import Choice, collection_booklet, fold_order, folded, plan_booklet


def leafed_through(sides: list[tuple[int, int]]) -> list[int]:
    """Fold a pile whose first sheet lies outermost, its front down, and read the pages from the front cover on."""
    fronts, backs = sides[0::2], sides[1::2]
    first_half = [page for front, back in zip(fronts, backs, strict=True) for page in (front[1], back[0])]
    second_half = [
        page
        for front, back in zip(reversed(fronts), reversed(backs), strict=True)
        for page in (back[1], front[0])
    ]
    return first_half + second_half


def test_eight_pages_fold_as_printers_fold_them():
    assert fold_order(8) == [(8, 1), (2, 7), (6, 3), (4, 5)]


@pytest.mark.parametrize("pages", [4, 8, 12, 16, 40])
def test_folding_puts_the_pages_in_order(pages):
    assert leafed_through(fold_order(pages)) == list(range(1, pages + 1))


def test_a_booklet_that_runs_from_right_to_left_opens_on_the_other_side():
    assert fold_order(4, rtl=True) == [(1, 4), (3, 2)]


def test_other_numbers_of_pages_do_not_fold():
    with pytest.raises(ValueError, match="6 pages"):
        fold_order(6)


@pytest.fixture(scope="module", params=["ankle-sprain", "plan"])
def booklet(request, edition, typesetter):
    if request.param == "plan":
        handout = plan_booklet(edition, [Choice("kn-03", "left"), Choice("kn-04")])
    else:
        handout = collection_booklet(edition, request.param)
    return handout, typesetter.pdf(handout)


def test_the_contents_say_on_which_page_an_exercise_begins(booklet):
    handout, data = booklet
    exercises = handout.data["booklet"]["exercises"]
    with pdfplumber.open(BytesIO(data)) as pdf:
        assert len(pdf.pages) % 4 == 0
        texts = [page.extract_text() for page in pdf.pages]
        assert min(char["size"] for page in pdf.pages for char in page.chars if char["text"].strip()) >= 11.99
    contents = texts[0].splitlines()
    for number, one in enumerate(exercises, 1):
        line = next(line for line in contents if line.startswith(f"{number} ") and one["title"] in line)
        begins = int(line.split()[-1])
        assert "".join(one["title"].split()) in "".join(texts[begins - 1].split())
        (ends,) = [
            i for i, text in enumerate(texts, 1) if f"{one['code']} " in text and one["chart"]["hint"] in text
        ]
        assert begins <= ends <= begins + 2


def test_warning_signs_are_in_it_once(booklet):
    handout, data = booklet
    text = structure(data).text
    for box in handout.data["booklet"]["boxes"]:
        sign = (
            box["signs"][0]
            if isinstance(box["signs"][0], str)
            else "".join(run["t"] for run in box["signs"][0])
        )
        assert text.count(sign) == 1


def test_the_sheets_to_fold_hold_every_page_twice_as_wide(booklet, typesetter):
    handout, data = booklet
    sheets = folded(typesetter, handout, data)
    with pdfplumber.open(BytesIO(data)) as small, pdfplumber.open(BytesIO(sheets)) as pdf:
        assert len(pdf.pages) * 2 == len(small.pages)
        assert float(pdf.pages[0].width) == pytest.approx(2 * float(small.pages[0].width), abs=0.1)
        front = pdf.pages[0]
        right = front.crop((front.width / 2, 0, front.width, front.height)).extract_text()
        assert right.split() == small.pages[0].extract_text().split()
