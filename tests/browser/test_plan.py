"""The plan page in Chromium: making a plan, the patient's page, hostile links, and the twins of the generator."""

from __future__ import annotations

import gzip
import re
from collections.abc import Callable
from datetime import UTC, date, datetime
from itertools import islice, permutations, product
from pathlib import Path
from typing import Any

import pdfplumber
import pytest
import yaml
import zxingcpp
from axe_playwright_python.sync_playwright import Axe
from browser.conftest import Visit
from browser.plan_site import PlanSite, write_site
from browser.test_every_page import RULES
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from plan.sample import MARKUP
from playwright.sync_api import Page, expect

from generator.clinical.dose import spoken, table, time_needed, total_line, totals
from generator.library.exercise import AsComfortable, Dose
from generator.pages.plan_data import dose_data
from generator.plan import Pick, Plan, read_fragment, resolve, write_fragment
from generator.plan.calendar import calendar, reminders_of
from generator.plan.notes import notes
from generator.plan.order import suggested
from generator.plan.resolve import make
from generator.words import interface_words

pytestmark = pytest.mark.browser

PLAN_TESTS = Path(__file__).parent.parent / "plan"
CASES = yaml.safe_load((PLAN_TESTS / "cases.yml").read_text("utf-8"))
GOLDEN = yaml.safe_load((PLAN_TESTS / "golden_fragments.yml").read_text("utf-8"))
WORDS = interface_words("en")
SCRIPT_LIMIT = 15_000
"""Bytes of script a page may load, gzipped (design: 15 kB)."""

NEARLY = r"#?1\.w[0-9]{1,2}(\.(0?[a-z]{1,3}[0-9]{1,3}[lrbnq][0-9]{1,2}(s[0-9])?x?|.{0,5})){0,4}\.[0-9a-f]{4}"
"""Texts that look like links."""

READY = "() => document.querySelector('#plan-body > :not([role=status]), .make-add')"
Begin = Callable[..., Visit]


def _open(visit: Begin, site: PlanSite, fragment: str = "", **options: Any) -> Page:
    page = visit(base=site.url, **options).open(f"plan/#{fragment}" if fragment else "plan/")
    page.wait_for_function(READY)
    return page


def _plan(site: PlanSite) -> Plan:
    picks = [
        Pick("kn-01", "left"), Pick("kn-02", "right", changes={"sets": 2, "repetitions": 10}, star=True),
        Pick("kn-03"), Pick("kn-06", "turn"),
    ]  # fmt: skip
    return make(site.library, picks, 6)


# --- twins of the generator ------------------------------------------------------------------------------------


def test_the_page_adds_up_as_the_table_says(visit: Begin, plan_site: PlanSite) -> None:
    page = _open(visit, plan_site)
    for case in CASES:
        found = page.evaluate(
            """async ({code, side, changes}) => {
                const L = limberleaf, exercise = await L.load(code), pick = {code, side, changes};
                const {dose, refused} = L.doseOf(pick, exercise), sides = L.sidesOf(pick, exercise);
                const {session, day, week, repetitions_a_day} = L.totals(dose, sides);
                return {session, day, week, repetitions_a_day, refused, spoken: L.spoken(dose, sides),
                        total: L.totalLine(dose, sides), time: L.timeNeeded(dose, sides), cells: L.cells(dose, sides)};
            }""",
            {name: case[name] for name in ("code", "side", "changes")},
        )
        for name, value in found.items():
            assert value == case.get(name, [] if name == "refused" else value), (case["name"], name)


def _doses() -> list[dict[str, Any]]:
    """Doses of every shape: a stride through all combinations, so that neighbours differ in several parts."""
    most = AsComfortable(as_many_as_comfortable=True, up_to=20)
    counted = product(
        [None, "1", "3", "2-3"], ["10", "8-12", "1", "1-2", most], [None, "3 s", "20-30 s", "1 min"],
        [None, {"out": "2 s", "back": "3 s"}, {"out": "2 s", "pause": "1 s", "back": "2-4 s"}],
        [None, "60 s", "90-120 s"],
        [{"times_a_day": "1"}, {"times_a_day": "2"}, {"times_a_day": "2-3"}, {"every": "1 h"}, {"every": "2-3 h"}],
        ["7", "3", "5-7", "1"],
    )  # fmt: skip
    doses = [
        {
            "sets": sets,
            "repetitions": count,
            "hold": hold,
            "tempo": tempo,
            "rest": rest,
            **often,
            "days_a_week": days,
        }
        for sets, count, hold, tempo, rest, often, days in islice(counted, 0, None, 29)
    ]
    timed = product(
        [None, "2", "2-3"], ["30 s", "10 min", "1 h", "90 s", "5-10 min"], [None, "30 s"], ["1", "2-4"]
    )
    doses += [
        {"sets": sets, "duration": time, "rest": rest, "times_a_day": often, "days_a_week": "7"}
        for sets, time, rest, often in timed
    ]
    return [{name: value for name, value in dose.items() if value is not None} for dose in doses]


