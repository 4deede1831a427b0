"""Page, plan and paper say the same, piece by piece and in reading order, in three languages.

The pieces are those of the exercise's view. The page is read back with html5lib, the paper from its tags with pikepdf
and pdfplumber, the plan from the data its script loads; none of the three knows of the others.
"""

from __future__ import annotations

import json
import re
from dataclasses import dataclass

import html5lib
import pytest
from handouts.pdf_text import blocks_of, letters, squeezed, structure

from limberleaf.handouts import Choice, collection_handout, exercise_handout, ladder_handout
from limberleaf.handouts.sheet import choose
from limberleaf.pages.site import site_pages
from limberleaf.pages.views.exercise_view import ExerciseView
from limberleaf.pages.views.plan_data import exercise_data

LEFT_OUT = {"tools", "switch", "play", "chart", "qr", "rungs"}
"""What is of no use on paper: buttons, the switch between sides, the page's own empty chart, drawings."""
PAGE_ORDER = (
    "needs", "captions", "works", "short", "suits", "leave", "setup", "steps", "dose", "bands", "boxes",
    "ways", "watch",
)  # fmt: skip
DOSE = "…"
"""A number of the dose, which the plan's script writes from the plan's own dose."""
FRONT = ("captions", "short", "setup", "steps", "bands")
BACK = ("suits", "watch", "dose", "ways")
EITHER = ("needs", "works", "leave")
"""What is on whichever side has room for it, whole."""

SVG = "{http://www.w3.org/2000/svg}"
CASES = [
    ("en", Choice("kn-03", "left"), "page"),
    ("en", Choice("kn-07", "right"), "page"),
    ("en", Choice("kn-04"), "page"),
    ("en", Choice("an-02"), "page"),
    ("en", Choice("kn-03", "left"), "large"),
    ("nl", Choice("ne-03", "left"), "page"),
    ("nl", Choice("ne-05"), "large"),
    ("ar", Choice("kn-01", "left"), "page"),
    ("ar", Choice("kn-03", "right"), "large"),
]


def pieces_of(view: ExerciseView) -> dict[str, list[str]]:
    """Give the words of a view by section, each text a piece, in the order of the page."""

    def texts_of(*texts):
        return [str(text) for text in texts if text]

    return {
        "needs": [word for need in view.needs for word in texts_of(need.name, need.instead, need.never)],
        "captions": texts_of(*(panel.caption for panel in view.panels)),
        "works": texts_of(view.working_side, view.base_side),
        "short": texts_of(*view.in_short),
        "suits": texts_of(*view.suits),
        "leave": texts_of(*view.leave_out_if),
        "setup": texts_of(*view.setup),
        "steps": texts_of(*view.steps),
        "dose": texts_of(view.dose_words, view.total),
        "bands": [word for band in view.bands for word in texts_of(*band.feelings, band.pain, band.action)],
        "boxes": [word for box in view.boxes for word in texts_of(box.title, *box.signs, box.action)],
        "ways": [word for way in view.ways for word in texts_of(way.title, way.when)],
        "watch": texts_of(*view.watch_for),
    }


@dataclass
class Read:
    """What a reader meets, block by block."""

    blocks: list[str]
    visual: bool = False
    """The letters of a block, in the order they are painted: for Arabic the order inside a line says nothing."""

    def missing(self, pieces: list[str]) -> list[str]:
        """Give the pieces that do not come, each after the one before it."""
        at, lost = 0, []
        text = squeezed(" ".join(self.blocks))
        for piece in pieces:
            if self.visual:
                want = letters(piece)
                found = next((i for i in range(at, len(self.blocks)) if want <= letters(self.blocks[i])), -1)
            else:
                found = text.find(squeezed(piece), at)
            if found < 0:
                lost.append(piece)
            else:
                at = found
        return lost


def page_text(node) -> str:
    if not isinstance(node.tag, str) or set(node.get("class", "").split()) & LEFT_OUT or node.tag == "svg":
        return ""
    return (node.text or "") + "".join(page_text(child) + (child.tail or "") for child in node)


@pytest.fixture(scope="module", params=CASES, ids=lambda case: f"{case[0]}-{case[1].code}-{case[2]}")
def printed(request, editions, typesetter):
    language, choice, print_ = request.param
    edition = editions[language]
    chosen = choose(edition, choice)
    page = next(one for one in site_pages(edition.context) if one.url == chosen.url)
    article = html5lib.parseFragment(page.body(), namespaceHTMLElements=False)
    tree = structure(typesetter.pdf(exercise_handout(edition, choice, print_)))
    return edition, chosen, page_text(article), tree, print_


def test_the_page_says_every_piece_in_order(printed):
    _, chosen, page, _, _ = printed
    pieces = pieces_of(chosen.view)
    assert Read([page]).missing([word for name in PAGE_ORDER for word in pieces[name]]) == []


def test_the_paper_says_every_piece_in_order(printed):
    edition, chosen, _, tree, print_ = printed
    pieces = pieces_of(chosen.view)
    pieces["needs"] = [
        piece[:1].upper() + piece[1:] for piece in pieces["needs"]
    ]  # on paper each is a sentence
    paper = Read(blocks_of(tree), visual=edition.language == "ar")
    if print_ == "large":
        assert paper.missing([word for name in PAGE_ORDER for word in pieces[name]]) == []
        return
    for side in (FRONT, BACK):
        assert paper.missing([word for name in side for word in pieces[name]]) == []
    for name in EITHER:
        assert paper.missing(pieces[name]) == []
    for box in chosen.view.boxes:
        assert paper.missing([str(box.title), *map(str, box.signs), str(box.action)]) == []


