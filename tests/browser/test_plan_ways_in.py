"""Every way in to the plan page in Chromium: small, dark, by thumb, without a script, from a disk, and its size."""

from __future__ import annotations

import gzip
import re
from collections.abc import Callable
from pathlib import Path

import pytest
from browser.axe import RULES_OF_COLOUR, findings
from browser.conftest import pictures, settled
from browser.plan_help import READY, Begin, add_pick, four_picks, open_plan
from browser.plan_site import PlanSite, write_site
from playwright.sync_api import expect

from limberleaf.plan import Pick, Plan, write_fragment

pytestmark = pytest.mark.browser

SCRIPT_LIMIT = 15 * 1024
MAKING_LIMIT = 20_000
"""Bytes of script a page may load, gzipped (design: 15 kB, as 15 × 1024); making a plan, which clinicians do, more."""


@pytest.mark.parametrize("width", [320, 390, 1280])
def test_axe_finds_nothing_by_day_and_by_night_and_nothing_scrolls_sideways(
    visit: Begin, plan_site: PlanSite, width: int
) -> None:
    fragment = write_fragment(four_picks(plan_site))
    page = open_plan(visit, plan_site, fragment, width=width, color_scheme="light")
    states: list[tuple[Callable[[], object], str]] = [
        (lambda: None, ".plan-card"),
        (lambda: page.get_by_text("Reminders in your calendar").click(), ".plan-calendar input"),
        (lambda: page.get_by_role("button", name="Change this plan").click(), ".make-card"),
        (lambda: page.evaluate("location.hash = '#1.w6.broken'"), "#plan-body [role=alert]"),
    ]
    for number, (state, sign) in enumerate(states):
        state()
        page.locator(sign).first.wait_for()
        settled(page)
        assert findings(page) == [], number
        assert page.evaluate("document.documentElement.scrollWidth") <= width, number
        page.emulate_media(color_scheme="dark")
        settled(page)
        assert findings(page, rules=RULES_OF_COLOUR) == [], number
        page.emulate_media(color_scheme="light")


def test_a_thumb_can_hit_every_control(visit: Begin, plan_site: PlanSite) -> None:
    page = open_plan(visit, plan_site, write_fragment(four_picks(plan_site)), width=390)
    steps: list[tuple[Callable[[], object], str]] = [
        (lambda: None, ".plan-card"),
        (lambda: page.get_by_role("button", name="Change this plan").click(), ".make-card"),
    ]
    for step, sign in steps:
        step()
        page.locator(sign).first.wait_for()
        settled(page)
        small = page.evaluate(
            """controls => [...document.querySelectorAll(controls)]
                .map(one => [one.textContent.trim().slice(0, 30), one.getBoundingClientRect()])
                .filter(([, box]) => box.width > 0 && (box.height < 43.5 || box.width < 43.5))
                .map(([name, box]) => [name, box.width, box.height])""",
            "main button, main select, main summary, main .button, .make-side label, .star, .make-stop label",
        )
        assert small == []


def test_the_page_works_without_a_script(visit: Begin, plan_site: PlanSite) -> None:
    page = visit(base=plan_site.url, java_script_enabled=False).open("plan/#1.w6.kn01l1.0000")
    assert "scripts must be on" in page.locator("main").inner_text()
    assert page.locator(".record a[href^='tel:']").count() >= 1


@pytest.mark.parametrize("path", ["plan/", "plan/ to make", "follow/", "kn-02/left/", ""])
def test_a_page_loads_little_script(visit: Begin, plan_site: PlanSite, path: str) -> None:
    """What a page loads by itself, what it fetches for its code to scan included."""
    one = visit(base=plan_site.url)
    loaded: list[str] = []
    one.page.on("request", lambda request: loaded.append(request.url) if ".js" in request.url else None)
    fragment = write_fragment(Plan((Pick("kn-02", "left", 3),)))
    page = one.open(
        f"{path}#{fragment}" if path in ("plan/", "follow/") else path.split(maxsplit=1)[0] if path else ""
    )
    if path == "plan/ to make":
        page.wait_for_function(READY)
        add_pick(page, "kn-02")
    page.wait_for_load_state("networkidle")
    names = {url.split("/")[-1].split("?")[0] for url in loaded if "/assets/" in url}
    data = {name for name in names if re.fullmatch(r"(plan|finder)-(en|nl|ar)\.js", name)}
    size = sum(
        len(gzip.compress((plan_site.folder / "assets" / name).read_bytes(), 9)) for name in names - data
    )
    limit = MAKING_LIMIT if path == "plan/ to make" else SCRIPT_LIMIT
    assert size < limit, (size, sorted(names))


def test_a_copy_on_a_disk_works_alike(visit: Begin, plan_site: PlanSite, tmp_path: Path) -> None:
    write_site(plan_site.library, tmp_path, name_files=True)
    fragment = write_fragment(four_picks(plan_site))
    one = visit(base=f"file://{tmp_path}/")
    page = one.open(f"plan/index.html#{fragment}")
    expect(page.locator(".plan-card")).to_have_count(4)
    assert all(width for _, width in pictures(page.locator(".plan-card img")))
    assert "https://" in page.evaluate(f"limberleaf.planAddress('{fragment}')")
    page.get_by_role("link", name="Follow along").click()
    expect(page.locator("#follow-main")).to_have_text("Begin")
    page.goto(f"file://{tmp_path}/kn-02/left/index.html")
    page.get_by_role("button", name="Add to plan").click()
    page.get_by_role("link", name="Open the plan").click()
    expect(page.locator(".make-card")).to_have_count(1)