@pytest.mark.parametrize("language", ["en", "nl", "ar"])
def test_sums_and_words_equal_the_generators_for_every_shape_of_dose(
    visit: Begin, plan_site: PlanSite, language: str
) -> None:
    page = visit(base=plan_site.url).open("plan/" if language == "en" else f"{language}/plan/")
    page.wait_for_function(READY)
    words = interface_words(language)
    cases = [(Dose.model_validate(dose), sides) for dose in _doses() for sides in ("one", "each")]
    found = page.evaluate(
        """cases => cases.map(([dose, sides]) => {
            const L = limberleaf, t = L.totals(dose, sides);
            return [t.session, t.day, t.week, t.repetitions_a_day, t.repetitions_a_go, L.spoken(dose, sides),
                    L.totalLine(dose, sides), L.timeNeeded(dose, sides), L.cells(dose, sides)];
        })""",
        [[dose_data(dose), sides] for dose, sides in cases],
    )
    assert len(found) > 800
    for (dose, sides), answer in zip(cases, found, strict=True):
        sums = totals(dose, sides)
        pairs = [sums.session, sums.day, sums.week, sums.repetitions_a_day, sums.repetitions_a_go]
        expected = [
            *[pair and [pair.low, pair.high] for pair in pairs],
            spoken(dose, sides, words), total_line(dose, sides, words), time_needed(dose, sides, words),
            [[cell.number, cell.label] for cell in table(dose, sides, words)],
        ]  # fmt: skip
        assert answer == expected, dose


def _as_read(page: Page, text: str) -> Any:
    return page.evaluate("text => limberleaf.read(text)", text)


def _same_reading(page: Page, text: str) -> None:
    reading = read_fragment(text)
    found = _as_read(page, text)
    if reading.plan is None:
        assert reading.trouble is not None
        assert found == {"plan": None, "trouble": reading.trouble.code}, text
        return
    plan = reading.plan
    assert found["plan"] == {
        "picks": [vars(pick) for pick in plan.picks], "weeks": plan.weeks, "stop": list(plan.stop),
    }  # fmt: skip
    assert page.evaluate("plan => limberleaf.write(plan)", found["plan"]) == write_fragment(plan)


def test_links_given_out_are_read_alike(visit: Begin, plan_site: PlanSite) -> None:
    page = _open(visit, plan_site)
    for golden in GOLDEN:
        fragment = golden["fragment"]
        for text in (
            fragment,
            fragment.upper(),
            f"#{fragment}.",
            fragment[:-1],
            "9" + fragment,
            f" {fragment}&x=1",
        ):
            _same_reading(page, text)


def test_any_text_is_read_alike(visit: Begin, plan_site: PlanSite) -> None:
    page = _open(visit, plan_site)
    texts = st.one_of(
        st.text(max_size=80),
        st.from_regex(NEARLY, fullmatch=True),
    )

    @settings(max_examples=400, deadline=None, suppress_health_check=list(HealthCheck))
    @given(texts)
    def check(text: str) -> None:
        if not any(0xD800 <= ord(sign) <= 0xDFFF for sign in text):
            _same_reading(page, text)

    check()


