"""Sizes on paper: pages, letters, boxes, the QR code; and what a black-and-white copier leaves.

Clear print at least 12 pt, large print at least 16 pt and better 18: UK Association for Accessible Formats, minimum
standards for clear and large print (read in a stored copy). ISO 216 for A4 and A6. QR: ISO/IEC 18004, quiet zone of
4 modules; at least 2 cm wide is common practice.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from io import BytesIO

import pdfplumber
import pytest
import zxingcpp
from handouts.conftest import edition_of
from handouts.pdf_text import figure_boxes, structure

from limberleaf.handouts import Choice, exercise_handout, ladder_handout, pocket_handout
from limberleaf.handouts.sheet import choose

MM = 72 / 25.4


def sizes_of(pdf: pdfplumber.PDF) -> Counter[float]:
    return Counter(
        round(char["size"], 1) for page in pdf.pages for char in page.chars if char["text"].strip()
    )


def pages_of(pdf: pdfplumber.PDF) -> list[tuple[float, float]]:
    return [(float(page.width), float(page.height)) for page in pdf.pages]


def read(data: bytes) -> pdfplumber.PDF:
    return pdfplumber.open(BytesIO(data))


SOME = ["kn-03", "sh-05", "an-03", "kn-05", "lb-11", "ba-06", "ne-04", "wb-01"]


@pytest.fixture(scope="module", params=SOME)
def sheet(request, edition, typesetter):
    """An exercise as it was chosen and its sheet, whose pages are read once; the demo's longest and shortest too."""
    choice = Choice(request.param, "left")
    with read(typesetter.pdf(exercise_handout(edition, choice))) as pdf:
        yield choose(edition, choice), pdf


def test_a_sheet_is_twelve_point_or_larger_throughout(sheet):
    """At least 12 pt: the UKAAF standard above."""
    _, pdf = sheet
    sizes = sizes_of(pdf)
    assert min(sizes) >= 12, sizes
    assert pages_of(pdf)[0] == pytest.approx((210 * MM, 297 * MM), abs=0.1)


def words_on(page: pdfplumber.page.Page) -> str:
    return "".join(page.extract_text().split())


def test_the_front_says_what_to_do_how_often_and_when_to_stop(edition, sheet):
    chosen, pdf = sheet
    front = words_on(pdf.pages[0]).replace("\ufb01", "fi")
    view = chosen.view
    wanted = [*view.setup, *view.steps, *view.in_short, *(cell.label for cell in view.cells)]
    wanted += [
        word for band in view.bands for word in (edition.words.phrases["exercise"]["bands"][band.name],)
    ]
    wanted += [box.title for box in view.boxes if box.tier != "ease_off"]
    assert not Counter("".join("".join(str(one).split()) for one in wanted)) - Counter(front)
    assert "Turnover:" in front
    assert "Turnover:" not in "".join(map(words_on, pdf.pages[1:]))


def test_panels_keep_one_scale_and_their_shape(library, typesetter):
    """The legs of the stand-in drawing are 40 by 200 units in every panel, whatever the shape of the panel."""
    for width in (140, 260, 700):
        data = typesetter.pdf(exercise_handout(edition_of(library, width), Choice("kn-05")))
        with read(data) as pdf:
            legs = [
                (one["width"], one["height"])
                for one in pdf.pages[0].objects.get("rect", []) + pdf.pages[0].objects.get("curve", [])
                if one.get("fill")
                and one["height"] == pytest.approx(5 * one["width"], rel=0.05)
                and one["height"] > 20
            ]
        assert len(legs) == 3, width
        assert max(high for _, high in legs) == pytest.approx(min(high for _, high in legs), rel=0.01)


def test_large_print_has_nothing_small(edition, typesetter):
    with read(typesetter.pdf(exercise_handout(edition, Choice("kn-07", "left"), "large"))) as pdf:
        sizes = sizes_of(pdf)
        words = [char for page in pdf.pages for char in page.chars if char["text"].isalpha()]
    assert min(sizes) >= 15, "the digits in the cycles are the smallest"
    assert min(round(char["size"], 1) for char in words) >= 16
    assert sizes.most_common(1)[0][0] >= 18


def test_large_print_draws_figures_larger(edition, typesetter):
    def drawn(print_):
        *panels, _ = figure_boxes(typesetter.pdf(exercise_handout(edition, Choice("kn-03", "left"), print_)))
        return max(top - bottom for _, bottom, _, top in panels)

    assert drawn("large") > 1.5 * drawn("page")


