"""Following along in Chromium: the count, the pauses, what is kept, and that it goes on without a network."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
import yaml
from browser.axe import findings
from browser.conftest import Visit, pictures, settled
from browser.plan_help import hostile
from browser.plan_site import PlanSite
from playwright.sync_api import Page, expect

from limberleaf.clinical.cautions import boxes
from limberleaf.clinical.placeholder_values import placeholders_for
from limberleaf.library.text import fill
from limberleaf.plan import Pick, Plan, write_fragment

pytestmark = pytest.mark.browser

CASES = yaml.safe_load((Path(__file__).parent.parent / "plan" / "cases.yml").read_text("utf-8"))
Begin = Callable[..., Visit]
NOON = datetime(2026, 11, 24, 12, tzinfo=UTC)
TWO = Plan((Pick("kn-02", "left", 3, {"sets": 2, "repetitions": 2}), Pick("kn-05")))


def _open(visit: Begin, site: PlanSite, plan: Plan, *, clock: bool = True, **options: Any) -> Page:
    one = visit(base=site.url, **options)
    if clock:
        one.page.clock.install(time=NOON)
    page = one.open(f"follow/#{write_fragment(plan)}")
    page.wait_for_selector("#follow-main")
    if clock:  # from here on only the test moves the clock, so that a slow machine counts as a quick one does
        page.clock.pause_at(NOON + timedelta(hours=1))
    return page


def _shown(page: Page) -> tuple[str, str, str]:
    texts = [page.locator(f".follow-{name}").inner_text() for name in ("word", "number", "count")]
    return texts[0], texts[1], texts[2]


def test_only_what_is_for_today_is_followed_unless_all_is_wanted(visit: Begin, plan_site: PlanSite) -> None:
    """The test's noon is a Tuesday: what is done on three days a week falls on Monday, Wednesday and Friday."""
    plan = Plan((Pick("kn-02", "left", 3), Pick("kn-12", "left"), Pick("kn-05")), days=(1, 3, 5))
    page = _open(visit, plan_site, plan)
    expect(page.locator("h1")).to_contain_text("Roll your ankle")
    expect(page.locator(".follow-of")).to_have_text("1 of 2")
    expect(page.locator(".plan-note")).to_contain_text(
        "Not for today: Straighten your knee (left side), Monday, Wednesday, Friday."
    )
    page.get_by_role("button", name="Next exercise").click()
    page.get_by_role("button", name="Do these as well").click()
    expect(page.locator(".follow-of")).to_have_text("2 of 3")
    expect(page.locator("h1")).to_contain_text("Lie and rest")
    page.get_by_role("button", name="Next exercise").click()
    expect(page.locator("h1")).to_contain_text("Straighten your knee")
    page.evaluate(
        "fragment => { location.hash = fragment; }", write_fragment(Plan(plan.picks[:1], days=(1, 3, 5)))
    )
    expect(page.locator("#follow-body")).to_contain_text("Nothing in this plan is for today. Not for today:")
    expect(page.locator("#follow-main")).to_have_count(0)
    page.get_by_role("button", name="Do these as well").click()
    expect(page.locator("h1")).to_contain_text("Straighten your knee")


def test_the_phases_add_up_to_the_time_the_page_tells(visit: Begin, plan_site: PlanSite) -> None:
    """The counted time, without getting ready, is the longest session of the table of cases."""
    page = _open(visit, plan_site, TWO, clock=False)
    for case in CASES:
        sums = page.evaluate(
            """async ({code, side, changes}) => {
                const L = limberleaf, exercise = await L.load(code), pick = {code, side, changes};
                const one = {dose: L.doseOf(pick, exercise).dose, sides: L.sidesOf(pick, exercise)};
                const counted = L.phases(one, true).filter(phase => phase.seconds && !phase.lead);
                return counted.reduce((sum, phase) => sum + phase.seconds[1], 0);
            }""",
            {name: case[name] for name in ("code", "side", "changes")},
        )
        assert sums == case["session"][1], case["name"]


