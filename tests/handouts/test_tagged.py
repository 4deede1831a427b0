"""Every kind of handout as a tagged PDF, judged by libraries that know PDF and nothing of ours.

ISO 14289-1:2014 (PDF/UA-1), by the rules of `page-validation`; ISO 32000-1 section 14.8 for the tags.
"""

from __future__ import annotations

from io import BytesIO
from itertools import pairwise

import page as page_validation
import pikepdf
import pytest
from handouts.pdf_text import structure

from limberleaf.handouts import (
    Choice,
    collection_booklet,
    collection_handout,
    diary_handout,
    exercise_handout,
    label_handout,
    ladder_handout,
    plan_handout,
    pocket_handout,
    wall_chart,
)
from limberleaf.plan import Pick, resolve
from limberleaf.plan.resolve import make


def _plan(edition):
    library = edition.context.library
    picks = [Pick("kn-03", "left", changes={"repetitions": 10}, star=True), Pick("kn-04")]
    return plan_handout(edition, resolve(make(library, picks, 6), library, "en"))


KINDS = {
    "page": lambda edition: exercise_handout(edition, Choice("kn-03", "left")),
    "either": lambda edition: exercise_handout(edition, Choice("kn-03")),
    "long": lambda edition: exercise_handout(edition, Choice("kn-07", "right")),
    "large": lambda edition: exercise_handout(edition, Choice("kn-03", "left"), "large"),
    "ladder": lambda edition: ladder_handout(edition, "knee-strength"),
    "collection": lambda edition: collection_handout(edition, "stiff-sore-knees"),
    "pocket": lambda edition: pocket_handout(edition, [Choice("kn-03", "left")]),
    "pocket-three": lambda edition: pocket_handout(edition, [Choice(f"kn-0{n}") for n in (3, 4, 5)]),
    "booklet": lambda edition: collection_booklet(edition, "ankle-sprain"),
    "plan": _plan,
    "larger": lambda edition: exercise_handout(edition, Choice("kn-03", "left"), "larger"),
    "diary": lambda edition: diary_handout(edition, [Choice("kn-03", "left"), Choice("kn-04")]),
    "labels": lambda edition: label_handout(edition, [Choice("kn-03", "left"), Choice("lb-02")]),
    "wall": lambda edition: wall_chart(edition, "knee-strength"),
}


@pytest.fixture(scope="module", params=KINDS)
def document(request, edition, typesetter):
    handout = KINDS[request.param](edition)
    return handout, typesetter.pdf(handout)


def test_it_keeps_all_rules_of_pdf_ua_1(document):
    report = page_validation.validate_pdf_bytes(document[1], profile="ua1")
    assert report.is_compliant, [str(failure) for failure in report.failures][:5]


def test_it_says_what_it_is_called_and_in_which_language(document):
    handout, data = document
    with pikepdf.open(BytesIO(data)) as pdf:
        assert str(pdf.Root.Lang) == "en"
        assert str(pdf.docinfo.Title) == handout.data["title"]
        assert bool(pdf.Root.ViewerPreferences.DisplayDocTitle)
        assert bool(pdf.Root.MarkInfo.Marked)


def test_it_names_nobody(document):
    with pikepdf.open(BytesIO(document[1])) as pdf:
        assert not {"/Author", "/Subject", "/Keywords"} & set(pdf.docinfo.keys())
        with pdf.open_metadata() as metadata:
            assert not {key for key in metadata if key.endswith(("creator", "Author"))}


def test_every_font_is_in_the_file(document):
    with pikepdf.open(BytesIO(document[1])) as pdf:
        found = 0
        for one in pdf.objects:
            if isinstance(one, pikepdf.Dictionary) and one.get("/Type") == "/FontDescriptor":
                found += 1
                assert {"/FontFile2", "/FontFile3"} & set(one.keys()), one.FontName
        assert found


def test_every_figure_says_what_it_shows(document):
    figures = structure(document[1]).all("Figure")
    assert all(figure.alt.strip() for figure in figures)


def test_headings_start_at_one_and_skip_no_level(document):
    levels = [int(one.tag[1]) for one in structure(document[1]).walk() if one.tag in ("H1", "H2", "H3", "H4")]
    assert levels[0] == 1
    assert all(after - before <= 1 for before, after in pairwise(levels))


def test_lists_hold_items_and_items_hold_their_bodies(document):
    for one in structure(document[1]).all("L"):
        items = [piece for piece in one.pieces if not isinstance(piece, str)]
        assert items and all(item.tag in ("LI", "Caption") for item in items)
        assert all(any(part.tag == "LBody" for part in item.walk()) for item in items if item.tag == "LI")


def test_tables_have_head_cells(document):
    for table in structure(document[1]).all("Table"):
        assert table.all("TH")


def test_an_exercise_is_tagged_as_one_would_read_it(edition, typesetter):
    tree = structure(typesetter.pdf(KINDS["page"](edition)))
    assert [one.text for one in tree.all("H1")] == ["Straighten your knee in sittingleft side"]
    panels = len(edition.exercises["kn-03"].figure.poses)
    assert len(tree.all("Figure")) == panels + 1  # the QR code too
    assert len(tree.all("Caption")) == panels
    assert "8–12repeats" in "".join(tree.text.split())