def test_the_order_suggested_equals_the_generators(visit: Begin, plan_site: PlanSite) -> None:
    page = _open(visit, plan_site)
    page.evaluate("limberleaf.script(limberleaf.data.scripts.make)")
    codes = ["kn-01", "kn-02", "kn-03", "kn-05", "kn-11", "kn-12"]
    page.evaluate("codes => Promise.all(codes.map(limberleaf.load))", codes)
    for chosen in islice(permutations(codes, 4), 0, None, 7):
        positions = [plan_site.library.exercises[code].entry.position for code in chosen]
        found = page.evaluate(
            """async codes => {
                const list = [];
                for (const code of codes) list.push({code, exercise: await limberleaf.load(code)});
                const better = limberleaf.order(list);
                return (better || list).map(one => one.code);
            }""",
            list(chosen),
        )
        best = [chosen[i] for i in suggested(positions)]
        levels = [plan_site.library.exercises[code].entry.position for code in found]
        best_levels = [plan_site.library.exercises[code].entry.position for code in best]
        assert found == best or levels == positions, (chosen, found, best, best_levels)


def test_notes_and_reminders_equal_the_generators(visit: Begin, plan_site: PlanSite) -> None:
    page, plan = _open(visit, plan_site), _plan(plan_site)
    fragment, link = write_fragment(plan), "https://x.example/plan/#1"
    resolved = resolve(plan, plan_site.library, "en")
    titles = {code: plan_site.library.exercises[code].entry.title for code in plan.stop}
    found = page.evaluate(
        """async ([fragment, link]) => {
            const L = limberleaf;
            for (const name of ["make", "calendar"]) await L.script(L.data.scripts[name]);
            const found = await L.resolve(L.read(fragment).plan);
            L.planAddress = () => link;
            const calendar = withLink =>
                L.calendar(L.reminders(found, fragment, "2026-12-03", withLink), "20261125T083000Z");
            return [L.notes(found, link), calendar(true), calendar(false)];
        }""",
        [fragment, link],
    )
    stamp, start = datetime(2026, 11, 25, 8, 30, tzinfo=UTC), date(2026, 12, 3)
    assert found[0] == notes(resolved, WORDS, titles, link)
    assert found[1] == calendar(reminders_of(resolved, WORDS, start, fragment, link), stamp)
    assert found[2] == calendar(reminders_of(resolved, WORDS, start, fragment), stamp)


# --- the patient's page ----------------------------------------------------------------------------------------


def test_the_link_opens_as_the_patients_page(visit: Begin, plan_site: PlanSite) -> None:
    plan = _plan(plan_site)
    page = _open(visit, plan_site, write_fragment(plan), width=390)
    expect(page.locator("h1")).to_have_text("Your exercises")
    resolved = resolve(plan, plan_site.library, "en")
    heads = page.locator(".plan-card h2").all_inner_texts()
    for head, one in zip(heads, resolved.chosen, strict=True):
        assert one.exercise.title in head
    text = page.locator("#plan-body").inner_text()
    for one in resolved.chosen:
        assert spoken(one.dose, one.sides, WORDS) in text
        assert total_line(one.dose, one.sides, WORDS) in text
    assert "right side" in page.locator(".plan-card", has_text="Straighten your knee").inner_text().lower()
    assert page.locator(".plan-star").inner_text() == "If you only do one, do this one: Straighten your knee"
    boxes = resolved.boxes(plan_site.library, "en")
    assert page.locator("#stop-and-help .box").count() == len(boxes)
    for box in boxes:
        section = page.locator(f"#stop-and-help .box.{box.tier}").first.inner_text()
        assert all(sign in section for sign in box.signs if "{" not in sign)
    images = page.locator(".plan-card img").evaluate_all("all => all.map(one => [one.alt, one.naturalWidth])")
    assert all(alt and width for alt, width in images)


def test_what_is_wrong_with_an_old_plan_is_said_and_the_rest_still_stands(
    visit: Begin, plan_site: PlanSite
) -> None:
    picks = (
        Pick("kn-99"),
        Pick("kn-07"),
        Pick("kn-08"),
        Pick("kn-02", "left", 2),
        Pick("kn-01", "left", 1, {"sets": 9}),
    )
    page = _open(visit, plan_site, write_fragment(Plan(picks, 4, ("kn-12",))))
    said = page.locator(".plan-note li").all_inner_texts()
    for start in (
        "KN-99 is not in our library.", "We no longer use KN-07. KN-02 Straighten your knee", "We no longer use KN-08.",
        "KN-02 was changed since", "A number for KN-01 does not fit",
    ):  # fmt: skip
        assert any(line.startswith(start) for line in said), start
    assert page.locator(".plan-card").count() == 2
    assert "KN-12 Roll your ankle" in page.locator(".plan-stop").inner_text()