def test_it_counts_sets_repeats_holds_and_rests(visit: Begin, plan_site: PlanSite) -> None:
    """KN-02 with 2 sets of 2: ready 5 s; each repeat 2 s out, 3 s hold, 3 s back; 2 minutes of rest."""
    page = _open(visit, plan_site, TWO)
    assert page.locator(".follow-of").inner_text() == "1 of 2"
    assert "Do 2 sets of 2." in page.locator(".follow-word").inner_text()
    page.get_by_role("button", name="Begin").click()
    assert _shown(page)[:2] == ("Get ready", "5")
    page.clock.run_for(5_200)
    assert _shown(page) == ("Go", "1", "Set 1 of 2 · Repeat 1 of 2")
    page.clock.run_for(2_200)
    assert _shown(page)[:2] == ("Hold", "1")
    page.clock.run_for(2_000)
    assert _shown(page)[:2] == ("Hold", "3")
    page.clock.run_for(1_200)
    assert _shown(page)[0] == "Back"
    page.clock.run_for(3_200)
    assert _shown(page) == ("Go", "2", "Set 1 of 2 · Repeat 2 of 2")
    page.clock.run_for(8_800)
    word, number, count = _shown(page)
    assert (word, count) == ("Rest", "Set 1 of 2")
    assert number in ("2:00", "1:59")
    page.clock.run_for(60_000)
    assert _shown(page)[1] in ("59", "1:00", "58")
    page.get_by_role("button", name="Skip").click()
    assert _shown(page) == ("Go", "1", "Set 2 of 2 · Repeat 1 of 2")
    page.clock.run_for(20_000)
    expect(page.locator("h1")).to_contain_text("Lie and rest")
    assert page.locator(".follow-of").inner_text() == "2 of 2"
    page.get_by_role("button", name="Begin").click()
    page.clock.run_for(5_400)
    assert _shown(page)[0] == "Keep going"
    assert _shown(page)[1] in ("10:00", "9:59")
    page.clock.run_for(600_500)
    expect(page.locator("h1")).to_have_text("You have done them all")


def test_every_box_is_on_the_screen_of_its_exercise(visit: Begin, plan_site: PlanSite) -> None:
    """Each sign and each action, its numbers filled in, of the boxes that the exercise's own page has."""
    page = _open(visit, plan_site, TWO)
    library = plan_site.library
    told = boxes(library, library.exercises["kn-02"].entry, "en")
    assert {box.tier for box in told} >= {"emergency", "same_day"}
    shown = " ".join(page.locator(".follow-how").inner_text().split())
    placeholders = placeholders_for(library, library.exercises["kn-02"].entry, "left", "en")
    for box in told:
        for text in (*box.signs, box.action):
            assert fill(text, placeholders).plain in shown


def test_a_pause_stops_the_count(visit: Begin, plan_site: PlanSite) -> None:
    page = _open(visit, plan_site, TWO)
    page.get_by_role("button", name="Begin").click()
    page.clock.run_for(2_000)
    page.get_by_role("button", name="Pause").click()
    before = _shown(page)
    page.clock.run_for(60_000)
    assert _shown(page) == before
    page.get_by_role("button", name="Continue").click()
    page.clock.run_for(3_400)
    assert _shown(page)[0] == "Go"


def test_enough_can_be_said_once_the_lowest_number_is_reached(visit: Begin, plan_site: PlanSite) -> None:
    """8 to 12 repeats: from the ninth on the reader may say that is enough."""
    page = _open(visit, plan_site, Plan((Pick("kn-02", "left", 3),)))
    page.get_by_role("button", name="Begin").click()
    page.clock.run_for(5_200 + 6 * 8_050)
    assert page.locator("#follow-skip").inner_text() == "Skip"
    page.clock.run_for(2 * 8_000)
    assert page.locator("#follow-skip").inner_text() == "That is enough"
    page.locator("#follow-skip").click()
    assert _shown(page)[0] == "Rest"


def test_each_side_has_its_turn_and_time_to_change(visit: Begin, plan_site: PlanSite) -> None:
    page = _open(visit, plan_site, Plan((Pick("kn-12", "turn", 1, {"repetitions": 1}),)))
    page.get_by_role("button", name="Begin").click()
    page.clock.run_for(5_200)
    assert "First side" in _shown(page)[2]
    page.clock.run_for(4_600)
    assert _shown(page)[0] == "Now the other side"
    page.clock.run_for(60_000)
    assert _shown(page)[0] == "Now the other side"
    page.get_by_role("button", name="Continue").click()
    assert "Other side" in _shown(page)[2]


