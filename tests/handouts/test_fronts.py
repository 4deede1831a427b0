"""Fronts beside a ruler, with the demo's own figures: what they carry, how large it is, and what is left to the back.

Clear print at least 12 pt: UK Association for Accessible Formats (see test_layout.py). That a front carries what to do,
how often, when to stop and every sign that needs help is the house's own rule; `python tests/bench/fronts.py` counts
on how many of the demo's sheets. Sizes are read from the tags' bounding boxes (ISO 32000-1, 14.8.5.4.3), words with
poppler's pdftotext: neither shares code with what sets the sheet. Margins of 5 mm at least: common practice, no source.
"""

from __future__ import annotations

import math
import re
import subprocess
from dataclasses import dataclass, field
from io import BytesIO

import numpy as np
import pdfplumber
import pytest
from handouts.pdf_text import blocks_of, figure_boxes, letters, structure

from limberleaf.figures import Figures
from limberleaf.handouts import Choice, exercise_handout
from limberleaf.handouts.rich import plain
from limberleaf.pages import SiteContext
from limberleaf.pages.language_edition import LanguageEdition
from limberleaf.pages.page_figures import PageFigures
from limberleaf.store import Store

MM = 72 / 25.4
BODY = 900
"""Height of a standing body in units of a figure (diagrams)."""
LEAST_BODY, QR, MARGIN, EDGE = 40, 25, 10, 5
"""In millimetres: a figure's body as it would stand, the code, text from the sides, anything from the paper's edge."""
SMALLER = {("en", "an-07"): 35, ("nl", "ne-06"): 26}
"""The fronts with most to say, up to three panels and fifteen long signs: the figure gives way before a sign does."""

WHOLE = [
    ("en", "kn-03"), ("en", "kn-07"), ("en", "hp-02"), ("en", "ba-06"),
    ("en", "an-07"), ("nl", "ne-03"), ("nl", "ne-06"), ("ar", "kn-01"),
]  # fmt: skip
NAMED = [("nl", "ne-06 with signs twice as long")]
"""More signs than a front has room for, whatever gives way: the front names the cautions, the back has the signs."""


@dataclass
class Sheet:
    data: dict
    pdf: bytes
    sides: list[str] = field(default_factory=list)

    @property
    def boxes(self):
        return [one for one in self.data["boxes"] if one["tier"] != "ease_off"]


def squeezed(text: str) -> str:
    return re.sub(r"[\s\u00ad\u200b-\u200f\u202a-\u202e\u2066-\u2069]+", "", text)


@pytest.fixture(scope="module", params=[*WHOLE, *NAMED], ids=lambda case: "-".join(case).replace(" ", "-"))
def sheet(request, library, typesetter, tmp_path_factory):
    language, code = request.param[0], request.param[1].split()[0]
    context = SiteContext(library, PageFigures(Figures(Store()), "print"))
    handout = exercise_handout(LanguageEdition(context, language), Choice(code, "left"))
    if request.param in NAMED:
        for box in handout.data["sheet"]["boxes"]:
            box["signs"] = [f"{plain(sign)} {plain(sign)}" for sign in box["signs"]]
    file = tmp_path_factory.mktemp("front") / "sheet.pdf"
    file.write_bytes(typesetter.pdf(handout))
    read = subprocess.run(["pdftotext", "-raw", file, "-"], capture_output=True, text=True, check=True)
    sides = [squeezed(side) for side in read.stdout.split("\f")[:-1]]
    return request.param, Sheet(handout.data["sheet"], file.read_bytes(), sides)


def missing(texts: list, sheet: Sheet, side: int, language: str) -> list[str]:
    """Give the texts that a side does not say.

    Arabic comes back as painted: there a text is in a tag with all its letters, before or after the back begins.
    """
    wanted = [plain(one) for one in texts]
    if language != "ar":
        return [one for one in wanted if squeezed(one) not in sheet.sides[side]]
    blocks = [letters(block) for block in blocks_of(structure(sheet.pdf))]
    turn = next(
        i for i, block in enumerate(blocks) if letters(sheet.data["position"] + sheet.data["time"]) <= block
    )
    shown = (blocks[:turn], blocks[turn:])[side]
    return [one for one in wanted if not any(letters(one) <= block for block in shown)]


def test_a_sheet_has_two_sides(sheet):
    """Only where there is too much to say for two is the chart on another sheet."""
    case, one = sheet
    assert len(one.sides) == 2 or (case in NAMED and "Week4" in one.sides[-1])


def test_the_front_says_what_to_do_how_often_and_when_to_stop(sheet):
    (language, _), one = sheet
    it = one.data
    said = [*it["in_short"], *it["setup"], *it["steps"], *(panel["caption"] for panel in it["panels"])]
    said += [cell["label"] for cell in it["cells"]]
    said += [
        text for band in it["bands"] for text in (*band["feelings"], band["pain"], band["action"]) if text
    ]
    said += [box["action"] for box in one.boxes]
    assert missing(said, one, 0, language) == []


def test_the_front_has_every_sign_that_needs_help(sheet):
    (language, code), one = sheet
    if (language, code) in NAMED:
        assert missing([sign for box in one.boxes for sign in box["signs"]], one, 1, language) == []
        return
    assert [box["tier"] for box in one.boxes] == ["emergency", "same_day"]
    assert missing([sign for box in one.boxes for sign in box["signs"]], one, 0, language) == []


def test_figures_and_code_have_their_size(sheet):
    case, one = sheet
    *panels, (left, bottom, right, top) = figure_boxes(one.pdf)
    assert len(panels) == len(one.data["panels"])
    assert [(right - left) / MM, (top - bottom) / MM] == pytest.approx([QR, QR], abs=0.1)
    bodies = [
        (box[3] - box[1]) / MM * BODY / drawn["high"]
        for box, drawn in zip(panels, one.data["panels"], strict=True)
    ]
    assert max(bodies) == pytest.approx(min(bodies), rel=0.01)
    assert min(bodies) >= SMALLER.get(case, LEAST_BODY) - 0.1


def test_letters_and_margins(sheet):
    with pdfplumber.open(BytesIO(sheet[1].pdf)) as pdf:
        for page in pdf.pages:
            words = [char for char in page.chars if char["text"].strip()]
            assert min(round(char["size"], 1) for char in words) >= 12
            assert min(char["x0"] for char in words) >= MARGIN * MM - 1
            assert max(char["x1"] for char in words) <= page.width - MARGIN * MM + 1
            ink = np.asarray(page.to_image(resolution=72).original.convert("L")) < 200
            rows, columns = np.nonzero(ink)
            inner = (rows.min(), page.height - rows.max(), columns.min(), page.width - columns.max())
            assert min(inner) >= EDGE * MM - 1.5


HEADING = 15.6
"""Size in points of a heading on a sheet."""


def test_headings_stand_clear_of_the_line_above(sheet):
    """To a heading it is further from the line above than from line to line (14.4 pt, on full sheets 13.4)."""
    _, one = sheet
    with pdfplumber.open(BytesIO(one.pdf)) as pdf:
        page = pdf.pages[0]
        words = [char for char in page.chars if char["text"].strip() and char["upright"]]
    heads = [char for char in words if round(char["size"], 1) == HEADING]
    assert len(heads) > 20
    for head in heads:
        above = [
            other["y0"] - head["y0"]
            for other in words
            if other["y0"] > head["y0"] + 5 and other["x0"] < head["x1"] and head["x0"] < other["x1"]
        ]
        assert min(above, default=math.inf) > 13.5, head["text"]
