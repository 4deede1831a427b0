"""A sheet copied twice on a black-and-white copier: what must be told apart still is.

The copier is simulated (common practice, no source): the page is scanned at 200 dots to the inch, blurred as by worn
optics, sprinkled with noise, and made black or white; then all of that once more. Figures are the demo's own.
"""

from __future__ import annotations

import re
from dataclasses import replace
from io import BytesIO

import numpy as np
import pdfplumber
import pytest
from handouts.pdf_lines import drawn_lines
from handouts.pdf_text import figure_boxes
from PIL import Image, ImageFilter

from limberleaf.figures import Figures
from limberleaf.handouts import Choice, exercise_handout
from limberleaf.pages import SiteContext
from limberleaf.pages.language_edition import LanguageEdition
from limberleaf.pages.page_figures import PageFigures
from limberleaf.store import Store

DOTS = 200
AFFECTED, OTHER = 0x77, 0xE2
"""Greys of the affected limb and of the other one in the print style (diagrams)."""


def page_picture(data: bytes) -> Image.Image:
    with pdfplumber.open(BytesIO(data)) as pdf:
        return pdf.pages[0].to_image(resolution=DOTS, antialias=True).original.convert("L")


def beside(dark: np.ndarray) -> np.ndarray:
    """Widen what is dark by a dot (0.13 mm) to each side."""
    high, wide = dark.shape
    padded = np.pad(dark, 1)
    return np.logical_or.reduce([padded[y : y + high, x : x + wide] for y in range(3) for x in range(3)])


def copied(picture: Image.Image, seed: int) -> Image.Image:
    """Copy once: blur, noise, black or white."""
    scanned = np.asarray(picture.filter(ImageFilter.GaussianBlur(1.2)), dtype=float)
    noisy = scanned + np.random.default_rng(seed).normal(0, 20, scanned.shape)
    return Image.fromarray(np.where(noisy < 128, 0, 255).astype(np.uint8))


@pytest.fixture(scope="module", params=["kn-03", "kn-07"])
def handout(request, library):
    """A sheet with room, and one of the fullest, whose figure is as small as any."""
    context = SiteContext(library, PageFigures(Figures(Store()), "print"))
    return exercise_handout(LanguageEdition(context, "en"), Choice(request.param, "left"))


@pytest.fixture(scope="module")
def sheet(handout, typesetter):
    """The page as printed, and the dark dots of its second copy."""
    picture = page_picture(typesetter.pdf(handout))
    return np.asarray(picture), np.asarray(copied(copied(picture, 1), 2)) < 128


@pytest.fixture(scope="module")
def frames(handout, typesetter, sheet):
    """Where the panels are on the picture of the page."""
    high = sheet[0].shape[0]
    *panels, _ = figure_boxes(typesetter.pdf(handout))
    dots = [[round(side * DOTS / 72) for side in panel] for panel in panels]
    return [np.s_[high - top : high - bottom, left:right] for left, bottom, right, top in dots]


def test_the_finest_line_of_a_figure_survives(handout, typesetter, sheet, frames):
    """Lines are at least 0.8 pt wide as printed; what is black is dark on the second copy, or the dot beside it is.

    A small figure has more edge for its ink: a dot of an edge may go, a line may not.
    """
    printed, dark = sheet
    assert min(drawn_lines(typesetter.pdf(handout))) >= 0.79
    for frame in frames:
        black = printed[frame] < 30
        assert black.sum() > 1500
        assert dark[frame][black].mean() > 0.95
        assert beside(dark[frame])[black].mean() > 0.99


def test_the_affected_limb_stays_the_dark_one(sheet):
    printed, dark = sheet
    affected, other = dark[printed == AFFECTED], dark[printed == OTHER]
    assert affected.size > 2000 and other.size > 200
    assert affected.mean() > 0.7  # the grey is near the threshold, so noise decides a few dots
    assert other.mean() < 0.05


def test_the_arrow_stays_a_dark_line_on_light(handout, typesetter, sheet):
    """The arrow is what differs from the same sheet without it; around it is the white edge it is drawn with."""
    printed, dark = sheet
    panels = [
        {**panel, "svg": re.sub(r'<g id="[^"]*-arrow">.*?</g>', "", panel["svg"])}
        for panel in handout.data["sheet"]["panels"]
    ]
    without = replace(handout, data={**handout.data, "sheet": {**handout.data["sheet"], "panels": panels}})
    plain = np.asarray(page_picture(typesetter.pdf(without))).astype(int)
    arrow = (printed < 40) & (plain - printed > 60)
    edge = (printed > 250) & (plain < 200)
    assert arrow.sum() > 200
    assert dark[arrow].mean() > 0.95
    assert dark[edge].mean() < 0.2


def test_the_boxes_stay_three_kinds(handout, typesetter, sheet):
    """Help now has a dark bar, help today a light one with a whole frame: by their look, before a word is read."""
    data = typesetter.pdf(handout)
    _, dark = sheet
    with pdfplumber.open(BytesIO(data)) as pdf:
        words = pdf.pages[0].extract_words()
    bars = {}
    for first, second, third in zip(words, words[1:], words[2:], strict=False):
        if (first["text"], second["text"]) == ("Get", "help") and third["text"] in ("now", "today"):
            strip = (first["x0"], first["top"], first["x0"] + 200, first["bottom"])
            left, top, right, bottom = (round(side * DOTS / 72) for side in strip)
            bars[third["text"]] = dark[top:bottom, left:right].mean()
    assert bars["now"] > 0.6
    assert bars["today"] < 0.35


@pytest.mark.parametrize("name", ["carry_on", "ease_off", "stop"])
def test_the_icons_of_the_bands_keep_their_shape(name):
    """A tick in a circle, a mark in a triangle, a bar in an octagon: light on dark, at the size printed."""
    import resvg_py

    from limberleaf.handouts.typeset import TEMPLATES

    svg = (TEMPLATES / "icons" / f"{name}.svg").read_text("utf-8")
    raw = bytes(resvg_py.svg_to_bytes(svg_string=svg, width=45, height=45, background="white"))
    with Image.open(BytesIO(raw)) as picture:
        grey = picture.convert("L")
        dark = np.asarray(copied(copied(grey, 3), 4)) < 128
        ink = np.asarray(grey)
    assert dark[ink < 110].mean() > 0.85
    assert dark[ink > 240].mean() < 0.15
