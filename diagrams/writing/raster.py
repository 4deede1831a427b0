"""Pixels from a display list, with Pillow: every shape is drawn larger and the whole is averaged down."""

from __future__ import annotations

import io
from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from PIL import Image, ImageChops, ImageDraw

from limberleaf.diagrams.picture.displaylist import Box, Paint, Picture, Points, flatten

SUPERSAMPLING = 4
"""Each pixel is the mean of this many squared."""


def draw_png(
    pictures: Sequence[Picture], width: int, *, gap: float = 0.0, background: str = "#ffffff"
) -> bytes:
    """Return the pictures side by side as PNG bytes, `width` pixels wide. `gap` is in user units."""
    stream = io.BytesIO()
    draw_image(pictures, width, gap=gap, background=background).save(stream, "PNG", optimize=True)
    return stream.getvalue()


def draw_image(
    pictures: Sequence[Picture], width: int, *, gap: float = 0.0, background: str = "#ffffff"
) -> Image.Image:
    """Return the pictures side by side as an RGB image, `width` pixels wide."""
    if width < 1:
        raise ValueError("a picture is at least 1 pixel wide")
    total = sum(picture.frame.width for picture in pictures) + gap * (len(pictures) - 1)
    height_units = max(picture.frame.height for picture in pictures)
    scale = width / total
    height = max(1, round(height_units * scale))
    big = Image.new("RGB", (width * SUPERSAMPLING, height * SUPERSAMPLING), background)
    canvas = ImageDraw.Draw(big)
    left = 0.0
    for picture in pictures:
        _paint_picture(canvas, picture, left, scale * SUPERSAMPLING)
        for box, inset in picture.insets:
            _paste_inset(big, picture, box, inset, left, scale * SUPERSAMPLING)
        left += picture.frame.width + gap
    return big.resize((width, height), Image.Resampling.BOX)


def _paint_picture(canvas: ImageDraw.ImageDraw, picture: Picture, left: float, scale: float) -> None:
    origin = np.array([picture.frame.left - left, picture.frame.top])
    for shape in picture.shapes:
        lines = [((points - origin) * scale, closed) for points, closed in flatten(shape.path)]
        paint = shape.paint
        if paint.outside:
            _stroke(canvas, lines, paint, scale)
            _fill(canvas, lines, paint)
        else:
            _fill(canvas, lines, paint)
            _stroke(canvas, lines, paint, scale)


def _paste_inset(
    big: Image.Image, picture: Picture, box: Box, inset: Picture, left: float, scale: float
) -> None:
    """Draw an inset on its own and lay it in its box, so that it is cut off at the edge."""
    corner = ((box.left - picture.frame.left + left) * scale, (box.top - picture.frame.top) * scale)
    size = (max(1, round(box.width * scale)), max(1, round(box.height * scale)))
    own = Image.new("RGB", size, "#ffffff")
    _paint_picture(ImageDraw.Draw(own), inset, 0.0, scale * box.width / inset.frame.width)
    big.paste(own, (round(corner[0]), round(corner[1])))


def _fill(canvas: ImageDraw.ImageDraw, lines: list[tuple[Points, bool]], paint: Paint) -> None:
    if not paint.fill:
        return
    if paint.even_odd and len(lines) > 1:
        _fill_with_holes(canvas, lines, paint.fill)
        return
    for points, _ in lines:
        if len(points) > 2:
            # Pillow's pixel centres lie at whole numbers, SVG's at halves.
            canvas.polygon([(x - 0.5, y - 0.5) for x, y in points.tolist()], fill=paint.fill)


def _fill_with_holes(canvas: ImageDraw.ImageDraw, lines: list[tuple[Points, bool]], colour: str) -> None:
    """Fill loops so that what lies inside an even number of them stays free."""
    points = np.vstack([line for line, _ in lines])
    low, high = np.floor(points.min(axis=0)).astype(int) - 1, np.ceil(points.max(axis=0)).astype(int) + 2
    size = (int(high[0] - low[0]), int(high[1] - low[1]))
    mask = Image.new("1", size)
    for line, _ in lines:
        own = Image.new("1", size)
        ImageDraw.Draw(own).polygon([(x, y) for x, y in (line - 0.5 - low).tolist()], fill=1)
        mask = ImageChops.logical_xor(mask, own)
    canvas.bitmap((int(low[0]), int(low[1])), mask, fill=colour)


def _stroke(
    canvas: ImageDraw.ImageDraw, lines: list[tuple[Points, bool]], paint: Paint, scale: float
) -> None:
    if not paint.stroke or paint.width <= 0:
        return
    # `outside` strokes both sides and the fill then hides the inner half.
    half = paint.width * scale * (1.0 if paint.outside else 0.5)
    for whole, closed in lines:
        line = np.vstack([whole, whole[:1]]) if closed else whole
        for points in _dashes(line, [length * scale for length in paint.dash]):
            _stroke_line(canvas, points - 0.5, half, paint, round_ends=closed or paint.cap == "round")


def _stroke_line(
    canvas: ImageDraw.ImageDraw, points: Points, half: float, paint: Paint, *, round_ends: bool
) -> None:
    steps = np.diff(points, axis=0)
    lengths = np.hypot(steps[:, 0], steps[:, 1])
    keep = lengths > 1e-9
    sides = np.zeros_like(steps)
    sides[keep] = np.column_stack([-steps[keep, 1], steps[keep, 0]]) / lengths[keep, None] * half
    for start, end, side in zip(points[:-1][keep], points[1:][keep], sides[keep], strict=True):
        corners = [start + side, end + side, end - side, start - side]
        canvas.polygon([(float(x), float(y)) for x, y in corners], fill=paint.stroke)
    joints = points if round_ends else points[1:-1]
    for x, y in joints.tolist():
        canvas.ellipse((x - half, y - half, x + half, y + half), fill=paint.stroke)


def _dashes(points: Points, dash: list[float]) -> list[Points]:
    """Cut a polyline into its dashes; without dashes it stays whole."""
    if not dash:
        return [points]
    pieces: list[Points] = []
    current = [points[0]]
    index, left, on = 0, dash[0], True
    for start, end in pairwise(points):
        length = float(np.hypot(*(end - start)))
        done = 0.0
        while length - done > left:
            done += left
            cut = start + (end - start) * (done / length)
            if on:
                pieces.append(np.array([*current, cut]))
            index = (index + 1) % len(dash)
            left, on = dash[index], not on
            current = [cut]
        left -= length - done
        current.append(end)
    if on and len(current) > 1:
        pieces.append(np.array(current))
    return pieces
