"""The outline of handouts as screen readers get it, kept in golden/: a change must be meant.

After a change that is meant, write the outlines again with UPDATE_GOLDEN=1 and say in the commit why they changed.
"""

from __future__ import annotations

import json
import os
from io import BytesIO
from pathlib import Path

import pdfplumber
import pytest
from handouts.pdf_text import structure

from limberleaf.handouts import Choice, collection_handout, exercise_handout, ladder_handout, pocket_handout

GOLDEN = Path(__file__).parent / "golden"
GRID = (42, 59)
"""A page as 42 by 59 cells of dark and light: coarse enough that a font's new hinting does not show."""

KINDS = {
    "page": lambda edition: exercise_handout(edition, Choice("kn-01")),
    "sided": lambda edition: exercise_handout(edition, Choice("kn-02", "left")),
    "large": lambda edition: exercise_handout(edition, Choice("kn-01"), "large"),
    "pocket": lambda edition: pocket_handout(edition, [Choice("kn-01")]),
    "ladder": lambda edition: ladder_handout(edition, next(iter(edition.ladders))),
    "collection": lambda edition: collection_handout(edition, next(iter(edition.collections))),
}


def outline(data: bytes) -> list[str]:
    """One line for each heading, list item, cell, figure and caption: its tag and how its text begins."""
    shown = {"H1", "H2", "H3", "LBody", "TH", "TD", "Figure", "Caption", "P"}
    lines = []
    for one in structure(data).walk():
        if one.tag in shown:
            lines.append(f"{one.tag} {(one.alt or ' '.join(one.text.split()))[:48]}".strip())
    return lines


def silhouette(data: bytes) -> list[str]:
    """The first page as rows of `#` (ink) and `.` (paper)."""
    with pdfplumber.open(BytesIO(data)) as pdf:
        picture = pdf.pages[0].to_image(resolution=36).original.convert("L").resize(GRID)
    return [
        "".join("#" if picture.getpixel((x, y)) < 200 else "." for x in range(GRID[0]))
        for y in range(GRID[1])
    ]


@pytest.mark.parametrize("kind", KINDS)
def test_the_outline_is_the_one_kept(kind, starter_edition, typesetter):
    data = typesetter.pdf(KINDS[kind](starter_edition))
    now = {"outline": outline(data), "silhouette": silhouette(data)}
    file = GOLDEN / f"{kind}.json"
    if os.environ.get("UPDATE_GOLDEN"):
        file.write_text(json.dumps(now, ensure_ascii=False, indent=1) + "\n", "utf-8")
    golden = json.loads(file.read_text("utf-8"))
    assert now["outline"] == golden["outline"]
    differing = sum(
        a != b
        for row, other in zip(now["silhouette"], golden["silhouette"], strict=True)
        for a, b in zip(row, other, strict=True)
    )
    assert differing <= 0.02 * GRID[0] * GRID[1], f"{differing} cells of the page look different"