@pytest.mark.parametrize(("language", "direction"), [("nl", "ltr"), ("ar", "rtl")])
def test_a_plan_in_another_language_says_what_is_not_in_it_yet(
    visit: Begin, plan_site: PlanSite, language: str, direction: str
) -> None:
    fragment = write_fragment(Plan((Pick("kn-02", "left", 3),)))
    page = visit(base=plan_site.url, width=320).open(f"{language}/plan/#{fragment}")
    page.wait_for_function(READY)
    said = interface_words(language).say("plan.remarks.not_in_language", code="KN-02")
    assert page.locator(".plan-note li").all_inner_texts() == [said]
    assert page.locator("html").get_attribute("dir") == direction
    assert page.evaluate("document.documentElement.scrollWidth") <= 320


def test_markup_in_a_title_stays_text(visit: Begin, plan_site: PlanSite) -> None:
    page = _open(visit, plan_site, write_fragment(Plan((Pick("kn-06", "left"),))))
    assert MARKUP in page.locator(".plan-card h2").inner_text()
    assert page.locator(".plan-card b:has-text('up'), #plan-body script").count() == 0


def test_print_and_large_print(visit: Begin, plan_site: PlanSite, tmp_path: Path) -> None:
    """UKAAF: clear print from 12 pt, large print from 16 pt."""
    plan = _plan(plan_site)
    page = _open(visit, plan_site, write_fragment(plan))
    page.get_by_role("button", name="Large print").click()
    expect(page.get_by_role("button", name="Large print")).to_have_attribute("aria-pressed", "true")
    file = tmp_path / "large.pdf"
    page.pdf(path=str(file), format="A4", prefer_css_page_size=True)
    with pdfplumber.open(file) as pdf:
        sizes = [char["size"] for one in pdf.pages for char in one.chars if char["text"].isalpha()]
    assert min(sizes) >= 15.9, min(sizes)


def test_the_printed_plan_carries_a_code_that_an_independent_reader_reads(
    visit: Begin, plan_site: PlanSite, tmp_path: Path
) -> None:
    """ISO/IEC 18004, read by ZXing from the rendered page; a week of boxes to tick stands on it too."""
    plan = _plan(plan_site)
    fragment = write_fragment(plan)
    page = _open(visit, plan_site, fragment)
    page.wait_for_selector("#plan-qr svg")
    file = tmp_path / "plan.pdf"
    page.pdf(path=str(file), format="A4", prefer_css_page_size=True)
    with pdfplumber.open(file) as pdf:
        text = "".join(one.extract_text() for one in pdf.pages)
        codes = [
            code
            for one in pdf.pages
            for code in zxingcpp.read_barcodes(one.to_image(resolution=200).original)
        ]
        widths = [one.width for one in pdf.pages]
    assert [code.text for code in codes] == [f"{plan_site.url}plan/#{fragment}"]
    assert {code.ec_level for code in codes} == {"M"}
    assert widths
    assert "Tick a box each time you do it" in text
    assert all(day in text for day in ("Mon", "Sun"))
    assert page.locator(".plan-chart tbody tr").count() == len(plan.picks)
    assert page.locator(".plan-chart tbody tr").first.locator(".tick").count() >= 7


@pytest.mark.parametrize("length", [1, 14, 15, 60, 106, 120, 180, 213, 280, 362, 450, 600, 666])
def test_codes_of_every_length_are_read_back(visit: Begin, plan_site: PlanSite, length: int) -> None:
    """Around the capacities of level M (ISO/IEC 18004, table 7): 14 bytes in version 1 ... 666 in version 20."""
    page = _open(visit, plan_site)
    text = ("https://exercises.quillmere.example/plan/#" + "1.w6.kn03l3s2r10x" * 60)[:length]
    page.evaluate("limberleaf.script(limberleaf.data.scripts.qr)")
    page.evaluate(
        """text => {
            const svg = limberleaf.qr(text);
            document.body.replaceChildren(svg);
            svg.setAttribute("width", 900);
            svg.setAttribute("height", 900);
        }""",
        text,
    )
    import io

    from PIL import Image

    picture = Image.open(io.BytesIO(page.locator("svg").screenshot()))
    (code,) = zxingcpp.read_barcodes(picture)
    assert (code.text, code.ec_level) == (text, "M")


