"""The paper says what the page says: their words are read back from the HTML and from the PDF and compared."""

from __future__ import annotations

import html5lib
import pytest
from handouts.pdf_text import squeezed, structure

from limberleaf.handouts import Choice, collection_handout, exercise_handout, ladder_handout
from limberleaf.pages.site import site_pages

LEFT_OUT = {"tools", "switch", "play", "chart", "qr", "rungs", "cells"}
"""What is of no use on paper: buttons, the switch between sides, the page's own empty chart, drawings. The
numbers of the dose are a table on paper and have a test of their own."""
BLOCKS = {"h1", "h2", "h3", "p", "li", "dt", "dd", "figcaption"}

CASES = {
    "kn-03/left/": lambda edition: exercise_handout(edition, Choice("kn-03", "left")),
    "kn-03/left/ large": lambda edition: exercise_handout(edition, Choice("kn-03", "left"), "large"),
    "kn-07/right/": lambda edition: exercise_handout(edition, Choice("kn-07", "right")),
    "kn-07/right/ clear": lambda edition: exercise_handout(edition, Choice("kn-07", "right"), "clear"),
    "kn-04/": lambda edition: exercise_handout(edition, Choice("kn-04")),
    "an-02/": lambda edition: exercise_handout(edition, Choice("an-02")),
    "ladders/knee-strength/": lambda edition: ladder_handout(edition, "knee-strength"),
    "collections/stiff-sore-knees/": lambda edition: collection_handout(edition, "stiff-sore-knees"),
}


@pytest.fixture(scope="module", params=CASES)
def both(request, edition, typesetter):
    """The page's article and the paper's structure."""
    pages = {page.url: page for page in site_pages(edition.context)}
    body = pages[request.param.split(" ")[0]].body()
    article = html5lib.parseFragment(body, namespaceHTMLElements=False)
    handout = CASES[request.param](edition)
    return article, structure(typesetter.pdf(handout)), handout


def _texts(node, out):
    """Gather the text of each block of the page, in order."""
    if (
        not isinstance(node.tag, str)
        or set(node.get("class", "").split()) & LEFT_OUT
        or node.tag in ("svg", "button")
    ):
        return
    if node.tag in BLOCKS and not any(
        child.tag in BLOCKS | {"div", "ul", "ol"} for child in node.iter() if child is not node
    ):
        out.append(_all_text(node))
        return
    for child in node:
        _texts(child, out)


def _all_text(node) -> str:
    if not isinstance(node.tag, str) or set(node.get("class", "").split()) & LEFT_OUT or node.tag == "svg":
        return ""
    return (node.text or "") + "".join(_all_text(child) + (child.tail or "") for child in node)


def test_every_sentence_of_the_page_is_on_the_paper(both):
    article, tree, _ = both
    found: list[str] = []
    _texts(article, found)
    assert len(found) > 20
    paper = squeezed(tree.text)
    missing = [text for text in found if squeezed(text) not in paper]
    assert missing == []


def test_the_paper_adds_only_what_paper_needs(both):
    article, tree, handout = both
    found: list[str] = []
    _texts(article, found)
    page = squeezed("".join(found)) + squeezed(_all_text(article))
    page += "|".join(
        squeezed(text) for node in article.iter() if node.get("class") == "cells" for text in node.itertext()
    )
    words = handout.data["words"]
    own = [words["your_dose"], words["if_changed"], words["chart"]]
    if "sheet" in handout.data:
        chart = handout.data["sheet"]["chart"]
        own += [chart["hint"], *chart["names"], *chart["weeks"]]
    allowed = {squeezed(text) for text in own} | {""}
    blocks = [one for one in tree.walk() if one.tag in ("H1", "H2", "H3", "LBody", "TH", "TD", "Caption")]
    extra = [
        one.text for one in blocks if squeezed(one.text) not in page and squeezed(one.text) not in allowed
    ]
    assert extra == []


def test_sections_stand_in_the_order_of_the_page(both):
    article, tree, handout = both
    page = [squeezed(_all_text(node)) for node in article.iter() if node.tag == "h2"]
    paper = [squeezed(one.text) for one in tree.all("H2")]
    own = {squeezed(handout.data["words"]["chart"])}
    assert [text for text in paper if text not in own] == page


def test_the_numbers_of_the_dose_stand_under_what_they_count(both):
    article, tree, handout = both
    items = [node for node in article.iter() if node.get("class") == "cells"]
    if not items:
        assert "sheet" not in handout.data
        return
    page = [(squeezed(item[0].text), squeezed(item[1].text)) for item in items[0]]
    table = tree.all("Table")[0]
    rows = [[squeezed(cell.text) for cell in row.all("TH", "TD")] for row in table.all("TR")]
    if len(rows[0]) == 3:  # large print: a line for each number
        assert [(row[0], row[1]) for row in rows[1:]] == page
    else:
        assert list(zip(rows[1][1:], rows[0][1:], strict=True)) == page
        assert set(rows[2][1:]) == {""}, "the blanks to write in are blank"
