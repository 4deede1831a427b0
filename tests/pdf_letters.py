"""The letters of a PDF as PDFium reads it: their sizes, and the text of each page.

Reading a page letter by letter in C takes a twentieth of what readers in Python take; where they are (boxes, lines,
columns) the tests ask pdfplumber.
"""

from __future__ import annotations

import math
from collections import Counter
from pathlib import Path

import pypdfium2
from pypdfium2 import raw


def letter_sizes(document: bytes | Path) -> Counter[float]:
    """Count the letters of all pages by their size in points, as drawn, to a tenth; white space is none."""
    sizes: Counter[float] = Counter()
    matrix = raw.FS_MATRIX()
    for page in pypdfium2.PdfDocument(document):
        text = page.get_textpage()
        for at in range(text.count_chars()):
            made_up = raw.FPDFText_IsGenerated(text.raw, at) == 1  # a space or line end between two runs
            if made_up or chr(raw.FPDFText_GetUnicode(text.raw, at)).isspace():
                continue
            assert raw.FPDFText_GetMatrix(text.raw, at, matrix)
            scale = math.hypot(matrix.c, matrix.d)
            sizes[round(raw.FPDFText_GetFontSize(text.raw, at) * scale, 1)] += 1
    return sizes


def page_texts(document: bytes | Path) -> list[str]:
    """Give the text of each page in the order it is painted."""
    return [page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(document)]
