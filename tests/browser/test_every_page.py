"""Every page: no sideways scrolling at three widths, no finding of axe, targets a thumb can hit."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from axe_playwright_python.sync_playwright import Axe
from browser.conftest import Visit

pytestmark = pytest.mark.browser

WIDTHS = (320, 1280, 390)
"""320 CSS px is also a 1280 px window at 400 % zoom (WCAG 2.2, 1.4.10 reflow)."""

PARTS = 6
"""Every sixth page is one test, so that the pages are shared by all workers of a run."""

RULES = {
    "runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"],
    "rules": {"target-size": {"enabled": True}},
    "resultTypes": ["violations"],
}

CONTROLS = (
    "button, select, input:not([type=checkbox]), summary, .top nav a, .foot nav a, .switch a, .strip a, .ways-up a,"
    " .card, .way, .doors li, .elsewhere a, .facts dt a, .button, .calls a, .kit fieldset p"
)
"""What people press that is not a word within a sentence."""


Wide = list[tuple[str, int]]
Found = dict[str, list[tuple[str, object, str]]]


def looked_at(one: Visit, addresses: list[str], widths: tuple[int, ...]) -> tuple[Wide, Found]:
    """Open each page once: the widths at which it scrolls sideways, and what axe-core finds at the last of them.

    What is hidden at first (details) is opened for both.
    """
    axe, wide, found = Axe(), [], {}
    for path in addresses:
        page = one.open(path)
        page.evaluate("document.querySelectorAll('details').forEach(one => { one.open = true; })")
        for width in widths:
            page.set_viewport_size({"width": width, "height": 900})
            if page.evaluate("document.documentElement.scrollWidth") > width:
                wide.append((path, width))
        violations = axe.run(page, options=RULES).response["violations"]
        if violations:
            found[path] = [
                (v["id"], v["nodes"][0]["target"], v["nodes"][0]["failureSummary"]) for v in violations
            ]
    return wide, found


@pytest.mark.parametrize("part", range(PARTS))
def test_axe_finds_nothing_and_nothing_scrolls_sideways_on_any_page(
    visit: Callable[..., Visit], addresses: list[str], part: int
) -> None:
    mine = addresses[part::PARTS]
    assert mine
    assert looked_at(visit(color_scheme="light"), mine, WIDTHS) == ([], {})


def test_axe_finds_nothing_in_the_dark(visit: Callable[..., Visit]) -> None:
    kinds = [
        "",
        "kn-03/",
        "get-help/",
        "ladders/knee-strength/",
        "collections/stiff-sore-knees/",
        "about/",
        "plan/",
    ]
    assert looked_at(visit(color_scheme="dark"), kinds, (390,)) == ([], {})


@pytest.mark.parametrize(
    "path", ["", "kn-03/left/", "ladders/knee-strength/", "collections/stiff-sore-knees/", "get-help/"]
)
def test_a_thumb_can_hit_every_control(visit: Callable[..., Visit], path: str) -> None:
    page = visit(width=390).open(path)
    page.evaluate("document.querySelectorAll('details').forEach(one => { one.open = true; })")
    small = page.evaluate(
        """controls => [...document.querySelectorAll(controls)]
            .map(one => [one.textContent.trim().slice(0, 30), one.getBoundingClientRect()])
            .filter(([, box]) => box.width > 0 && (box.height < 44 || box.width < 44))
            .map(([name, box]) => [name, box.width, box.height])""",
        CONTROLS,
    )
    assert small == []


def test_everything_stays_when_text_is_twice_as_large(visit: Callable[..., Visit]) -> None:
    """WCAG 2.2, 1.4.4: text at 200 % in the reader's own settings, at phone width."""
    page = visit(width=390).open("kn-03/left/")
    page.evaluate("document.documentElement.style.setProperty('font-size', '36px')")
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