def test_an_address_too_long_for_a_code_has_none(visit: Begin, plan_site: PlanSite) -> None:
    page = _open(visit, plan_site)
    page.evaluate("limberleaf.script(limberleaf.data.scripts.qr)")
    assert page.evaluate("limberleaf.qr('x'.repeat(667))") is None


def test_the_calendar_file_is_downloaded_and_ends(visit: Begin, plan_site: PlanSite) -> None:
    from icalendar import Calendar

    page = _open(visit, plan_site, write_fragment(_plan(plan_site)))
    page.get_by_text("Reminders in your calendar").click()
    page.get_by_label("First day").fill("2027-03-01")
    with page.expect_download() as waiting:
        page.get_by_role("button", name="Get the calendar file").click()
    text = Path(waiting.value.path()).read_bytes().decode()
    events = Calendar.from_ical(text).walk("VEVENT")
    assert len(events) == 3
    assert all(event["RRULE"]["COUNT"] == [42] for event in events)
    assert "plan/#" not in text.replace("\r\n ", "")


# --- making a plan ---------------------------------------------------------------------------------------------


def _add(page: Page, code: str) -> None:
    page.get_by_label("Code", exact=True).fill(code)
    page.keyboard.press("Enter")
    expect(page.get_by_role("status").filter(has_text="In your plan")).to_be_visible()


def _link(page: Page) -> str:
    return page.locator("#make-link").input_value().partition("#")[2]


def test_a_plan_is_made_by_code_and_handed_over(visit: Begin, plan_site: PlanSite) -> None:
    page = _open(visit, plan_site)
    for code in ("kn-02", "KN 01", "kn03"):
        _add(page, code)
    card = page.locator(".make-card", has_text="Straighten your knee")
    card.get_by_role("radio", name="Left").check()
    card.get_by_label("Repeats").select_option("10")
    card.get_by_role("checkbox", name="If only one").check()
    page.locator(".make-card", has_text="Slide your heel").get_by_role("radio", name="Both in turn").check()
    page.get_by_label("Weeks").select_option("8")
    expect(page.locator("#make-link")).to_have_value(re.compile(r"w8"))
    plan = Plan(
        (
            Pick("kn-02", "left", 3, {"repetitions": 10}, star=True),
            Pick("kn-01", "turn", 1),
            Pick("kn-03", "none", 1),
        ),
        8,
    )
    assert _link(page) == write_fragment(plan)
    assert "KN-01 is a step before another exercise" in page.locator(".plan-note").first.inner_text()
    page.get_by_role("button", name="Put in an easy order").click()
    page.wait_for_function("document.querySelectorAll('.make-card')[1].textContent.includes('KN-02')")
    read = read_fragment(_link(page)).plan
    assert read is not None
    positions = [plan_site.library.exercises[pick.code].entry.position for pick in read.picks]
    assert positions in (["supine", "sitting", "standing"], ["standing", "sitting", "supine"])
    assert page.get_by_role("button", name="Put in an easy order").count() == 0
    page.get_by_role("link", name="See it as the patient does").click()
    expect(page.locator("h1")).to_have_text("Your exercises")
    expect(page.locator(".plan-card")).to_have_count(3)
    page.get_by_role("button", name="Change this plan").click()
    expect(page.locator(".make-card")).to_have_count(3)


def test_what_the_ladder_replaces_is_offered_to_stop(visit: Begin, plan_site: PlanSite) -> None:
    page = _open(visit, plan_site)
    _add(page, "kn-02")
    tick = page.get_by_label("KN-01 Slide your heel")
    expect(tick).to_be_checked()
    assert read_fragment(_link(page)).plan.stop == ("kn-01",)  # type: ignore[union-attr]
    tick.uncheck()
    page.wait_for_function("!document.getElementById('make-link').value.includes('0kn01')")
    _add(page, "kn-12")
    expect(page.get_by_label("KN-01 Slide your heel")).not_to_be_checked()


def test_more_than_four_and_six_exercises_warn_with_their_source(visit: Begin, plan_site: PlanSite) -> None:
    page = _open(visit, plan_site)
    codes = ["kn-01", "kn-02", "kn-03", "kn-04", "kn-05", "kn-06", "kn-10"]
    for number, code in enumerate(codes, 1):
        _add(page, code)
        expect(page.locator(".make-card")).to_have_count(number)
        notes = " ".join(page.locator(".plan-note").all_inner_texts())
        assert ("Eckard 2015" in notes) == (number > 4)
        assert ("Leave out what can wait" in notes) == (number > 6)


