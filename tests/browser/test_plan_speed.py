"""How long a clinician needs for a plan: presses and clicks that were really made, in the keystroke-level model.

The model and its operators: Card, Moran & Newell 1980, "The keystroke-level model for user performance time with
interactive systems", Communications of the ACM 23(7), 396-410 (times from memory): a key of an average non-secretary
typist 0.28 s, pointing 1.1 s, a press of the mouse button 0.1 s each way, a hand to another device 0.4 s, making up
one's mind 1.35 s. Minds are made up before each word or number that is decided, as their rules place them. The page's
own answer is counted by none, as it comes within a blink.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import pytest
from browser.plan_help import Begin, open_plan
from browser.plan_site import PlanSite
from playwright.sync_api import Locator, Page, expect

from limberleaf.plan import Pick, Plan, read_fragment

pytestmark = pytest.mark.browser

KEY, POINT, BUTTON, HAND, MIND = 0.28, 1.1, 0.1, 0.4, 1.35
GOAL_SECONDS, GOAL_CLICKS = 45, 12


@dataclass
class Clinician:
    """Does things to a page and notes each operator of the model."""

    page: Page
    done: list[str] = field(default_factory=list)
    on_mouse: bool = False

    def _hand(self, mouse: bool) -> None:
        if self.on_mouse != mouse:
            self.done.append("hand")
        self.on_mouse = mouse

    def types(self, text: str) -> None:
        """Make up one's mind for each word or number, and type them."""
        self._hand(mouse=False)
        self.done += ["mind"] * len(text.split()) + ["key"] * len(text)
        self.page.keyboard.type(text)

    def presses(self, key: str) -> None:
        self._hand(mouse=False)
        self.done.append("key")
        self.page.keyboard.press(key)

    def clicks(self, place: Locator) -> None:
        """Make up one's mind, point, click."""
        self._hand(mouse=True)
        self.done += ["mind", "point", "button", "button"]
        place.click()

    def seconds(self) -> float:
        each = {"key": KEY, "point": POINT, "button": BUTTON, "hand": HAND, "mind": MIND}
        return sum(each[one] for one in self.done)

    def number_of_clicks(self) -> int:
        return self.done.count("button") // 2


FOUR = (
    Pick("kn-02", "right", 3, {"sets": 2, "hold": 5}),
    Pick("kn-01", "right", 1, {"times_a_day": 2}),
    Pick("kn-12", "right", 1, {"repetitions": 10}),
    Pick("kn-06", "right", 1, {"sets": 1}),
)


def _copied(page: Page) -> Plan:
    expect(page.get_by_role("status").filter(has_text="Copied.")).to_be_visible()
    plan = read_fragment(page.evaluate("navigator.clipboard.readText()").rpartition("#")[2]).plan
    assert plan is not None
    return plan


def test_four_exercises_with_own_dose_and_side_by_code(visit: Begin, plan_site: PlanSite) -> None:
    page = open_plan(visit, plan_site)
    page.context.grant_permissions(["clipboard-read", "clipboard-write"])
    hands = Clinician(page)
    for words in ("kn2r 2x 5s", "kn1 2/day", "kn12 x10", "kn6 1x", "4w"):
        hands.types(words)
        hands.presses("Enter")
        expect(page.locator("#make-code")).to_have_value("")
    expect(page.locator(".make-card")).to_have_count(4)
    hands.presses("Enter")
    plan = _copied(page)
    assert (plan.picks, plan.weeks) == (FOUR, 4)
    assert hands.seconds() <= GOAL_SECONDS, hands.done
    assert hands.number_of_clicks() == 0


def test_four_exercises_found_by_words_from_the_start_page(visit: Begin, plan_site: PlanSite) -> None:
    """As somebody who knows no code: what is wanted in a word, the best fit with Enter, then its side and dose."""
    page = visit(base=plan_site.url).open("")
    page.context.grant_permissions(["clipboard-read", "clipboard-write"])
    hands = Clinician(page, on_mouse=True)
    hands.clicks(page.get_by_role("link", name="My plan").first)
    expect(page.locator("#make-code")).to_be_focused()
    wanted = (("straighten", "r 2x 5s"), ("slide heel", "2/day"), ("ankle", "x10"), ("wave", "1x"))
    for number, (word, dose) in enumerate(wanted, 1):
        hands.types(word)
        hands.presses("Enter")
        expect(page.locator("#make-matches button").first).to_be_focused()
        hands.done.append("mind")  # is the first one meant?
        hands.presses("Enter")
        expect(page.locator(".make-card")).to_have_count(number)
        expect(page.locator("#make-code")).to_be_focused()
        hands.types(dose)
        hands.presses("Enter")
        expect(page.locator("#make-code")).to_have_value("")
    hands.types("4w")
    hands.presses("Enter")
    expect(page.get_by_role("status").filter(has_text="For 4 weeks.")).to_be_visible()
    hands.presses("Enter")
    plan = _copied(page)
    assert (plan.picks, plan.weeks) == (FOUR, 4)
    assert hands.seconds() <= GOAL_SECONDS, hands.done
    assert hands.number_of_clicks() <= GOAL_CLICKS


def test_few_presses_of_tab_lead_from_the_box_to_the_weeks_and_the_link(
    visit: Begin, plan_site: PlanSite
) -> None:
    page = open_plan(visit, plan_site)
    page.get_by_label("Code", exact=True).fill("kn-01r 2x kn-02 5s kn-06 1x kn-12 x10")
    page.keyboard.press("Enter")
    expect(page.locator(".make-card")).to_have_count(4)
    expect(page.locator("#make-code")).to_be_focused()
    way = []
    while "make-copy" not in way:
        page.keyboard.press("Tab")
        way.append(page.evaluate("document.activeElement.id"))
        if way[-1] == "make-onward":
            page.keyboard.press("Enter")
            way.append(page.evaluate("document.activeElement.id"))
    assert way.index("make-weeks") <= 4, way
    assert len(way) <= 9, way
