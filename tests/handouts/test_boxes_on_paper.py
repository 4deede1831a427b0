"""Every sign and every action of a page's caution boxes is on its printed sheet, in each language, with filled blanks.

Read back with poppler's pdftotext, which shares no code with what sets the sheet.
"""

from __future__ import annotations

import re
import subprocess
from pathlib import Path

import pytest

from limberleaf.clinical.cautions import boxes
from limberleaf.clinical.placeholder_values import placeholders_for
from limberleaf.handouts.sheet import Choice, exercise_handout
from limberleaf.library.text import fill
from limberleaf.library.translate import in_language


def _words(text: str) -> str:
    return re.sub(r"[\s\u00ad\u200e\u200f\u202a-\u202e\u2066-\u2069]+", "", text)


@pytest.mark.parametrize(
    ("code", "language"),
    [("kn-03", "en"), ("ba-07", "en"), ("lb-10", "en"), ("sh-10", "en"), ("ne-06", "nl"), ("ne-01", "nl")],
)
def test_every_box_is_on_the_printed_sheet(
    library, editions, typesetter, tmp_path: Path, code, language
) -> None:
    exercise = in_language(library, code, language) or library.exercises[code].entry
    side = "left" if exercise.sides == "one" else None
    pdf = tmp_path / "sheet.pdf"
    pdf.write_bytes(typesetter.pdf(exercise_handout(editions[language], Choice(code, side))))
    read = subprocess.run(["pdftotext", "-layout", pdf, "-"], capture_output=True, text=True, check=True)
    raw = subprocess.run(["pdftotext", "-raw", pdf, "-"], capture_output=True, text=True, check=True)
    shown = _words(raw.stdout) + _words(read.stdout)
    placeholders = placeholders_for(library, exercise, side, language)
    told = boxes(library, exercise, language)
    assert {box.tier for box in told} >= {"emergency", "same_day"}
    for box in told:
        for text in (*box.signs, box.action):
            filled = fill(text, placeholders).plain
            assert _words(filled) in shown, filled
