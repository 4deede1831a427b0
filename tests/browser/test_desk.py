"""The editor's desk in Chromium: find, sort, read why, try another wording, print; by keyboard, small, dark."""

from __future__ import annotations

import re
import subprocess
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from browser.axe import RULES_OF_COLOUR, findings
from browser.conftest import Visit, address_of, settled
from desk.hard_library import hard_library
from playwright.sync_api import Page, expect
from serving import RunningDesk, desk_running

pytestmark = pytest.mark.browser

HARD = "exercises/kn-02.html"
SHEET = "exercises/kn-02.sign-off.html"
PAGES = ("index.html", HARD, SHEET, "try.html", "ladders/knee-first-steps.html", "pages/about.html")


def still(page: Page) -> None:
    """From here on only the test moves the page's clock, so that a slow machine counts as a quick one does."""
    page.clock.install()
    page.clock.pause_at(datetime.now(UTC) + timedelta(hours=1))


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[RunningDesk]:
    """`limberleaf desk` over the hard library."""
    folder = hard_library(tmp_path_factory.mktemp("desk"))
    with desk_running(folder, "--today", "2028-06-15") as running:
        yield running


@pytest.fixture
def at_desk(visit: Callable[..., Visit], desk: RunningDesk) -> Callable[..., Page]:
    """Open a page of the desk: `at_desk(HARD, width=390)`."""

    def open_page(path: str = "", **options: Any) -> Page:
        one = visit(base=desk.address, **options)
        name, value = desk.cookie
        one.page.context.add_cookies([{"name": name, "value": value, "url": desk.address}])
        page = one.open(path)
        page.wait_for_load_state("load")  # the style of a page without scripts may still be on its way
        return page

    return open_page


ROWS = "table.pages tbody tr:visible th a:not(.edit-link)"


def rows(page: Page) -> list[str]:
    """Give the pages listed now: filters and sorting act at once. On a page that is still to come, expect `ROWS`."""
    return page.locator(ROWS).all_inner_texts()


def test_filter_find_sort_and_keep_the_view_in_the_address(at_desk: Callable[..., Page]) -> None:
    page = at_desk()
    assert len(rows(page)) == 7
    page.get_by_label("Kind", exact=True).select_option("caution")
    assert len(rows(page)) == 2
    expect(page.locator(".shown")).to_have_text("2 of 7 pages")
    page.get_by_role("button", name="Clear").click()
    expect(page.locator(".shown")).to_have_text("7 pages")
    page.get_by_role("searchbox").fill("knee sitting")
    assert rows(page) == ["Straighten your knee in sitting"]
    page.get_by_role("searchbox").fill("")
    page.get_by_role("button", name="Less common words").click()
    head = page.get_by_role("columnheader", name="Less common words")
    expect(head).to_have_attribute("aria-sort", "descending")
    assert rows(page)[0] == "Straighten your knee in sitting"
    counts = [int(text) for text in page.locator("tbody td:nth-child(5)").all_inner_texts()]
    assert counts == sorted(counts, reverse=True)
    page.get_by_role("button", name="Less common words").click()
    expect(head).to_have_attribute("aria-sort", "ascending")
    page.get_by_label("Findings", exact=True).select_option("yes")
    address, shown = address_of(page), rows(page)
    page.goto("about:blank")
    page.goto(address)
    assert rows(page) == shown
    assert 0 < len(shown) < 7


def test_sorting_by_band_and_due_day(at_desk: Callable[..., Page]) -> None:
    page = at_desk()
    page.get_by_label("Sort by").select_option(label="Reading, falling")
    assert rows(page)[0] == "Straighten your knee in sitting"
    page.get_by_role("button", name="Review due").click()
    assert rows(page)[-1] == "About these pages", "what has no day comes last"
    expect(page.locator("#due ~ ul li").first).to_contain_text("Due soon")


def test_an_editor_learns_the_level_the_reasons_and_what_to_write(at_desk: Callable[..., Page]) -> None:
    page = at_desk()
    page.get_by_role("link", name="Straighten your knee in sitting").first.click()
    answer = page.locator(".answer")
    expect(answer.locator(".band-now")).to_contain_text(re.compile(r"Age \d+ to \d+"))
    reasons = answer.locator(".reasons").first.locator("> li")
    expect(reasons).to_have_count(3)
    expect(reasons.first).to_contain_text("Write instead:")
    answer.locator(".reasons a").first.click()
    expect(page.locator("p:has(:target)")).to_contain_text("Gradually extend")


def test_a_mark_explains_itself_on_hover_and_stays_while_pointed_at(at_desk: Callable[..., Page]) -> None:
    page = at_desk(HARD)
    still(page)
    tip = page.locator(".tip")
    expect(tip).to_be_hidden()
    page.locator("mark", has_text="degenerative").hover()
    expect(tip).to_contain_text("“degenerative” is a trade word")
    expect(tip).to_contain_text("Keep the word and explain it once")
    tip.hover()
    page.clock.run_for(2_000)
    expect(tip).to_be_visible()
    page.keyboard.press("Escape")
    expect(tip).to_be_hidden()


