"""Every kind of handout as a tagged PDF, judged by libraries that know PDF and nothing of ours.

ISO 14289-1:2014 (PDF/UA-1) and ISO 19005-2 (PDF/A-2a), by the rules of `page-validation`; PDF/UA-1 once more by
`outloud`, which shares no code with it; ISO 32000-1 section 14.8 for the tags.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from io import BytesIO
from itertools import pairwise

import outloud
import page as page_validation
import pikepdf
import pytest
from handouts.pdf_lines import drawn_lines
from handouts.pdf_text import letters, squeezed, structure

from limberleaf.handouts import (
    Choice,
    collection_booklet,
    collection_handout,
    diary_handout,
    exercise_handout,
    label_handout,
    ladder_handout,
    plan_booklet,
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


TRANSLATED = {
    "nl-page": lambda edition: exercise_handout(edition, Choice("ne-03", "left")),
    "nl-large": lambda edition: exercise_handout(edition, Choice("ne-05"), "large"),
    "nl-ladder": lambda edition: ladder_handout(edition, next(iter(edition.ladders))),
    "nl-booklet": lambda edition: plan_booklet(edition, [Choice("ne-03", "left"), Choice("ne-05")]),
    "ar-page": lambda edition: exercise_handout(edition, Choice("kn-03", "right")),
    "ar-larger": lambda edition: exercise_handout(edition, Choice("kn-01", "left"), "larger"),
    "ar-pocket": lambda edition: pocket_handout(edition, [Choice("kn-03", "left")]),
    "ar-diary": lambda edition: diary_handout(edition, [Choice("kn-03", "left")]),
    "ar-booklet": lambda edition: plan_booklet(edition, [Choice("kn-01", "left"), Choice("kn-03", "left")]),
}


@pytest.fixture(scope="module", params=[*KINDS, *TRANSLATED])
def document(request, editions, typesetter):
    """A handout and its PDF; the name of the kind begins with its language when that is not English."""
    language = request.param[:2] if request.param in TRANSLATED else "en"
    handout = {**KINDS, **TRANSLATED}[request.param](editions[language])
    return handout, typesetter.pdf(handout)


@pytest.fixture(scope="module")
def tree(document):
    """What a screen reader gets from it, read once: that takes longer than setting the document."""
    return structure(document[1])


@pytest.mark.parametrize("standard", ["ua1", "pdfa2a"])
def test_it_keeps_all_rules_of_the_standard(document, standard):
    report = page_validation.validate_pdf_bytes(document[1], profile=standard)
    failures = [one for one in report.failures if one.rule_id != LENGTH]
    assert failures == []
    assert report.is_compliant or lengths_are_true(document[1])


LENGTH = "PDFA2A-STREAM-LENGTH-001"
"""`page-validation` takes a carriage return that ends compressed data for a part of the line end behind it."""


def lengths_are_true(data: bytes) -> bool:
    """Whether each stream is as long as it says and ends with a line of its own (ISO 32000-1, 7.3.8.1)."""
    streams = list(re.finditer(rb"/Length (\d+)[^>]*>>\s*stream\n", data))
    return bool(streams) and all(
        data[one.end() + int(one[1]) :].startswith(b"\nendstream") for one in streams
    )


MEANT = {
    "TBL-011": "the corner of a tick chart, above its weeks, is empty",
    "TBL-012": "boxes to tick and to write in are empty",
    "TBL-014": "edges of boxes and the chart's lines are drawn, and no table",
    "PAG-001": "a heading or the end of a box stands at one height on several pages by chance",
    "ORD-001": "a box that goes on over the page is painted after what follows it; its tags are in order",
}
"""What the second judge warns of and we mean."""
READ_ONCE = {"TAG-002": "four cards on a sheet say the same; three of them are no part of what is read"}


def test_a_second_judge_finds_no_fault(document, tmp_path):
    handout, data = document
    file = tmp_path / "handout.pdf"
    file.write_bytes(data)
    told = outloud.check(str(file))
    assert told.error is None
    meant = MEANT | (READ_ONCE if handout.template == "pocket" else {})
    assert [(one.rule, one.message) for one in told.findings if one.rule not in meant] == []


def test_a_judge_that_finds_nothing_would_be_no_judge(edition, typesetter, tmp_path):
    """A sheet without its language and its tags fails with both."""
    with pikepdf.open(BytesIO(typesetter.pdf(KINDS["page"](edition)))) as pdf:
        del pdf.Root.Lang, pdf.Root.StructTreeRoot, pdf.Root.MarkInfo
        pdf.save(tmp_path / "bare.pdf")
    assert outloud.check(str(tmp_path / "bare.pdf")).errors
    data = (tmp_path / "bare.pdf").read_bytes()
    for standard in ("ua1", "pdfa2a"):
        assert not page_validation.validate_pdf_bytes(data, profile=standard).is_compliant


LEAST_LINE = 0.8
"""Width in points of the finest line of a figure that is still whole on a copy's copy (`test_photocopy.py`)."""