def test_the_reader_can_count_alone(visit: Begin, plan_site: PlanSite) -> None:
    page = _open(visit, plan_site, TWO)
    page.get_by_label("Count for me").uncheck()
    page.get_by_role("button", name="Begin").click()
    page.clock.run_for(5_400)
    assert _shown(page)[:2] == ("Go at your own pace", "2")
    page.clock.run_for(600_000)
    assert _shown(page)[0] == "Go at your own pace"
    page.get_by_role("button", name="Set done").click()
    assert _shown(page)[0] == "Rest"


def test_it_goes_on_without_a_network_once_opened(visit: Begin, plan_site: PlanSite) -> None:
    page = _open(visit, plan_site, TWO)
    expect(page.locator("#follow-offline")).to_have_text("You can go on without the internet now.")
    page.wait_for_load_state("networkidle")  # the browser may still be fetching the page's icon
    page.context.set_offline(True)
    for _ in range(2):
        page.get_by_role("button", name="Begin").click()
        page.clock.run_for(30_000)
        assert all(width for _, width in pictures(page.locator(".figure:visible img")))
        page.locator("#follow-next").click()
    expect(page.locator("h1")).to_have_text(
        "You are at the end"
    )  # nothing is called done that was left before its end
    page.get_by_role("button", name="Do them again").click()
    expect(page.locator("#follow-main")).to_have_text("Begin")


def _finish(page: Page) -> None:
    page.locator("#follow-next").click()
    page.locator("#follow-next").click()


def test_nothing_is_kept_unless_the_reader_ticks_and_forget_clears_it(
    visit: Begin, plan_site: PlanSite
) -> None:
    page = _open(visit, plan_site, TWO)
    stored = "[localStorage.length, sessionStorage.length, document.cookie]"
    _finish(page)
    assert page.evaluate(stored) == [0, 0, ""]
    page.get_by_label("Keep on this device").check()
    assert page.evaluate("Object.entries(localStorage)") == [["limberleaf.days", '["2026-11-24"]']]
    assert "Done on:" in page.locator(".follow-kept").inner_text()
    page.get_by_role("button", name="Do them again").click()
    page.wait_for_selector("#follow-main")
    page.clock.set_system_time(NOON + timedelta(days=1))
    _finish(page)
    assert page.evaluate("localStorage.getItem('limberleaf.days')") == '["2026-11-24","2026-11-25"]'
    page.get_by_role("button", name="Forget").click()
    assert page.evaluate(stored) == [0, 0, ""]
    expect(page.get_by_label("Keep on this device")).not_to_be_checked()
    assert "Nothing is kept any more." in page.locator(".follow-kept").inner_text()


@pytest.mark.parametrize("text", ["{", "null", '{"a":1}', '["<b>x</b>", 5, "2026-11-24"]', "x" * 10_000])
def test_a_broken_record_of_days_does_no_harm(visit: Begin, plan_site: PlanSite, text: str) -> None:
    page = _open(visit, plan_site, TWO)
    page.evaluate("text => localStorage.setItem('limberleaf.days', text)", text)
    _finish(page)
    expect(page.locator("h1")).to_have_text("You are at the end")
    assert page.locator(".follow-kept b").count() == 0


def test_the_screen_is_kept_awake_and_sound_is_off_until_asked(visit: Begin, plan_site: PlanSite) -> None:
    one = visit(base=plan_site.url)
    one.page.add_init_script(
        """window.asked = [];
        Object.defineProperty(navigator, "wakeLock", {value: {request: kind => {
            window.asked.push(kind);
            const release = () => { window.asked.push("released"); return Promise.resolve(); };
            return Promise.resolve({release, addEventListener() {}});
        }}});
        const Real = window.AudioContext;
        window.AudioContext = class extends Real { constructor() { super(); window.asked.push("sound"); } };"""
    )
    page = one.open(f"follow/#{write_fragment(TWO)}")
    page.get_by_role("button", name="Begin").click()
    assert page.evaluate("asked") == ["screen"]
    page.get_by_label("Sound").check()
    assert page.evaluate("asked") == ["screen", "sound"]
    _finish(page)
    assert page.evaluate("asked.at(-1)") == "released"


