"""Exercise pages: the order of their parts, the sides, the numbers, the record, read as a reader meets them."""

from __future__ import annotations

import html5lib
import pytest
from conftest import Demo

from limberleaf.diagrams import sign_names
from limberleaf.library import load_library

ORDER = [
    "In short",
    "This one suits you if",
    "Leave this one out if",
    "Get ready",
    "Do it",
    "How much",
    "What you may feel",
    "Easier and harder",
    "Watch out for",
]


def body(demo: Demo, path: str) -> str:
    return (demo.site / path / "index.html").read_text("utf-8")


def shown(demo: Demo, path: str) -> str:
    """The words of the page's main part, as one line."""
    root = html5lib.parse(body(demo, path), namespaceHTMLElements=False)
    main = root.find(".//main")
    assert main is not None
    return " ".join(" ".join(main.itertext()).split())


@pytest.mark.parametrize("path", ["kn-03", "kn-03/left", "kn-03/right"])
def test_the_parts_come_in_the_order_of_the_design(demo: Demo, path: str) -> None:
    text = body(demo, path)
    headings = [text.index(f">{name}</h2>") for name in ORDER]
    assert headings == sorted(headings)
    figure, title, facts = text.index('class="figure"'), text.index("<h1>"), text.index('class="facts"')
    assert title < facts < figure < headings[0]
    boxes = [text.index(f'class="box {tier}"') for tier in ("emergency", "same_day")]
    assert headings[6] < boxes[0] < boxes[1] < headings[7]
    assert headings[8] < text.index('class="chart"') < text.index('class="record"')


def test_words_and_figure_take_the_side(demo: Demo) -> None:
    neutral, left, right = (shown(demo, path) for path in ("kn-03", "kn-03/left", "kn-03/right"))
    assert "Lift the foot of your sore leg until the knee is almost straight." in neutral
    assert "Lift the foot of your left leg until the knee is almost straight." in left
    assert "Lift the foot of your right leg until the knee is almost straight." in right
    assert "sore leg" not in left
    assert "left leg" not in right
    assert body(demo, "kn-03/left").count("left") > body(demo, "kn-03/left").count("right")


def test_the_switch_marks_the_page_it_is_on(demo: Demo) -> None:
    for path, label in (("kn-03", "Either side"), ("kn-03/left", "Left"), ("kn-03/right", "Right")):
        root = html5lib.parse(body(demo, path), namespaceHTMLElements=False)
        links = root.findall(".//nav[@class='switch']//a")
        assert [one.text for one in links] == ["Either side", "Left", "Right"]
        assert [one.text for one in links if one.get("aria-current") == "page"] == [label]


def test_an_exercise_for_both_sides_has_one_page(demo: Demo) -> None:
    assert 'class="switch"' not in body(demo, "kn-12")
    assert not (demo.site / "kn-12" / "left").exists()


def test_a_sided_page_leads_to_its_own_side(demo: Demo) -> None:
    root = html5lib.parse(body(demo, "kn-03/left"), namespaceHTMLElements=False)
    ways = [one.get("href") for one in root.findall(".//div[@class='way-cards']//a")]
    assert "../../kn-02/left/" in ways


def test_sums_are_printed(demo: Demo) -> None:
    """3 sets of 8 to 12: the reader never multiplies."""
    assert "24 to 36" in shown(demo, "kn-03")


def test_pain_bands_are_the_clinics(demo: Demo) -> None:
    text = shown(demo, "kn-03")
    for line in ("Pain of 0 to 3 out of 10.", "Pain of 4 or 5 out of 10.", "Pain of 6 or more out of 10."):
        assert line in text


def test_the_foot_tells_who_when_which_and_where(demo: Demo) -> None:
    text = shown(demo, "kn-03/left")
    for part in (
        "Try it once with your physiotherapist first.",
        "Reviewed by Clinical lead",
        "Last reviewed 28 November 2026",
        "Next review 28 November 2028",
        "Code KN-03",
        "Version 4",
        "Address exercises.quillmere.example/kn-03/left",
    ):
        assert part in text


def test_sources_stay_in_the_record(demo: Demo) -> None:
    assert "Garber" not in body(demo, "kn-03")


def test_telephone_numbers_can_be_dialled(demo: Demo) -> None:
    assert '<a class="tel" href="tel:01632960148" dir="ltr">01632 960148</a>' in body(demo, "kn-03")


def test_the_place_in_the_ladder_is_given_in_words(demo: Demo) -> None:
    ladder = load_library(demo.content).ladders["knee-strength"].entry
    step = [rung.exercise for rung in ladder.steps].index("kn-03") + 1
    assert f"{ladder.title} Step {step} of {len(ladder.steps)}" in shown(demo, "kn-03")


def test_beside_the_panel_stands_how_long_to_stay_there_and_to_keep_breathing(demo: Demo) -> None:
    """The time is the dose's own, so that picture and numbers never differ; a screen reader hears it as a sentence."""
    root = html5lib.parse(body(demo, "kn-03/right"), namespaceHTMLElements=False)
    first, last = root.findall(".//figcaption")[:2]
    assert first.find(".//span[@class='sign']") is None
    sign = last.find(".//span[@class='sign']")
    assert sign is not None
    assert "".join(sign.itertext()).strip() == "3 seconds"
    assert sign.get("aria-label") == "Hold for 3 seconds."
    assert "Keep breathing" in shown(demo, "kn-04")
    assert "Keep breathing" not in shown(demo, "kn-03/right")


def test_the_page_that_shows_signs_has_each_one_with_its_meaning(demo: Demo) -> None:
    root = html5lib.parse(body(demo, "how-to-use"), namespaceHTMLElements=False)
    legend = root.find(".//ul[@class='legend']")
    assert legend is not None
    rows = legend.findall("li")
    assert len(rows) == len(sign_names())
    assert all(row.find(".//{*}svg") is not None and "".join(row.itertext()).strip() for row in rows)
    assert "legend" not in body(demo, "about")
