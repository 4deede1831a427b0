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

from limberleaf.handouts import Choice, exercise_handout, pocket_handout

SENTENCE = "اجلس على كرسي ثابت وارفع قدمك ببطء"
LABEL = "تمرين"
LATIN = {
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


NAMES = {"carry_on", "ease_off", "stop", "easier", "harder", "instead"}


def in_arabic(value, key=""):
    """Put Arabic for every text that is shown; names and drawings stay."""
    if isinstance(value, dict):
        return {
            name: one if name in LATIN or (isinstance(one, str) and one in NAMES) else in_arabic(one, name)
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
        letters = [char for char in page.chars if "Almarai" in char["fontname"]]
        assert len(letters) > 100
        title = max(char["size"] for char in letters)
        largest = [char for char in letters if char["size"] == title]
        assert max(char["x1"] for char in largest) > page.width * (0.45 if page.width > 600 else 0.4)
        rightmost = max(char["x1"] for char in letters)
        assert rightmost > page.width - 80


def test_a_telephone_number_keeps_its_order(edition, arabic):
    """In text that runs from right to left, the two halves of a number would change places if it were not held."""
    first, second = edition.clinic.phone.split()
    with pdfplumber.open(BytesIO(arabic)) as pdf:
        words = pdf.pages[0].extract_words()
    for one in words:
        if one["text"] == first:
            after = [
                word
                for word in words
                if word["text"].startswith(second) and abs(word["top"] - one["top"]) < 2
            ]
            assert after and min(word["x0"] for word in after) > one["x0"]
