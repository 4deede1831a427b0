"""Fonts: only those that are packaged or named; a letter that none of them has is refused with a finding."""

from __future__ import annotations

import shutil
from dataclasses import replace
from io import BytesIO
from pathlib import Path

import pdfplumber
import pytest

from limberleaf.handouts import Choice, HandoutError, Typesetter, exercise_handout, find_fonts, font_findings
from limberleaf.handouts.fonts import packaged_folders


def with_title(handout, title):
    return replace(handout, data={**handout.data, "sheet": {**handout.data["sheet"], "title": title}})


def test_the_packaged_families_are_found_and_no_others():
    found = find_fonts()
    assert found.families == ("Source Sans 3", "Almarai", "Noto Sans Arabic")
    assert set(found.fonts.families()) == set(found.families)
    assert font_findings(found) == []


@pytest.mark.parametrize(
    "title",
    ["Łódź Ελλάδα Україна", "Đạp chân", "Çömelme", "Žvėris ĳs", "−8 °C ½ … “”"],
    ids=["pl", "vi", "tr", "lt", "signs"],
)
def test_letters_of_many_languages_are_there(edition, typesetter, title):
    data = typesetter.pdf(with_title(exercise_handout(edition, Choice("kn-03"), "large"), title))
    with pdfplumber.open(BytesIO(data)) as pdf:
        assert "".join(title.split()) in "".join(pdf.pages[0].extract_text().split()).replace("ﬁ", "fi")


@pytest.mark.parametrize("letters", ["膝", "घुटना", "🦵"])
def test_a_letter_without_a_font_is_refused_in_plain_words(edition, typesetter, letters):
    handout = with_title(exercise_handout(edition, Choice("kn-03"), "large"), f"Knee {letters}")
    with pytest.raises(HandoutError) as caught:
        typesetter.pdf(handout)
    (finding,) = caught.value.findings
    assert finding.code == "no-font-for-letter"
    assert letters[0] in finding.message
    assert "--fonts" in finding.hint
    assert finding.place.path == "exercises/knee/kn-03.yml"


def test_a_folder_of_fonts_comes_first(edition, tmp_path: Path):
    for file in packaged_folders()[2].glob("*.ttf"):
        shutil.copy(file, tmp_path)
    found = find_fonts(tmp_path)
    assert found.families == ("Noto Sans Arabic", "Source Sans 3", "Almarai")
    data = Typesetter(found).pdf(exercise_handout(edition, Choice("kn-03")))
    with pdfplumber.open(BytesIO(data)) as pdf:
        assert any("NotoSansArabic" in char["fontname"] for char in pdf.pages[0].chars)


def test_a_folder_that_is_not_there_is_a_finding(tmp_path: Path):
    folder = tmp_path / "none"
    (finding,) = font_findings(find_fonts(folder), folder)
    assert finding.code == "no-font-folder"
    assert finding.hint


def test_without_any_font_there_is_a_finding(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr("limberleaf.handouts.fonts.PACKAGES", ("fontpkg_of_nobody",))
    find_fonts.cache_clear()
    try:
        (finding,) = font_findings(find_fonts())
    finally:
        find_fonts.cache_clear()
    assert finding.code == "no-fonts"
