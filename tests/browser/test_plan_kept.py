"""What a clinician decided stays decided, and no press of a key or link loses a plan or breaks its page."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path

import pdfplumber
import pytest
from browser.conftest import address_of
from browser.plan_help import Begin, add_pick, link_of, open_plan
from browser.plan_site import PlanSite
from playwright.sync_api import expect

from limberleaf.plan import Pick, Plan, read_fragment, write_fragment

pytestmark = pytest.mark.browser
BROKEN = "1.w6.kn01l1.0000"
FRAGMENT = write_fragment(Plan((Pick("kn-02", "right", 3, {"hold": 5}),), days=(1, 3, 5)))


def test_a_day_is_typed_digit_by_digit_and_the_focus_stays(visit: Begin, plan_site: PlanSite) -> None:
    """A date field passes through the years 0002, 0020 and 0202 while 2027 is typed (HTML, date state)."""
    page = open_plan(visit, plan_site)
    add_pick(page, "kn-03")
    page.locator("#make-when summary").click()
    page.locator("#make-review").focus()
    page.keyboard.type("01042027")  # month, day, year: the browser's own language is American English
    expect(page.locator("#make-link")).to_have_value(re.compile(r"\.a20270104\."))
    expect(page.locator("#make-notes")).to_have_value(re.compile("Review of the plan: 2027-01-04"))
    expect(page.locator("#make-when")).to_contain_text("Monday, 4 January 2027")
    assert page.evaluate("document.activeElement.id") == "make-review"


def test_what_is_to_be_stopped_stays_so_and_only_in_this_plan(visit: Begin, plan_site: PlanSite) -> None:
    page = open_plan(visit, plan_site)
    add_pick(page, "kn-02")
    tick = page.get_by_label("KN-01 Slide your heel")
    expect(tick).not_to_be_checked()
    tick.check()
    expect(page.locator("#make-link")).to_have_value(re.compile("0kn01"))
    link = link_of(page)
    page.reload()
    expect(tick).to_be_checked()
    page.get_by_role("link", name="See it as the patient does").click()
    page.get_by_role("button", name="Change this plan").click()
    expect(tick).to_be_checked()
    assert link_of(page) == link
    page.get_by_role("button", name="Start again").click()
    page.get_by_role("button", name="Undo").click()
    expect(tick).to_be_checked()
    page.get_by_role("button", name="Start again").click()
    expect(page.locator(".make-card")).to_have_count(0)
    add_pick(page, "kn-02")
    expect(tick).not_to_be_checked()


def test_a_step_back_says_what_it_took_back(visit: Begin, plan_site: PlanSite) -> None:
    page = open_plan(visit, plan_site)
    said, undo = page.locator(".make-said .said"), page.get_by_role("button", name="Undo")
    add_pick(page, "kn-02l")
    expect(said).to_have_text(
        "In your plan: KN-02 Straighten your knee, left, 3 x 8-12, hold 3 s, rest 120 s, 1x a day, 3 days a week."
    )
    page.get_by_role("radio", name="Right").check()
    expect(page.locator("#make-link")).to_have_value(re.compile("kn02r"))
    page.get_by_label("Code", exact=True).fill("2x 8w")
    page.keyboard.press("Enter")
    expect(said).to_contain_text("In your plan: KN-02 Straighten your knee, right, 2 x 8-12, ")
    page.get_by_role("button", name="Remove").click()
    for words in (
        "Put back: KN-02 Straighten your knee, right.",
        "Put back: Home exercise plan, 6 weeks; KN-02 Straighten your knee, 3 x 8-12.",
        "Put back: KN-02 Straighten your knee, left.",
        "Taken out: KN-02 Straighten your knee, left.",
    ):
        undo.click()
        expect(said).to_have_text(words)


def test_steps_are_taken_back_one_by_one(visit: Begin, plan_site: PlanSite) -> None:
    page = open_plan(visit, plan_site)
    states = []
    for code in ("kn-01", "kn-12", "kn-04"):
        add_pick(page, code)
        states.append(link_of(page))
    page.get_by_role("button", name="Right", exact=True).click()
    expect(page.locator("#make-link")).to_have_value(re.compile("kn12r"))
    states.append(link_of(page))
    page.get_by_role("button", name="Start again").click()
    expect(page.locator(".make-card")).to_have_count(0)
    undo = page.get_by_role("button", name="Undo")
    for before in reversed(states):
        undo.click()
        expect(page.locator("#make-link")).to_have_value(re.compile(re.escape(before)))
    undo.click()
    expect(page.locator(".make-card")).to_have_count(0)
    expect(undo).to_have_count(0)


def test_the_day_of_the_review_is_a_step_of_its_own(visit: Begin, plan_site: PlanSite) -> None:
    page = open_plan(visit, plan_site)
    add_pick(page, "kn-03")
    page.locator("#make-when summary").click()
    for day in ("2027-01-04", "2027-01-11"):  # changed on the way: one step until the field is left
        page.locator("#make-review").fill(day)
    expect(page.locator("#make-link")).to_have_value(re.compile("a20270111"))
    page.get_by_role("button", name="Remove").click()
    expect(page.locator(".make-card")).to_have_count(0)
    undo = page.get_by_role("button", name="Undo")
    undo.click()
    expect(page.locator("#make-link")).to_have_value(re.compile("a20270111"))
    expect(page.locator("#make-review")).to_have_value("2027-01-11")
    undo.click()
    expect(page.locator("#make-review")).to_have_value("")
    expect(page.locator(".make-card")).to_have_count(1)


def test_two_sides_of_one_exercise_stay_two_and_it_is_said(visit: Begin, plan_site: PlanSite) -> None:
    page = open_plan(visit, plan_site)
    page.get_by_label("Code", exact=True).fill("kn-02l kn-02r kn-12r")
    page.keyboard.press("Enter")
    page.locator("#make-all-left").click()
    said = page.get_by_role("status").filter(has_text="All but what is told here: Left.")
    expect(said).to_contain_text(
        "KN-02 is in the plan for this side already, so the other one stays as it was."
    )
    expect(page.locator("#make-link")).to_have_value(re.compile(r"kn02l3\.kn02r3\.kn12l1"))


def test_what_is_under_the_pointer_stays_there(visit: Begin, plan_site: PlanSite) -> None:
    page = open_plan(visit, plan_site, height=700)
    for code in ("kn-02", "kn-12", "kn-04", "kn-03", "kn-01"):
        add_pick(page, code)
    page.get_by_label("Weeks").scroll_into_view_if_needed()
    for place in ("#pick-0-left", "#pick-1-left", "#pick-4-right", "#pick-2-star"):
        one = page.locator(place)
        one.scroll_into_view_if_needed()
        before = one.bounding_box()
        one.check(force=True)
        page.wait_for_function("place => document.querySelector(place).checked", arg=place)
        after = page.locator(place).bounding_box()
        assert before
        assert after
        assert abs(after["y"] - before["y"]) <= 1, place


@pytest.mark.parametrize("width", [390, 1280])
def test_nothing_moves_when_something_is_said_found_or_handed_over(
    visit: Begin, plan_site: PlanSite, width: int
) -> None:
    page = open_plan(visit, plan_site, width=width)
    page.context.grant_permissions(["clipboard-read", "clipboard-write"])
    add_pick(page, "kn-02l")

    def places() -> list[float]:
        found = page.evaluate(
            """() => ["#pick-0-star", "#make-weeks", "#make-copy", "#make-copy-notes", "#make-clear"]
                .map(one => document.querySelector(one).getBoundingClientRect().top + scrollY)"""
        )
        return [float(one) for one in found]

    before = places()
    page.get_by_label("Code", exact=True).fill("knee bend")
    page.keyboard.press("Enter")
    expect(page.locator("#make-matches")).to_be_visible()
    assert places() == before
    page.keyboard.press("Escape")
    expect(page.locator("#make-matches")).to_be_hidden()
    for put_away in ("Escape", "press"):  # wherever the focus is
        page.get_by_label("Code", exact=True).fill("knee bend")
        page.keyboard.press("Enter")
        expect(page.locator("#make-matches button").first).to_be_focused()
        if put_away == "Escape":
            page.locator("#make-code").focus()
            page.keyboard.press("Escape")
        else:
            page.locator("h1").first.click()
        expect(page.locator("#make-matches")).to_be_hidden()
    assert places() == before
    page.get_by_label("Code", exact=True).fill("9x x99 99s 9/day")
    page.keyboard.press("Enter")
    expect(page.get_by_role("status").filter(has_text="It stays as it is.")).to_be_visible()
    assert places() == before
    page.get_by_role("button", name="Copy link").click()
    expect(page.locator("#make-new")).to_be_visible()
    assert places() == before


def test_no_other_button_comes_under_the_pointer_when_a_new_plan_begins(
    visit: Begin, plan_site: PlanSite
) -> None:
    page = open_plan(visit, plan_site)
    page.context.grant_permissions(["clipboard-read", "clipboard-write"])
    add_pick(page, "kn-02l")
    page.get_by_role("button", name="Copy link").click()
    expect(page.locator("#make-new")).to_be_visible()
    page.goto(f"{plan_site.url}kn-03/")
    fresh = page.get_by_role("button", name="Start a new plan")
    fresh.scroll_into_view_if_needed()
    box = fresh.bounding_box()
    assert box
    middle = [box["x"] + box["width"] / 2, box["y"] + box["height"] / 2]
    fresh.click()
    expect(page.get_by_role("status").filter(has_text="A new plan was begun")).to_be_visible()
    assert not page.evaluate(
        "([x, y]) => !!document.elementFromPoint(x, y).closest('button, a, input')", middle
    )
    page.get_by_role("button", name="Add to plan").click()
    expect(page.get_by_role("link", name="Open the plan (1)")).to_be_visible()


def test_weeks_that_end_before_the_review_are_said_with_a_way_out(visit: Begin, plan_site: PlanSite) -> None:
    page = open_plan(visit, plan_site)
    page.clock.set_fixed_time("2026-11-29T12:00:00")
    add_pick(page, "kn-03")
    page.locator("#make-when summary").click()
    page.locator("#make-review").fill("2027-01-04")
    note = page.get_by_text("the 6 weeks are over before this day")
    expect(note).to_have_count(0)
    page.get_by_label("Weeks").select_option("4")
    expect(page.get_by_text("Begun today, the 4 weeks are over before this day.")).to_be_visible()
    page.get_by_role("button", name="For 6 weeks").click()
    expect(page.locator("#make-link")).to_have_value(re.compile(r"w6\.a20270104"))
    expect(page.locator("#make-when .plan-note")).to_have_count(0)
    page.locator("#make-review").fill("2026-11-28")
    expect(page.get_by_text("This day is past.")).to_be_visible()


REFUSED = {
    " kn-01l 2x" * 201: "This is longer than 2000 signs, so nothing was added.",
    "kn-01 l r": "“r” is not understood, so nothing was added.",
    "10 reps": "“10” is not understood",
    "11/1/2027": "“11/1/2027” is not understood",
    "left knee": "fit best. Enter adds one.",
    "kn-01 bananas": "“bananas” is not understood, so nothing was added.",
    "2x kn-01": "2x: type the code of its exercise in front of it.",
    "kn-99": "There is no exercise kn-99.",
    "r 9x": "Sets 9 (it takes 1 to 3) is not allowed. It stays as it is.",
    "10s": "Hold 10 (it has none) is not allowed.",
    "2x8-12": "Repeats 8-12 (it takes",
    "60w": "A plan runs for no more than 52 weeks.",
    "note-77": "There is no note note-77.",
}


def test_what_cannot_be_taken_is_said_with_what_would(visit: Begin, plan_site: PlanSite) -> None:
    page = open_plan(visit, plan_site)
    add_pick(page, "kn-12")
    for typed, said in REFUSED.items():
        page.get_by_label("Code", exact=True).fill(typed)
        page.keyboard.press("Enter")
        expect(page.get_by_role("status").filter(has_text=said)).to_be_visible()
        expect(page.locator(".make-card")).to_have_count(1)


def test_the_whole_plan_is_typed_in_the_box(visit: Begin, plan_site: PlanSite) -> None:
    page = open_plan(visit, plan_site)
    page.get_by_label("Code", exact=True).fill("kn-02r 2x8-12 kn-01 2/day 4w mon thu 2027-01-04 note-03")
    page.keyboard.press("Enter")
    expect(page.locator(".make-card")).to_have_count(2)
    plan = read_fragment(link_of(page)).plan
    assert plan == Plan(
        (Pick("kn-02", "right", 3, {"sets": 2}), Pick("kn-01", "right", 1, {"times_a_day": 2})),
        4,
        days=(1, 4),
        review=date(2027, 1, 4),
        notes=("note-03",),
    )


@pytest.mark.parametrize("fragment", ["", FRAGMENT, BROKEN], ids=["making", "patient", "broken"])
def test_skipping_the_navigation_leaves_the_plan_open(
    visit: Begin, plan_site: PlanSite, fragment: str
) -> None:
    page = open_plan(visit, plan_site, fragment)
    title = page.locator("h1").inner_text()
    before = address_of(page)
    page.locator("a.skip").focus()
    page.keyboard.press("Enter")
    page.wait_for_function("!location.hash.includes('main')")
    expect(page.locator("h1")).to_have_text(title)
    expect(page.locator("[role=alert]")).to_have_count(int(fragment == BROKEN))
    assert address_of(page) == before


def test_my_plan_in_the_navigation_leads_to_the_plan_that_is_open(visit: Begin, plan_site: PlanSite) -> None:
    fragment = write_fragment(Plan((Pick("kn-02", "right", 3),)))
    page = open_plan(visit, plan_site, fragment)
    page.get_by_role("link", name="Follow along").first.click()
    expect(page.locator("h1")).to_contain_text("Straighten your knee")
    page.locator(".top a[href*='plan/']").first.click()
    expect(page.locator(".plan-card")).to_have_count(1)
    assert address_of(page).endswith(fragment)


def test_the_days_of_an_exercise_stand_with_it(visit: Begin, plan_site: PlanSite) -> None:
    page = open_plan(visit, plan_site, FRAGMENT)
    expect(page.locator(".plan-card .dose")).to_contain_text("On Monday, Wednesday, Friday.")


def test_a_telephone_number_reads_from_left_to_right_in_every_language(
    visit: Begin, plan_site: PlanSite
) -> None:
    page = visit(base=plan_site.url).open(f"ar/plan/#{FRAGMENT}")
    numbers = page.locator("#stop-and-help a[href^='tel:']")
    expect(numbers.first).to_be_visible()
    for number in numbers.all():
        assert number.evaluate("one => getComputedStyle(one).direction") == "ltr"


def test_the_row_of_numbers_stays_in_its_column_on_paper(visit: Begin, plan_site: PlanSite) -> None:
    page = open_plan(visit, plan_site, FRAGMENT, width=700)
    page.emulate_media(media="print")
    rights = page.locator(".cells").evaluate(
        "row => [row, ...row.children].map(one => one.getBoundingClientRect().right)"
    )
    assert max(rights[1:]) <= rights[0] + 1


def test_the_short_print_of_four_exercises_is_one_sheet(
    visit: Begin, plan_site: PlanSite, tmp_path: Path
) -> None:
    codes = ("kn-01", "kn-02", "kn-03", "kn-04")
    whole = Plan(
        tuple(Pick(code, "left" if code != "kn-04" else "none") for code in codes),
        stop=("kn-05",),
        days=(1, 3, 5),
        review=date(2027, 1, 4),
        notes=("note-01",),
    )
    page = open_plan(visit, plan_site, write_fragment(whole))
    expect(page.locator("#plan-qr svg")).to_be_attached()
    page.evaluate("document.documentElement.classList.add('short')")
    page.pdf(path=str(tmp_path / "short.pdf"), format="A4", prefer_css_page_size=True)
    with pdfplumber.open(tmp_path / "short.pdf") as pdf:
        assert len(pdf.pages) == 2


def test_what_was_copied_is_said_beside_the_button(visit: Begin, plan_site: PlanSite) -> None:
    page = open_plan(visit, plan_site)
    page.context.grant_permissions(["clipboard-read", "clipboard-write"])
    add_pick(page, "kn-03")
    page.get_by_role("button", name="Copy link").click()
    expect(page.locator("#make-copy + .said")).to_have_text("Copied.")