def test_the_keyboard_reaches_every_mark_and_its_note(at_desk: Callable[..., Page]) -> None:
    page = at_desk(HARD)
    number = page.locator(".ref").count()
    assert number >= 6
    reached = set()
    for _ in range(80):
        page.keyboard.press("Tab")
        ref = page.evaluate("document.activeElement.matches('.ref') ? document.activeElement.id : ''")
        if ref:
            reached.add(ref)
            expect(page.locator(".tip")).to_be_visible()
            box = page.locator(".tip").bounding_box()
            assert box
            assert box["x"] >= 0
            assert box["x"] + box["width"] <= 1280
    assert len(reached) == number
    page.locator(".ref").first.focus()
    page.keyboard.press("Enter")
    expect(page).to_have_url(re.compile("#note-1$"))
    name = page.locator("#ref-1").evaluate("one => one.textContent")
    assert name == "note 1"


def test_trying_another_wording_beside_the_page(at_desk: Callable[..., Page]) -> None:
    page = at_desk(HARD)
    page.get_by_role("button", name="Try another wording for sentence 1").click()
    box = page.locator("#try-text")
    expect(box).to_be_focused()
    expect(box).to_have_value(re.compile("Gradually extend the stiff knee"))
    tried = page.locator(".tried")
    expect(tried.locator(".tried-line")).to_contain_text("Hard")
    expect(tried.locator(".note-of").first).to_contain_text("Long sentence")
    box.fill("Lift your foot until the knee is almost straight.")
    expect(tried.locator(".tried-line")).to_contain_text("Easy")
    expect(tried.locator(".note-of")).to_have_count(0)
    expect(page.locator(".try [role=status]")).to_contain_text("0 marks")
    box.fill("")
    expect(tried).to_be_empty()


def test_the_try_out_page_asks_once_for_many_keys(at_desk: Callable[..., Page]) -> None:
    page = at_desk("try.html")
    still(page)
    asked: list[str] = []
    page.on(
        "request", lambda request: asked.append(request.post_data or "") if request.method == "POST" else None
    )
    page.locator("#try-text").press_sequentially("Utilise the chair.")
    page.clock.run_for(300)
    expect(page.locator(".tried mark")).to_have_text(re.compile("Utilise"))
    assert len(asked) == 1
    page.locator("#try-text").fill("<img src=x onerror=alert(1)> Sit.")
    page.clock.run_for(300)
    expect(page.locator(".tried .words")).to_contain_text("<img")
    assert page.locator(".tried img").count() == 0


def test_without_a_script_everything_is_there_but_the_box(at_desk: Callable[..., Page]) -> None:
    page = at_desk(HARD, java_script_enabled=False)
    expect(page.locator(".note-of").first).to_be_visible()
    expect(page.locator("#try-text")).to_be_hidden()
    expect(page.get_by_text("The try-out box needs JavaScript.")).to_be_visible()
    assert page.locator("main button:visible").count() == 0
    page.get_by_role("link", name="Overview").click()
    expect(page.locator(ROWS)).to_have_count(7)
    page.wait_for_load_state("load")
    assert page.locator("main select:visible, main input:visible, main button:visible").count() == 0


@pytest.mark.parametrize("path", PAGES)
def test_axe_finds_nothing_by_day_and_by_night(at_desk: Callable[..., Page], path: str) -> None:
    page = at_desk(path, color_scheme="light")
    page.evaluate("document.querySelectorAll('details').forEach(one => { one.open = true; })")
    if page.locator("#try-text").count():
        page.locator("#try-text").fill(
            "Gradually extend the knee until approximately full extension is achieved."
        )
        expect(page.locator(".tried .note-of").first).to_be_visible()
    assert findings(page) == []
    page.emulate_media(color_scheme="dark")
    settled(page)
    assert findings(page, rules=RULES_OF_COLOUR) == []


@pytest.mark.parametrize("path", PAGES)
def test_no_page_is_wider_than_its_window_and_its_targets_are_large_enough(
    at_desk: Callable[..., Page], path: str
) -> None:
    """WCAG 2.2. 1.4.10: no scrolling both ways at 320 px; wide tables of numbers scroll inside themselves.

    2.5.8: targets of 24 by 24 px, but for links inside a sentence.
    """
    page = at_desk(path, width=390)
    small = page.evaluate(
        """() => [...document.querySelectorAll('button, select, input, textarea, summary, nav a, .button')]
            .filter(one => one.checkVisibility()).map(one => [one.textContent, one.getBoundingClientRect()])
            .filter(([, box]) => box.width < 24 || box.height < 24).map(([text]) => text)"""
    )
    assert small == []
    page.evaluate("document.querySelectorAll('details').forEach(one => { one.open = true; })")
    for width in (320, 390, 1280):
        page.set_viewport_size({"width": width, "height": 900})
        page.wait_for_function("width => innerWidth === width", arg=width)
        assert page.evaluate(
            "document.documentElement.scrollWidth <= document.documentElement.clientWidth"
        ), width


def test_the_sheet_prints_on_two_pages_with_room_to_sign(
    at_desk: Callable[..., Page], tmp_path: Path
) -> None:
    page = at_desk(SHEET)
    page.pdf(path=tmp_path / "sheet.pdf", format="A4", prefer_css_page_size=True)
    result = subprocess.run(
        ["pdftotext", "-layout", tmp_path / "sheet.pdf", "-"], capture_output=True, text=True, check=True
    )
    sheets = result.stdout.rstrip("\f").split("\f")
    assert len(sheets) == 2
    for words in ("Approved by (registered clinician)", "Signature", "Date", "Next review due"):
        assert words in sheets[1]
    assert "Back to the page" not in result.stdout