def test_a_dose_can_only_be_set_within_what_the_entry_allows(visit: Begin, plan_site: PlanSite) -> None:
    page = _open(visit, plan_site)
    _add(page, "kn-02")
    options = page.locator("#pick-0-days_a_week option").all_inner_texts()
    assert options == ["3 (usual)", "1", "2"]
    assert page.locator("#pick-0-duration").count() == 0


def test_unknown_codes_and_doubles_are_told(visit: Begin, plan_site: PlanSite) -> None:
    page = _open(visit, plan_site)
    for typed in ("kn-99", "<img src=x onerror=alert(1)>", "kn-07", "", "../../x"):
        page.get_by_label("Code", exact=True).fill(typed)
        page.keyboard.press("Enter")
        expect(page.get_by_role("status").filter(has_text="There is no exercise")).to_be_visible()
        page.reload()
        page.wait_for_function(READY)
    _add(page, "kn-04")
    page.get_by_label("Code", exact=True).fill("kn-04")
    page.keyboard.press("Enter")
    expect(page.get_by_role("status").filter(has_text="KN-04 is in the plan")).to_be_visible()


def test_everything_works_with_the_keyboard_alone(visit: Begin, plan_site: PlanSite) -> None:
    page = _open(visit, plan_site)
    for code in ("kn-04", "kn-05"):
        _add(page, code)
    page.locator("#pick-1-up").focus()
    page.keyboard.press("Enter")
    page.wait_for_function("document.querySelector('.make-card').textContent.includes('KN-05')")
    focused = page.evaluate("document.activeElement.id")
    assert focused in ("pick-0-down", "pick-0-up")
    page.locator("#pick-0-remove").focus()
    page.keyboard.press("Space")
    expect(page.locator(".make-card")).to_have_count(1)
    expect(page.get_by_role("status").filter(has_text="Lie and rest was taken out.")).to_be_visible()
    assert page.evaluate("document.activeElement.id") == "pick-0-remove"


def test_exercises_are_added_while_browsing_and_kept_in_this_tab_only(
    visit: Begin, plan_site: PlanSite
) -> None:
    one = visit(base=plan_site.url)
    page = one.open("kn-02/left/")
    page.get_by_role("button", name="Add to plan").click()
    expect(page.get_by_role("button", name="In your plan")).to_have_attribute("aria-pressed", "true")
    page = one.open("")
    page.get_by_role("button", name="Add to plan: Stretch your calf").first.click()
    page.get_by_role("link", name="Open the plan (2)").click()
    page.wait_for_selector(".make-card")
    plan = read_fragment(_link(page)).plan
    assert plan is not None
    assert [(pick.code, pick.side, pick.version) for pick in plan.picks] == [
        ("kn-02", "left", 3),
        ("kn-03", "none", 1),
    ]
    assert page.evaluate("[localStorage.length, document.cookie]") == [0, ""]
    other = page.context.new_page()
    other.goto(plan_site.url + "plan/")
    other.wait_for_function(READY)
    assert other.locator(".make-card").count() == 0
    other.close()


# --- hostile links ---------------------------------------------------------------------------------------------


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


def test_hundreds_of_hostile_links_run_nothing_and_hang_nothing(visit: Begin, plan_site: PlanSite) -> None:
    page = _open(visit, plan_site)
    dialogs: list[str] = []
    page.on("dialog", lambda dialog: (dialogs.append(dialog.message), dialog.dismiss()))
    texts = hostile()
    assert len(texts) > 300
    slow = page.evaluate(
        """async texts => {
            const slow = [], wait = time => new Promise(done => setTimeout(done, time));
            for (const text of texts) {
                const start = performance.now();
                location.hash = "#" + text;
                await wait(0);
                const shown = () => document.querySelector("#plan-body > :not([role=status])");
                for (let i = 0; i < 200 && !shown(); i++) await wait(5);
                const body = document.getElementById("plan-body");
                if (performance.now() - start > 2000) slow.push(text.slice(0, 60));
                if (!body.textContent.trim()) slow.push("empty: " + text.slice(0, 60));
                if (body.querySelector("script, iframe, [onerror], [onload]")) slow.push("markup: " + text);
            }
            return slow;
        }""",
        texts,
    )
    assert slow == []
    assert dialogs == []


