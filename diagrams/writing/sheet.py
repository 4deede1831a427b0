"""A contact sheet: many figures on one page, to look over a whole library at once."""

from __future__ import annotations

import io
from collections.abc import Sequence

from PIL import Image, ImageDraw, ImageFont

from limberleaf.diagrams.draw import GAP, Drawing
from limberleaf.diagrams.writing.raster import draw_image

PADDING = 12
LABEL = 22


def contact_sheet(figures: Sequence[tuple[str, Drawing]], *, columns: int = 4, width: int = 360) -> bytes:
    """Return a PNG with every figure's panels under its label, `columns` to a row, each `width` pixels wide.

    Raises ValueError when there is nothing to show.
    """
    if not figures:
        raise ValueError("a contact sheet needs at least one figure")
    tiles = [_tile(label, drawing, width) for label, drawing in figures]
    rows = [tiles[start : start + columns] for start in range(0, len(tiles), columns)]
    heights = [max(tile.height for tile in row) for row in rows]
    total = (width + PADDING) * min(columns, len(tiles)) + PADDING
    sheet = Image.new("RGB", (total, sum(heights) + PADDING * (len(rows) + 1)), "#ffffff")
    top = PADDING
    for row, height in zip(rows, heights, strict=True):
        for number, tile in enumerate(row):
            sheet.paste(tile, (PADDING + number * (width + PADDING), top))
        top += height + PADDING
    stream = io.BytesIO()
    sheet.save(stream, "PNG", optimize=True)
    return stream.getvalue()


def _tile(label: str, drawing: Drawing, width: int) -> Image.Image:
    """One figure with its label. A narrow figure keeps its size instead of filling the width."""
    panel_width, _ = drawing.size
    natural = panel_width * len(drawing.pictures) + GAP * (len(drawing.pictures) - 1)
    shown = min(width, round(natural))
    picture = draw_image(drawing.pictures, shown, gap=GAP)
    tile = Image.new("RGB", (width, picture.height + LABEL), "#ffffff")
    tile.paste(picture, (0, LABEL))
    ImageDraw.Draw(tile).text((2, 2), label, fill="#1d2b33", font=ImageFont.load_default(14))
    return tile
