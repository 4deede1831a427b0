"""Our pages inside three themes of other makes, in Chromium: whole, in their own style, and usable.

No other host is in reach, as behind a clinic's firewall: the themes' own requests fail, and the build warns of them.
"""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from approved import starter_files
from browser.axe import findings
from browser.conftest import serve
from conftest import run
from playwright.sync_api import Browser, Page, expect

from limberleaf.pages.guest import guest_style
from limberleaf.plan import Pick, Plan, write_fragment
from limberleaf.store.results import FOLDER

pytestmark = pytest.mark.browser

THEMES = ("mkdocs", "readthedocs", "material")
PLAN = write_fragment(Plan((Pick("kn-02", "left", 1, {"hold": 5, "sets": 2, "repetitions": 10}),)))


def _library(folder: Path, theme: str, kept_results: Path) -> None:
    shutil.copytree(kept_results, folder / FOLDER)
    for path, text in starter_files().items():
        file = folder / path
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(text.replace("name: limberleaf", f"name: {theme}"), "utf-8")


@pytest.fixture(scope="module", params=THEMES)
def themed(
    request: pytest.FixtureRequest, kept_results: Path, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[str]:
    """The starter's site in a theme, served."""
    folder = tmp_path_factory.mktemp(request.param)
    _library(folder, request.param, kept_results)
    built = run(["mkdocs", "build"], folder, NO_MKDOCS_2_WARNING="1")
    assert built.returncode == 0, built.stderr
    assert "which then learns which exercise a patient opens" in built.stderr
    server, address = serve(folder / "site")
    yield address
    server.shutdown()


@pytest.fixture
def page(chromium: Browser, themed: str) -> Iterator[Page]:
    context = chromium.new_context(viewport={"width": 390, "height": 900})
    yield context.new_page()
    context.close()


def test_an_exercise_page_has_its_own_style_in_any_theme(page: Page, themed: str) -> None:
    page.goto(themed + "kn-02/left/", wait_until="load")
    for width in (320, 390, 1280):
        page.set_viewport_size({"width": width, "height": 900})
        expect(page.locator("#limberleaf h1")).to_contain_text("Straighten your knee in sitting")
        inside = page.locator("#limberleaf").bounding_box()
        assert inside
        assert inside["x"] + inside["width"] <= width
        box = page.locator("#limberleaf .box.emergency").first
        assert box.evaluate("one => parseFloat(getComputedStyle(one).borderTopWidth)") >= 2
        icon = box.locator(".icon").bounding_box()
        assert icon
        assert 16 <= icon["width"] <= 40
        assert findings(page, "#limberleaf") == []
    assert page.locator("#limberleaf").evaluate("one => [one.lang, getComputedStyle(one).direction]") == [
        "en",
        "ltr",
    ]
    assert page.evaluate("document.head.querySelector('meta[name=referrer]').content") == "no-referrer"


def test_a_patients_plan_opens_in_any_theme_with_its_own_dose(page: Page, themed: str) -> None:
    page.goto(f"{themed}plan/#{PLAN}", wait_until="load")
    card = page.locator(".plan-card")
    expect(card).to_contain_text("Hold each one for 5 seconds.")
    expect(card).to_contain_text("count to 5")
    assert findings(page, "#limberleaf") == []
    page.get_by_role("link", name="Follow along").click()
    page.get_by_role("button", name="Begin").click()
    expect(page.locator(".follow-word")).to_have_text("Get ready")


def test_a_plan_is_made_in_any_theme(page: Page, themed: str) -> None:
    """The container of our pages has the name of the scripts' own object, and an element has a `before` of its own."""
    page.goto(f"{themed}plan/", wait_until="load")
    page.get_by_label("Code", exact=True).fill("kn-02l 5s kn-01")
    page.keyboard.press("Enter")
    expect(page.locator(".make-card")).to_have_count(2)
    for width in (320, 390, 1280):
        page.set_viewport_size({"width": width, "height": 900})
        assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert findings(page, "#limberleaf") == []


def test_the_finder_works_in_any_theme(page: Page, themed: str) -> None:
    page.goto(themed, wait_until="load")
    page.get_by_label("What are you looking for?").fill("slide")
    expect(page.locator("#hits li:not([hidden])")).to_have_count(1)
    assert findings(page, "#limberleaf") == []


def test_the_scoped_style_touches_nothing_outside_its_container() -> None:
    """Every selector of the style sheet begins at the container, at any depth of at-rules."""
    depth_heads = [
        line.split("{")[0].strip()
        for line in guest_style().decode().splitlines()
        if "{" in line and not line.startswith("@")
    ]
    assert len(depth_heads) > 300
    for head in depth_heads:
        assert head.removeprefix(".large ").startswith("#limberleaf"), head
        assert "rem" not in head


def test_a_theme_that_swallows_the_boxes_stops_the_build(tmp_path: Path, kept_results: Path) -> None:
    _library(tmp_path, "mkdocs", kept_results)
    settings = tmp_path / "mkdocs.yml"
    settings.write_text(
        settings.read_text("utf-8").replace("  name: mkdocs\n", "  name: mkdocs\n  custom_dir: own\n"),
        "utf-8",
    )
    (tmp_path / "own").mkdir()
    (tmp_path / "own/main.html").write_text(
        '{% extends "base.html" %}{% block content %}<p>Nothing here.</p>{% endblock %}', "utf-8"
    )
    built = run(["mkdocs", "build"], tmp_path, NO_MKDOCS_2_WARNING="1")
    assert built.returncode != 0
    assert "The page does not show" in built.stderr
    assert not (tmp_path / "site").exists()
