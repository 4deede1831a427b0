"""How wide the lines of drawings are on paper, read from a PDF's painting operators with pikepdf.

A drawing is set by a matrix that scales it; lines of the sheet itself are painted at scale 1 (ISO 32000-1, 8.3.4 and
8.4.3.2: a line is as wide as the current matrix makes it).
"""

from __future__ import annotations

from collections.abc import Iterator
from io import BytesIO

import numpy as np
import pikepdf

STROKES = frozenset({"S", "s", "B", "B*", "b", "b*"})


def drawn_lines(data: bytes) -> Iterator[float]:
    """Give the width in points of each line that a drawing of the document is painted with."""
    with pikepdf.open(BytesIO(data)) as pdf:
        for page in pdf.pages:
            yield from _lines(page, np.eye(3))


def _lines(content: pikepdf.Page | pikepdf.Object, start: np.ndarray) -> Iterator[float]:
    matrix, width, kept = start, 1.0, []
    resources = content.get("/Resources", pikepdf.Dictionary())
    for one in pikepdf.parse_content_stream(content):
        operator = str(one.operator)
        if operator == "q":
            kept.append((matrix, width))
        elif operator == "Q":
            matrix, width = kept.pop()
        elif operator == "cm":
            matrix = _matrix(one.operands) @ matrix
        elif operator == "w":
            width = float(one.operands[0])
        elif operator in STROKES:
            scale = abs(np.linalg.det(matrix[:2, :2])) ** 0.5
            if abs(scale - 1) > 0.01:
                yield width * scale
        elif operator == "Do":
            form = resources.XObject[str(one.operands[0])]
            if form.get("/Subtype") == "/Form":
                yield from _lines(form, _matrix(form.get("/Matrix", [1, 0, 0, 1, 0, 0])) @ matrix)


def _matrix(six: object) -> np.ndarray:
    a, b, c, d, e, f = (float(one) for one in six)
    return np.array([[a, b, 0], [c, d, 0], [e, f, 1]])