def test_leaving_the_page_pauses(visit: Begin, plan_site: PlanSite) -> None:
    page = _open(visit, plan_site, TWO)
    page.get_by_role("button", name="Begin").click()
    page.evaluate(
        """() => {
            Object.defineProperty(document, "hidden", {value: true, configurable: true});
            document.dispatchEvent(new Event("visibilitychange"));
        }"""
    )
    expect(page.locator("#follow-main")).to_have_text("Continue")


def test_an_exercise_page_leads_to_its_own(visit: Begin, plan_site: PlanSite) -> None:
    page = visit(base=plan_site.url).open("kn-02/left/")
    page.get_by_role("link", name="Follow along").click()
    page.wait_for_selector("#follow-main")
    assert "Straighten your knee" in page.locator("h1").inner_text()
    assert "left side" in page.locator("h1").inner_text()
    page.locator("#follow-next").click()
    page.get_by_role("link", name="Back to the exercise").click()
    expect(page).to_have_url(plan_site.url + "kn-02/left/")


def test_it_works_with_the_keyboard_alone_and_tells_what_is_next(visit: Begin, plan_site: PlanSite) -> None:
    page = _open(visit, plan_site, TWO)
    page.locator("#follow-main").focus()
    page.keyboard.press("Enter")
    assert page.locator("[role=status]").first.inner_text() == "Get ready"
    page.clock.run_for(5_200)
    assert page.locator("[role=status]").first.inner_text() == "Go 1"
    page.keyboard.press("Space")
    assert page.locator("[role=status]").first.inner_text() == "Paused"
    page.locator("#follow-next").focus()
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.id") == "follow-title"


@pytest.mark.parametrize("width", [320, 390, 1280])
def test_axe_finds_nothing_and_nothing_scrolls_sideways(
    visit: Begin, plan_site: PlanSite, width: int
) -> None:
    page = _open(visit, plan_site, TWO, width=width, clock=False, reduced_motion="reduce")
    steps: list[tuple[Callable[[], object], str]] = [
        (lambda: None, "#follow-main"),
        (lambda: page.get_by_role("button", name="Begin").click(), ".going .follow-number"),
        (lambda: _finish(page), "#follow-keep"),
        (lambda: page.evaluate("location.hash = '#1.w6.broken'"), "#follow-body [role=alert]"),
        (lambda: page.evaluate("location.hash = ''"), "#follow-body > .aim:only-child"),
    ]
    for number, (step, sign) in enumerate(steps):
        step()
        page.locator(sign).wait_for()
        settled(page)
        assert findings(page) == [], number
        assert page.evaluate("document.documentElement.scrollWidth") <= width, number


def test_number_and_pause_are_in_sight_on_a_small_phone(visit: Begin, plan_site: PlanSite) -> None:
    page = _open(visit, plan_site, TWO, width=390, height=780)
    page.get_by_role("button", name="Begin").click()
    page.clock.run_for(5_400)
    assert all(width for _, width in pictures(page.locator(".figure:visible img")))
    for selector in (".follow-number", "#follow-main"):
        box = page.locator(selector).bounding_box()
        assert box is not None
        assert box["y"] + box["height"] <= 780
    assert page.locator(".follow-number").evaluate("one => parseFloat(getComputedStyle(one).fontSize)") >= 72


def test_hundreds_of_hostile_links_run_nothing_and_hang_nothing(visit: Begin, plan_site: PlanSite) -> None:
    page = _open(visit, plan_site, TWO, clock=False)
    dialogs: list[str] = []
    page.on("dialog", lambda dialog: (dialogs.append(dialog.message), dialog.dismiss()))
    bad = page.evaluate(
        """async texts => {
            // What is slow once, perhaps for another program's sake, is asked again; what hangs is slow each time.
            const bad = [], late = [];
            for (const text of texts) {
                const start = performance.now();
                location.hash = "#" + text;
                await new Promise(done => setTimeout(done, 5));
                const body = document.getElementById("follow-body");
                if (performance.now() - start > 2000) {
                    if (late.filter(one => one === text).length > 1) bad.push("slow: " + text.slice(0, 60));
                    else late.push(text), texts.push(text);
                }
                if (body.querySelector("script, iframe, [onerror], [onload]")) bad.push("markup: " + text);
            }
            return bad;
        }""",
        hostile(),
    )
    assert bad == []
    assert dialogs == []