def test_no_line_of_a_figure_is_too_fine_for_a_copier(document):
    lines = list(drawn_lines(document[1]))
    assert lines or document[0].template == "diary"
    assert [width for width in lines if width < LEAST_LINE - 0.01] == []


def _bookmarks(items: pikepdf.Array | list) -> Iterator[str]:
    for one in items:
        yield one.title
        yield from _bookmarks(one.children)


def test_its_bookmarks_are_its_headings(document, tree):
    headings = [one.text for one in tree.walk() if one.tag in ("H1", "H2", "H3", "H4")]
    with pikepdf.open(BytesIO(document[1])) as pdf, pdf.open_outline() as outline:
        marks = list(_bookmarks(outline.root))
    if document[0].data["dir"] == "rtl":  # read back as painted, marked letters once more
        assert len(marks) == len(headings)
        for mark, heading in zip(marks, headings, strict=True):
            assert letters(mark) <= letters(heading)
    else:
        assert [squeezed(one) for one in marks] == [squeezed(one) for one in headings]


def test_it_says_what_it_is_called_and_in_which_language(document):
    handout, data = document
    with pikepdf.open(BytesIO(data)) as pdf:
        assert str(pdf.Root.Lang) == handout.data["lang"]
        assert str(pdf.docinfo.Title) == handout.data["title"]
        assert bool(pdf.Root.ViewerPreferences.DisplayDocTitle)
        assert bool(pdf.Root.MarkInfo.Marked)


def test_words_in_another_language_say_which(document, tree):
    """A clinic's name written once, in English, is English in a Dutch or Arabic booklet too (ISO 32000-1, 14.9.2)."""
    handout, _ = document
    name = handout.data["clinic"]["name"]
    elsewhere = [one for one in tree.walk() if squeezed(one.text) == squeezed(name["t"])]
    assert elsewhere or handout.template != "booklet"
    if handout.data["lang"] != name["lang"]:
        assert {one.language for one in elsewhere if one.tag in ("P", "H2")} <= {name["lang"]}


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


def test_every_figure_says_what_it_shows(tree):
    figures = tree.all("Figure")
    assert all(figure.alt.strip() for figure in figures)


def test_headings_start_at_one_and_skip_no_level(tree):
    levels = [int(one.tag[1]) for one in tree.walk() if one.tag in ("H1", "H2", "H3", "H4")]
    assert levels[0] == 1
    assert all(after - before <= 1 for before, after in pairwise(levels))


def test_lists_hold_items_and_items_hold_their_bodies(tree):
    for one in tree.all("L"):
        items = [piece for piece in one.pieces if not isinstance(piece, str)]
        assert items and all(item.tag in ("LI", "Caption") for item in items)
        assert all(any(part.tag == "LBody" for part in item.walk()) for item in items if item.tag == "LI")


def test_tables_have_head_cells(tree):
    for table in tree.all("Table"):
        assert table.all("TH")


def test_an_exercise_is_tagged_as_one_would_read_it(edition, typesetter):
    tree = structure(typesetter.pdf(KINDS["page"](edition)))
    assert [one.text for one in tree.all("H1")] == ["Straighten your knee in sittingleft side"]
    panels = len(edition.exercises["kn-03"].figure.poses)
    assert len(tree.all("Figure")) == panels + 1  # the QR code too
    assert len(tree.all("Caption")) == panels
    assert "8–12repeats" in "".join(tree.text.split())