def test_figures_on_paper_say_what_the_page_s_figures_say(printed):
    """Alternative text: the page's from its SVG titles, the paper's from its tags (ISO 32000-1, 14.9.3)."""
    edition, chosen, _, tree, _ = printed
    page = next(one for one in site_pages(edition.context) if one.url == chosen.url)
    article = html5lib.parseFragment(page.body(), namespaceHTMLElements=False)
    titles = [
        "".join(node.itertext())
        for svg in article.iter(f"{SVG}svg")
        if svg.get("role") == "img"
        for node in svg.iter(f"{SVG}title")
    ]
    shown = [figure.alt for figure in tree.all("Figure")]
    panels = len(chosen.view.panels)
    assert panels and shown[:panels] == titles[:panels]
    assert shown[panels:] == [edition.words.say("record.qr")]


def test_the_plan_says_every_piece_it_has_in_order(printed):
    edition, chosen, _, _, _ = printed
    script = exercise_data(edition, edition.exercises[chosen.choice.code])
    data = json.loads(script[script.index(",") + 1 : script.rindex(")")])
    texts = data["texts"][chosen.side or "none"]

    def words(runs) -> str:
        return "".join(
            run if isinstance(run, str) else run[0] if isinstance(run, list) else DOSE for run in runs
        )

    def ours(passages) -> list[str]:
        return ["".join(DOSE if run.kind == "dose" else run.text for run in one.runs) for one in passages]

    view = chosen.view
    assert [words(panel[2]) for panel in texts["panels"]] == ours(panel.caption for panel in view.panels)
    for name, own in (
        ("short", view.in_short),
        ("setup", view.setup),
        ("steps", view.steps),
        ("leave", view.leave_out_if),
    ):
        assert [words(one) for one in texts[name]] == ours(own)
    bands = {band.name: ours(band.feelings) for band in view.bands}
    assert [words(one) for one in texts["ease"]] == bands["ease_off"]
    assert [words(one) for one in texts["stop"]] == bands["stop"]


def test_the_paper_adds_only_what_paper_needs(printed):
    """Take away the pieces, the labels and the clinic's lines: nothing but numbers and marks is left."""
    edition, chosen, page, tree, _ = printed
    if edition.language == "ar":
        _only_letters_of_the_words(edition, chosen, tree)
        return
    known = {squeezed(text) for texts in pieces_of(chosen.view).values() for text in texts}
    known |= {squeezed(str(part.title)) for box in chosen.view.boxes for part in box.parts}
    known |= {squeezed(need.name[:1].upper() + need.name[1:]) for need in chosen.view.needs}
    known |= {squeezed(chosen.view.time), squeezed(str(chosen.view.title))}
    known |= {squeezed(text) for text in _strings(edition.words.phrases)}
    blanks = [part for text in _strings(edition.words.phrases) for part in re.split(r"\{.*?\}", text)]
    known |= {squeezed(part) for part in blanks}
    record = exercise_handout(edition, chosen.choice).data["sheet"]["record"]
    known |= {squeezed(row["value"]) for row in record["rows"]} | {squeezed(record["address"])}
    known |= {squeezed(word) for word in _page_words(page)}
    left = squeezed(tree.text)
    for text in sorted(known, key=len, reverse=True):
        if len(text) > 1:
            left = left.replace(text, " ")
    assert re.findall(r"[^\W\d_]{3,}", left) == []


def _only_letters_of_the_words(edition, chosen, tree) -> None:
    """Arabic letters cannot be matched word for word as painted: each must be one that the page has too."""
    page = set("".join(text for texts in pieces_of(chosen.view).values() for text in texts))
    page |= set("".join(_strings(edition.words.phrases)))
    assert {one for one in letters(tree.text) if ord(one) > 0x600} <= set(letters("".join(page)))


def _strings(value) -> list[str]:
    if isinstance(value, dict):
        return [text for one in value.values() for text in _strings(one)]
    return [text for one in value for text in _strings(one)] if isinstance(value, list) else [str(value)]


def _page_words(page: str) -> list[str]:
    return [line.strip() for line in page.splitlines() if line.strip()]


GROUPS = {
    "ladders/knee-strength/": lambda edition: ladder_handout(edition, "knee-strength"),
    "collections/stiff-sore-knees/": lambda edition: collection_handout(edition, "stiff-sore-knees"),
}


@pytest.mark.parametrize("url", GROUPS)
def test_ladders_and_collections_say_on_paper_what_their_page_says(edition, typesetter, url):
    page = next(one for one in site_pages(edition.context) if one.url == url)
    article = html5lib.parseFragment(page.body(), namespaceHTMLElements=False)
    for holder in list(article.iter()):
        for part in [one for one in holder if one.get("class") == "ready-sets"]:
            holder.remove(part)  # links for clinicians, who begin a plan with them on the screen
    paper = squeezed(structure(typesetter.pdf(GROUPS[url](edition))).text)
    blocks = [page_text(node) for node in article.iter() if node.tag in ("h1", "h2", "h3", "li", "dd")]
    leaves = [text for text in blocks if text.strip() and "\n\n" not in text]
    assert len(leaves) > 20
    assert [text for text in leaves if squeezed(text) not in paper] == []


def test_the_numbers_of_the_dose_are_over_what_they_count(edition, typesetter):
    for print_ in ("page", "large"):
        chosen = choose(edition, Choice("kn-03", "left"))
        text = squeezed(structure(typesetter.pdf(exercise_handout(edition, chosen.choice, print_))).text)
        strip = "".join(squeezed(cell.number + cell.label) for cell in chosen.view.cells)
        assert strip in text
