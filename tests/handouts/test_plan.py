"""A plan on paper says what its link says: days, the next look, the clinic's notes, changed doses."""

from __future__ import annotations

from datetime import date
from io import BytesIO

import pdfplumber
import pytest
from handouts.pdf_text import letters, squeezed, structure

from limberleaf.handouts import booklet_of, plan_handout
from limberleaf.plan import Pick, Plan, resolve

PLAN = Plan(
    (Pick("kn-03", "left", changes={"repetitions": 10}),),
    6,
    days=(1, 4),
    review=date(2026, 12, 7),
    notes=("note-01",),
)
SAID = {
    "en": ("Bring this plan and your chart to your next visit.", "Monday, Thursday", "7 December 2026"),
    "ar": ("أحضر هذه الخطة وجدولك إلى موعدك القادم.", "الاثنين", "ديسمبر"),
}


@pytest.mark.parametrize("make", [plan_handout, booklet_of])
@pytest.mark.parametrize("language", SAID)
def test_days_next_look_and_notes_are_there(library, editions, typesetter, make, language):
    data = typesetter.pdf(make(editions[language], resolve(PLAN, library, language)))
    blocks = [one.text for one in structure(data).walk() if one.tag in ("P", "LBody")]
    for said in SAID[language]:
        if language == "ar":  # read back as painted
            assert any(letters(said) <= letters(block) for block in blocks), said
        else:
            assert any(squeezed(said) in squeezed(block) for block in blocks), said
    with pdfplumber.open(BytesIO(data)) as pdf:
        assert (
            min(round(char["size"], 1) for page in pdf.pages for char in page.chars if char["text"].strip())
            >= 12
        )
