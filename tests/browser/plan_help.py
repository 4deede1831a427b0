"""What the browser tests of the plan share: opening its page, a plan, links that were given out and hostile ones."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import yaml
from browser.conftest import Visit
from browser.plan_site import PlanSite
from playwright.sync_api import Page, expect

from limberleaf.plan import Pick, Plan
from limberleaf.plan.resolve import make

PLAN_TESTS = Path(__file__).parent.parent / "plan"
GOLDEN = yaml.safe_load((PLAN_TESTS / "golden_fragments.yml").read_text("utf-8"))

READY = "() => document.querySelector('#plan-body > :not([role=status]), .make-add')"
Begin = Callable[..., Visit]


def open_plan(visit: Begin, site: PlanSite, fragment: str = "", **options: Any) -> Page:
    page = visit(base=site.url, **options).open(f"plan/#{fragment}" if fragment else "plan/")
    page.wait_for_function(READY)
    return page


def four_picks(site: PlanSite) -> Plan:
    picks = [
        Pick("kn-01", "left"), Pick("kn-02", "right", changes={"sets": 2, "repetitions": 10}, star=True),
        Pick("kn-03"), Pick("kn-06", "turn"),
    ]  # fmt: skip
    return make(site.library, picks, 6)


def add_pick(page: Page, code: str) -> None:
    """Add an exercise by its code; the page has drawn its list anew when it is there, and says so."""
    cards = page.locator(".make-card")
    before = cards.count()
    page.get_by_label("Code", exact=True).fill(code)
    page.keyboard.press("Enter")
    expect(cards).to_have_count(before + 1)
    expect(page.get_by_role("status").filter(has_text="In your plan")).to_be_visible()


def link_of(page: Page) -> str:
    return page.locator("#make-link").input_value().partition("#")[2]


def hostile() -> list[str]:
    """A few hundred fragments: markup in every field, mixed encodings, cut and doubled links, long ones."""
    whole = [golden["fragment"] for golden in GOLDEN]
    payloads = [
        "<script>alert(1)</script>", "<img src=x onerror=alert(1)>", "javascript:alert(1)", "\"><svg onload=alert(1)>",
        "%3Cscript%3Ealert(1)%3C/script%3E", "%00", "%ff%fe", "%", "%%%", "\u202e\u0000", "😀", "１２", "{{7*7}}",
        "__proto__", "constructor", "..", "//evil.example", "data:text/html,x", "&lt;b&gt;", "'", "`${alert(1)}`",
        "\\u003c",
    ]  # fmt: skip
    texts = list(payloads)
    for fragment in whole:
        parts = fragment.split(".")
        for at in range(len(parts)):
            texts += [".".join([*parts[:at], payload, *parts[at + 1 :]]) for payload in payloads[:9]]
            texts += [
                ".".join([*parts[:at], parts[at] + payload, *parts[at + 1 :]]) for payload in payloads[3:7]
            ]
        texts += [fragment[:length] for length in range(0, len(fragment), 5)]
        texts += [
            fragment * 2,
            fragment + "#" + fragment,
            fragment.replace(".", "%2E"),
            fragment.replace("1", "%31"),
        ]
    texts += [
        "1." + "a" * 100_000,
        "." * 50_000,
        "1.w6." + "kn03l1." * 5_000 + "0000",
        "9" * 5_000,
        "1.w6.kn01l1" + "s1" * 9_000,
    ]
    return texts