def test_letter_paper_when_the_clinic_uses_it(library, typesetter):
    clinic = library.clinic.entry.model_copy(update={"paper": "Letter"})
    letter = replace(library, clinic=replace(library.clinic, entry=clinic))
    edition = edition_of(letter)
    for handout in (
        exercise_handout(edition, Choice("kn-03", "left")),
        ladder_handout(edition, "knee-strength"),
        pocket_handout(edition, [Choice("kn-03")]),
    ):
        assert pages_of(read(typesetter.pdf(handout)))[0] == pytest.approx((612, 792), abs=0.1)


@pytest.mark.parametrize("width", [140, 260, 700])
def test_wide_and_tall_figures_stay_on_the_page(library, typesetter, width):
    handout = exercise_handout(edition_of(library, width), Choice("kn-03", "left"))
    with read(typesetter.pdf(handout)) as pdf:
        for page in pdf.pages:
            assert all(char["x0"] >= 8 * MM and char["x1"] <= page.width - 8 * MM for char in page.chars)
            assert all(char["bottom"] <= page.height - 4 * MM for char in page.chars)


def test_four_pocket_cards_fill_a_sheet_and_are_read_once(edition, typesetter):
    data = typesetter.pdf(pocket_handout(edition, [Choice("kn-03", "left")]))
    with read(data) as pdf:
        assert len(pdf.pages) == 1
        text = pdf.pages[0].extract_text().replace("\u200b", "")
    assert "".join(text.split()).count("exercises.quillmere.example/kn-03/") == 4
    assert len(structure(data).all("H1")) == 1


def test_five_pocket_cards_take_two_sheets(edition, typesetter):
    cards = [Choice(f"kn-0{number}") for number in range(1, 6)]
    assert len(read(typesetter.pdf(pocket_handout(edition, cards))).pages) == 2


def test_the_qr_code_is_wide_enough_and_leads_to_the_page(edition, typesetter):
    data = typesetter.pdf(exercise_handout(edition, Choice("kn-03", "left")))
    with read(data) as pdf:
        picture = pdf.pages[-1].to_image(resolution=200).original
        assert "exercises.quillmere.example/kn-03/left" in pdf.pages[-1].extract_text()
    (found,) = zxingcpp.read_barcodes(picture)
    assert found.text == "https://exercises.quillmere.example/kn-03/left/"
    corner = found.position
    width = (corner.top_right.x - corner.top_left.x) / 200 * 25.4
    modules = 29  # version 3, which holds 42 bytes at level M (ISO/IEC 18004, table 7)
    assert width * (modules + 8) / modules >= 24.5


def test_a_black_and_white_copy_keeps_every_word(edition, typesetter):
    """Each letter is dark on light or light on dark by enough to survive a copier's threshold at half grey."""
    data = typesetter.pdf(exercise_handout(edition, Choice("kn-07", "left")))
    with read(data) as pdf:
        for page in pdf.pages:
            grey = page.to_image(resolution=100).original.convert("L")
            copy = grey.point(lambda value: 255 if value >= 128 else 0)
            for char in page.chars:
                if not char["text"].strip() or char["size"] < 8:
                    continue
                area = copy.crop(
                    tuple(round(char[side] * 100 / 72) for side in ("x0", "top", "x1", "bottom"))
                )
                assert area.getextrema() == (0, 255), (
                    f"“{char['text']}” is lost at {char['x0']:.0f}, {char['top']:.0f}"
                )


def test_bands_differ_without_colour(edition, typesetter):
    """On the copy, the edges of the three bands are solid, dashed and double."""
    data = typesetter.pdf(exercise_handout(edition, Choice("kn-03", "left")))
    edges = []
    with read(data) as pdf:
        page = pdf.pages[0]
        copy = (
            page.to_image(resolution=300).original.convert("L").point(lambda value: 0 if value < 128 else 255)
        )
        scale = 300 / 72
        left = min(char["x0"] for char in page.chars)
        for name in ("Carry", "Ease", "Stop"):
            word = next(
                one
                for one in page.extract_words()
                if one["text"] == name and left + 15 < one["x0"] < left + 40
            )
            box = (left - 3, word["top"] - 2, left + 4.2, word["bottom"] + 6)
            edges.append(_runs(copy.crop(tuple(round(side * scale) for side in box))))
    solid, dashed, double = edges
    assert solid == ("whole", 1)
    assert dashed[0] == "broken"
    assert double == ("whole", 2)


def _runs(picture):
    """Return whether the dark line in a strip is whole or broken from top to bottom, and how many are side by side."""
    width, height = picture.size
    rows = [[picture.getpixel((x, y)) == 0 for x in range(width)] for y in range(height)]
    counts = [sum(1 for x, dark in enumerate(row) if dark and (x == 0 or not row[x - 1])) for row in rows]
    return ("whole" if min(counts) else "broken"), Counter(counts).most_common(1)[0][0]
