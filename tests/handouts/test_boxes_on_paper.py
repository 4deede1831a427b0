"""Every sign and every action of a page's caution boxes is on its printed sheet, in each language, with filled blanks.

Read back with poppler's pdftotext, which shares no code with what sets the sheet.
"""

from __future__ import annotations

import re
import subprocess
import unicodedata
from collections import Counter
from collections.abc import Iterator
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


def _texts(value) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict | list | tuple):
        for one in value.values() if isinstance(value, dict) else value:
            yield from _texts(one)


def _letters(text: str) -> Counter[str]:
    bare = re.sub(r"[\u064b-\u0652\u0640]", "", unicodedata.normalize("NFKC", text))
    return Counter(letter for letter in bare if letter.isalnum())


def test_every_box_is_on_the_arabic_sheet(library, editions, typesetter, tmp_path: Path) -> None:
    """Poppler gives Arabic words back to front, so the lines are looked for in the sheet, their letters in the PDF."""
    exercise = in_language(library, "kn-03", "ar")
    sheet = exercise_handout(editions["ar"], Choice("kn-03", "left"))
    pdf = tmp_path / "sheet.pdf"
    pdf.write_bytes(typesetter.pdf(sheet))
    read = subprocess.run(["pdftotext", "-raw", pdf, "-"], capture_output=True, text=True, check=True).stdout
    said = _words("".join(_texts(sheet.data)))
    placeholders = placeholders_for(library, exercise, "left", "ar")
    told = boxes(library, exercise, "ar")
    assert {box.tier for box in told} >= {"emergency", "same_day"}
    wanted: Counter[str] = Counter()
    for box in told:
        for text in box.signs:
            assert _words(fill(text, placeholders).plain) in said
        action = fill(box.action, placeholders).plain
        assert [word for word in action.split() if word not in said] == []
        wanted += _letters(" ".join((*box.signs, action)))
    assert wanted - _letters(read) == Counter()
