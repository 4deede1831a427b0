"""Every page: no sideways scrolling at three widths, no finding of axe, targets a thumb can hit.

Each page is looked through (`survey.py`); axe-core reads those that together hold every kind of element of the site.
With EVERY_PAGE=1 in the environment it reads each page: some four times as much work, for when the pages are rebuilt.
"""

from __future__ import annotations

import json
import os
from collections.abc import Callable
from dataclasses import asdict
from pathlib import Path

import pytest
from browser.axe import RULES_OF_COLOUR, findings
from browser.conftest import Visit
from browser.survey import Survey, look_through
from conftest import Demo, once, shared
from playwright.sync_api import Browser, Page

pytestmark = pytest.mark.browser

WIDTHS = (320, 1280, 390)
"""320 CSS px is also a 1280 px window at 400 % zoom (WCAG 2.2, 1.4.10 reflow)."""

PARTS = 4
"""The pages that axe reads are shared out to as many tests, so that all workers of a run take part."""

CONTROLS = (
    "button, select, input:not([type=checkbox]), summary, .top nav a, .foot nav a, .switch a, .strip a, .ways-up a,"
    " .card, .way, .doors li, .elsewhere a, .facts dt a, .button, .calls a, .kit fieldset p"
)
"""What people press that is not a word within a sentence."""

PLANTED = {
    "aria-hidden-focus": (
        '<span class="rungs" aria-hidden="true">',
        '<span class="rungs" aria-hidden="true"><a href="#main">x</a>',
    ),
    "aria-roles": ('<ul class="cells">', '<ul class="cells" role="lst">'),
    "button-name": ("<dt>Time</dt>", '<dt>Time<button type="button"></button></dt>'),
    "color-contrast": ('<dd class="time">', '<dd class="time" style="color: #aaa">'),
    "empty-heading": ("<h2>How much</h2>", "<h2>How much</h2><h2> </h2>"),
    "heading-order": ("<h2>In short</h2>", "<h4>In short</h4>"),
    "html-lang-valid": ('<html lang="en"', '<html lang="english"'),
    "image-alt": (
        '<p class="total">',
        '<p class="total"><img src="../hp-02/thumb.svg" width="40" height="30">',
    ),
    "label": ('<p class="tools">', '<p class="tools"><input type="text">'),
    "landmark-no-duplicate-main": (
        '<section class="suits">',
        '<section class="suits"><div role="main">Twice</div>',
    ),
    "link-name": ("<dt>Position</dt>", '<dt>Position<a href="../"></a></dt>'),
    "list": ('<ol class="steps">', '<ol class="steps"><p>No item</p>'),
    "meta-viewport": ("initial-scale=1", "initial-scale=1, user-scalable=no"),
    "target-size": (
        "<h2>Get ready</h2>",
        "<h2>Get ready</h2>"
        + 2 * '<button type="button" style="all: unset; width: 12px; height: 12px">x</button>',
    ),
    "valid-lang": ('<p class="dose-words">', '<p class="dose-words" lang="xq-none">'),
}
"""Faults by the rule of axe-core that tells of them: what stands on the page of HP-02, and what is put in its place."""


def unfolded(page: Page) -> Page:
    """Open all that is folded."""
    page.evaluate("document.querySelectorAll('details').forEach(one => { one.open = true; })")
    return page


def text_of(demo: Demo, path: str) -> str:
    """Give the text of a page of the site."""
    return (demo.site / (path if path.endswith(".html") else f"{path}index.html")).read_text("utf-8")


@pytest.fixture(scope="session")
def survey(
    chromium: Browser,
    demo: Demo,
    site_url: str,
    addresses: list[str],
    tmp_path_factory: pytest.TempPathFactory,
) -> Survey:
    """What one worker saw of all pages, for all workers."""

    def look(folder: Path) -> None:
        context = chromium.new_context(viewport={"width": WIDTHS[-1], "height": 900}, bypass_csp=True)
        page = context.new_page()
        page.goto(site_url, wait_until="load")
        seen = look_through(page, {path: text_of(demo, path) for path in addresses}, WIDTHS)
        context.close()
        (folder / "survey.json").write_text(json.dumps(asdict(seen)), "utf-8")

    folder = once(shared(tmp_path_factory, "survey"), look)
    return Survey(**json.loads((folder / "survey.json").read_text("utf-8")))


@pytest.mark.parametrize("part", range(PARTS))
def test_axe_finds_nothing_and_nothing_scrolls_sideways_on_any_page(
    visit: Callable[..., Visit], addresses: list[str], survey: Survey, part: int
) -> None:
    """As a reader has it, scripts and all: at each width, and by day and by night."""
    to_read = addresses if os.environ.get("EVERY_PAGE") else survey.cover
    assert len(to_read) > PARTS
    one = visit(color_scheme="light")
    wide, found = [], {}
    for path in to_read[part::PARTS]:
        page = unfolded(one.open(path))
        for width in WIDTHS:
            page.set_viewport_size({"width": width, "height": 900})
            if page.evaluate("document.documentElement.scrollWidth") > width:
                wide.append((path, width))
        page.emulate_media(color_scheme="dark")
        violations = findings(page, rules=RULES_OF_COLOUR)
        page.emulate_media(color_scheme="light")
        violations += findings(page)
        if violations:
            found[path] = violations
    assert (wide, found) == ([], {})


def test_no_page_of_all_scrolls_sideways_has_a_short_head_or_an_id_twice(
    survey: Survey, addresses: list[str]
) -> None:
    assert len(addresses) > 200
    assert (survey.wide, survey.twice) == ([], {})


def test_a_fault_on_any_page_would_be_read(
    chromium: Browser, demo: Demo, site_url: str, survey: Survey
) -> None:
    """Each fault makes a kind of element that no page has, so that its page is read; axe-core tells of each there."""
    whole = text = text_of(demo, "hp-02/")
    copies = {}
    for rule, (old, new) in PLANTED.items():
        assert old in text, rule
        copies[rule] = whole.replace(old, new, 1)
        text = text.replace(old, new, 1)
    copies |= {
        "as it is": whole,
        "twice": whole.replace('<section class="leave">', '<section class="leave" id="main">'),
        "wide": whole.replace('<p class="total">', '<p class="total" style="min-width: 30rem">'),
    }
    context = chromium.new_context(viewport={"width": 390, "height": 900}, bypass_csp=True)
    page = context.new_page()
    page.goto(site_url, wait_until="load")
    known = set(survey.kinds)
    seen = {name: look_through(page, {name: copy}, (390,)) for name, copy in copies.items()}
    assert [name for name in PLANTED if not set(seen[name].kinds) - known] == []
    assert set(seen["as it is"].kinds) <= known
    assert [name for name in seen if seen[name].wide] == ["wide"]
    assert [name for name in seen if seen[name].twice] == ["twice"]
    page.route("**/planted/", lambda route: route.fulfill(body=text, content_type="text/html"))
    page.goto(f"{site_url}planted/", wait_until="load")
    assert {rule for rule, *_ in findings(page)} >= set(PLANTED)
    context.close()


@pytest.mark.parametrize(
    "path", ["", "kn-03/left/", "ladders/knee-strength/", "collections/stiff-sore-knees/", "get-help/"]
)
def test_a_thumb_can_hit_every_control(visit: Callable[..., Visit], path: str) -> None:
    page = unfolded(visit(width=390).open(path))
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