@pytest.mark.parametrize("fragment", ["1.w6.kn01l1", "7.x.y", "<b>", "1." * 2000, "main"])
def test_a_bad_link_has_a_plain_message_and_a_way_on(
    visit: Begin, plan_site: PlanSite, fragment: str
) -> None:
    page = _open(visit, plan_site, fragment)
    assert page.get_by_role("alert").count() == 1
    assert page.locator(".record a[href^='tel:']").count() >= 1
    assert page.locator(".plan-card").count() == 0


def test_damaged_draft_is_forgotten(visit: Begin, plan_site: PlanSite) -> None:
    page = _open(visit, plan_site)
    for text in ("<script>", "1.w6.kn01l1.ffff", "", "\u0000", "null"):
        page.evaluate("text => sessionStorage.setItem('limberleaf.plan', text)", text)
        page.reload()
        page.wait_for_function(READY)
        assert page.locator(".make-card").count() == 0


# --- every way in ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("width", [320, 390, 1280])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_nothing_and_nothing_scrolls_sideways(
    visit: Begin, plan_site: PlanSite, width: int, scheme: str
) -> None:
    fragment = write_fragment(_plan(plan_site))
    page = _open(visit, plan_site, fragment, width=width, color_scheme=scheme)
    states: list[Callable[[], object]] = [
        lambda: page.get_by_text("Reminders in your calendar").click(),
        lambda: page.get_by_role("button", name="Change this plan").click(),
        lambda: page.evaluate("location.hash = '#1.w6.broken'"),
    ]
    axe = Axe()
    for number, state in enumerate([lambda: None, *states]):
        state()
        page.wait_for_timeout(300)
        violations = axe.run(page, options=RULES).response["violations"]
        found = [(v["id"], v["nodes"][0]["target"], v["nodes"][0]["failureSummary"]) for v in violations]
        assert found == [], number
        assert page.evaluate("document.documentElement.scrollWidth") <= width, number


def test_a_thumb_can_hit_every_control(visit: Begin, plan_site: PlanSite) -> None:
    page = _open(visit, plan_site, write_fragment(_plan(plan_site)), width=390)
    for step in (lambda: None, lambda: page.get_by_role("button", name="Change this plan").click()):
        step()
        page.wait_for_timeout(300)
        small = page.evaluate(
            """controls => [...document.querySelectorAll(controls)]
                .map(one => [one.textContent.trim().slice(0, 30), one.getBoundingClientRect()])
                .filter(([, box]) => box.width > 0 && (box.height < 43.5 || box.width < 43.5))
                .map(([name, box]) => [name, box.width, box.height])""",
            "main button, main select, main summary, main .button, .make-side label, .star, .make-stop label",
        )
        assert small == []


def test_the_page_stands_without_a_script(visit: Begin, plan_site: PlanSite) -> None:
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
        _add(page, "kn-02")
    page.wait_for_timeout(500)
    names = {url.split("/")[-1].split("?")[0] for url in loaded if "/assets/" in url}
    data = {name for name in names if re.fullmatch(r"(plan|finder)-(en|nl|ar)\.js", name)}
    size = sum(
        len(gzip.compress((plan_site.folder / "assets" / name).read_bytes(), 9)) for name in names - data
    )
    assert size < SCRIPT_LIMIT, (size, sorted(names))


def test_a_copy_on_a_disk_works_alike(visit: Begin, plan_site: PlanSite, tmp_path: Path) -> None:
    write_site(plan_site.library, tmp_path, name_files=True)
    fragment = write_fragment(_plan(plan_site))
    one = visit(base=f"file://{tmp_path}/")
    page = one.open(f"plan/index.html#{fragment}")
    expect(page.locator(".plan-card")).to_have_count(4)
    assert all(page.locator(".plan-card img").evaluate_all("all => all.map(one => one.naturalWidth > 0)"))
    assert "https://" in page.evaluate(f"limberleaf.planAddress('{fragment}')")
    page.get_by_role("link", name="Follow along").click()
    expect(page.locator("#follow-main")).to_have_text("Begin")
    page.goto(f"file://{tmp_path}/kn-02/left/index.html")
    page.get_by_role("button", name="Add to plan").click()
    page.get_by_role("link", name="Open the plan").click()
    expect(page.locator(".make-card")).to_have_count(1)
