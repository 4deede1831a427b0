"""A handout in Arabic: it runs from right to left, every letter has a shape, and the tags say which language it is.

The words are a made-up stand-in: each text of the English sheet gives way to one Arabic sentence of the same kind.
"""

from __future__ import annotations

from dataclasses import replace
from io import BytesIO

import page as page_validation
import pdfplumber
import pikepdf
import pytest

from generator.handouts import Choice, exercise_handout, pocket_handout

SENTENCE = "اجلس على كرسي ثابت وارفع قدمك ببطء"
LABEL = "تمرين"
KEPT = {
    "svg",
    "qr",
    "to",
    "tier",
    "unit",
    "id",
    "paper",
    "lang",
    "dir",
    "number",
    "phone",
    "address",
    "code",
    "template",
    "page",
}


def in_arabic(value, key=""):
    if isinstance(value, dict):
        kept = {"bands", "way"} & {key}
        return {
            name: (
                LABEL
                if kept
                else one
                if name in KEPT
                else one
                if name == "name" and one in {"carry_on", "ease_off", "stop", "easier", "harder", "instead"}
                else in_arabic(one, name)
            )
            for name, one in value.items()
        }
    if isinstance(value, list):
        return [in_arabic(one, key) for one in value]
    return (SENTENCE if len(value) > 18 else LABEL) if isinstance(value, str) and value else value


@pytest.fixture(scope="module", params=["page", "large", "pocket"])
def arabic(request, edition, typesetter):
    if request.param == "pocket":
        handout = pocket_handout(edition, [Choice("kn-03", "left")])
    else:
        handout = exercise_handout(edition, Choice("kn-03", "left"), request.param)
    data = {**in_arabic(dict(handout.data)), "lang": "ar", "dir": "rtl", "title": SENTENCE}
    return typesetter.pdf(replace(handout, data=data))


def test_it_keeps_the_rules_and_names_its_language(arabic):
    assert page_validation.validate_pdf_bytes(arabic, profile="ua1").is_compliant
    with pikepdf.open(BytesIO(arabic)) as pdf:
        assert str(pdf.Root.Lang) == "ar"


def test_it_is_set_in_the_arabic_font_and_begins_at_the_right(arabic):
    with pdfplumber.open(BytesIO(arabic)) as pdf:
        page = pdf.pages[0]
        letters = [char for char in page.chars if "NotoSansArabic" in char["fontname"]]
        assert len(letters) > 100
        title = max(char["size"] for char in letters)
        largest = [char for char in letters if char["size"] == title]
        assert max(char["x1"] for char in largest) > page.width * (0.45 if page.width > 600 else 0.4)
        rightmost = max(char["x1"] for char in letters)
        assert rightmost > page.width - 80
