"""The plan page as the patient has it, in Chromium: read, printed, scanned, kept in a calendar, in three languages."""

from __future__ import annotations

import io
import re
from datetime import date
from pathlib import Path

import pdfplumber
import pytest
import zxingcpp
from browser.conftest import Quiet, address_of, pictures, serve
from browser.plan_help import READY, Begin, four_picks, open_plan
from browser.plan_site import PlanSite
from icalendar import Calendar
from PIL import Image
from plan.sample import DUTCH_CAUTIONS, MARKUP
from playwright.sync_api import expect

from limberleaf.clinical.dosage.dose import spoken, total_line
from limberleaf.clinical.placeholder_values import placeholders_for
from limberleaf.library.text import fill
from limberleaf.plan import Pick, Plan, resolve, write_fragment
from limberleaf.words import interface_words

pytestmark = pytest.mark.browser

WORDS = interface_words("en")


def test_the_link_opens_as_the_patients_page(visit: Begin, plan_site: PlanSite) -> None:
    plan = four_picks(plan_site)
    page = open_plan(visit, plan_site, write_fragment(plan), width=390)
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
    assert page.locator(".plan-star").inner_text() == (
        "If you only do one, do this one: Straighten your knee (right side)"
    )
    boxes = resolved.boxes(plan_site.library, "en")
    placeholders = placeholders_for(plan_site.library, None, None, "en")
    assert page.locator("#stop-and-help .box").count() == len(boxes)
    for box in boxes:
        section = page.locator(f"#stop-and-help .box.{box.tier}").first.inner_text()
        shown = " ".join(section.split())
        assert all(fill(text, placeholders).plain in shown for text in (*box.signs, box.action))
    assert all(alt and width for alt, width in pictures(page.locator(".plan-card img")))


@pytest.mark.parametrize("hold", [1, 5])
def test_a_changed_dose_is_the_same_number_on_every_line(
    visit: Begin, plan_site: PlanSite, hold: int
) -> None:
    changes = {"hold": hold, "sets": 2, "repetitions": 10}
    page = open_plan(visit, plan_site, write_fragment(Plan((Pick("kn-02", "left", 3, changes),))))
    steps = page.locator(".plan-card .steps").last.locator("li").all_inner_texts()
    time = "1 second" if hold == 1 else "5 seconds"
    assert steps[1:] == [f"Count to {hold}.", f"10 times, and hold each for {time}."]
    assert f"Hold each one for {time}." in page.locator(".plan-card").inner_text()


def test_what_is_wrong_with_an_old_plan_is_reported_and_the_rest_still_works(
    visit: Begin, plan_site: PlanSite
) -> None:
    picks = (
        Pick("kn-99"),
        Pick("kn-07"),
        Pick("kn-08"),
        Pick("kn-02", "left", 2),
        Pick("kn-01", "left", 1, {"sets": 9}),
    )
    page = open_plan(visit, plan_site, write_fragment(Plan(picks, 4, ("kn-12",))))
    notes = page.locator(".plan-note li").all_inner_texts()
    for start in (
        "KN-99 is not in our library.", "We no longer use KN-07. KN-02 Straighten your knee", "We no longer use KN-08.",
        "KN-02: its words were changed on 1 September 2026", "A number for KN-01 does not fit",
    ):  # fmt: skip
        assert any(line.startswith(start) for line in notes), start
    assert page.locator(".plan-card").count() == 2
    assert "KN-12 Roll your ankle" in page.locator(".plan-stop").inner_text()


@pytest.mark.parametrize(
    ("language", "direction", "main"), [("nl", "ltr", "Engels"), ("ar", "rtl", "الإنجليزية")]
)
def test_what_is_not_in_a_language_yet_is_shown_in_the_main_one_and_says_so(
    visit: Begin, plan_site: PlanSite, language: str, direction: str, main: str
) -> None:
    """Languages are named as CLDR names them in the reader's own."""
    fragment = write_fragment(Plan((Pick("kn-02", "left", 3, {"hold": 5}),)))
    page = visit(base=plan_site.url, width=320).open(f"{language}/plan/#{fragment}")
    page.wait_for_function(READY)
    note = interface_words(language).say("plan.remarks.in_main_language", n=1, code="KN-02", language=main)
    assert page.locator(".plan-note li").all_inner_texts() == [note]
    card, words = page.locator(".plan-card"), interface_words(language)
    for text in ("Straighten your knee", "Count to 5."):  # what is written in the main language says so
        place = card.get_by_text(text)
        assert place.evaluate("one => one.closest('[lang]').lang") == "en"
        assert place.evaluate("one => getComputedStyle(one).direction") == "ltr"
    assert card.get_by_text(text).evaluate("one => one.textContent") == "Count to 5."
    (chosen,) = resolve(Plan((Pick("kn-02", "left", 3, {"hold": 5}),)), plan_site.library, "en").chosen
    dose = card.get_by_text(
        spoken(chosen.dose, chosen.sides, words)
    )  # what the program says is in the reader's
    assert dose.evaluate("one => one.closest('[lang]').lang") == language
    heads = card.locator("h3").all_inner_texts()
    assert heads == [words.say(f"plan.{name}") for name in ("how_much", "ready", "do", "stop", "leave")]
    assert card.locator(".facts-line").first.inner_text() == words.lookup("positions")["sitting"]
    assert card.locator(".plan-note").inner_text() == words.say("plan.foreign", language=main)
    assert page.locator("html").get_attribute("dir") == direction
    assert page.evaluate("document.documentElement.scrollWidth") <= 320


def test_safety_is_in_the_readers_language_though_the_exercise_is_not(
    visit: Begin, plan_site: PlanSite
) -> None:
    fragment = write_fragment(Plan((Pick("kn-02", "left", 3),)))
    page = visit(base=plan_site.url, width=390).open(f"nl/plan/#{fragment}")
    page.wait_for_function(READY)
    boxes = page.locator("#stop-and-help .box")
    titles = [f"{title}: bij deze klachten {when} hulp" for when, (_, title, _) in zip(
        ("nu", "vandaag"), DUTCH_CAUTIONS, strict=True)]  # fmt: skip
    assert boxes.locator("h3").all_inner_texts() == titles
    assert boxes.locator("li").all_inner_texts() == [sign for _, _, sign in DUTCH_CAUTIONS]


def test_what_is_for_today_stands_first_in_the_language_it_is_in(visit: Begin, plan_site: PlanSite) -> None:
    """26 November 2026 is a Thursday (a calendar)."""
    picks = (Pick("kn-01", "left"), Pick("kn-02", "left", 3), Pick("kn-12", "left"))
    fragment = write_fragment(Plan(picks, days=(1, 3, 5), stop=("kn-06",)))
    one = visit(base=plan_site.url)
    one.page.clock.set_fixed_time("2026-11-26T09:00:00")
    page = one.open(f"plan/#{fragment}")
    today = page.locator(".plan-today")
    expect(today.locator("h2")).to_have_text("Today, Thursday, 26 November 2026")
    assert [line.split(":")[0] for line in today.locator("li").all_inner_texts()] == [
        "Slide your heel (left side)", "Roll your ankle (left side)",
    ]  # fmt: skip
    expect(today).to_contain_text(
        "Not for today: Straighten your knee (left side), Monday, Wednesday, Friday."
    )
    page.emulate_media(media="print")
    expect(today).to_be_hidden()  # paper is read on other days too
    page.emulate_media(media="screen")
    page.clock.set_fixed_time("2026-11-27T09:00:00")
    page.evaluate("dispatchEvent(new Event('pageshow'))")  # opened again the next morning
    expect(today.locator("h2")).to_have_text("Today, Friday, 27 November 2026")
    expect(today.locator("li")).to_have_count(3)
    page = one.open(f"nl/plan/#{fragment}")
    expect(today.locator("li")).to_have_count(3)
    expect(today.locator("h2")).to_have_text("Vandaag, vrijdag 27 november 2026")
    for place in (".plan-today li span span", ".plan-stop s span", ".plan-chart th span span"):
        assert set(page.locator(place).evaluate_all("list => list.map(one => one.lang)")) == {"en"}, place
    codes = "KN-01, KN-02, KN-12 zijn er nog niet in uw taal."
    assert page.locator(".plan-note li").all_inner_texts()[0].startswith(codes)


def test_a_row_of_days_has_the_signs_of_its_script(visit: Begin, plan_site: PlanSite) -> None:
    """Arabic has a comma and a semicolon of its own (Unicode, U+060C and U+061B)."""
    plan = Plan((Pick("kn-02", "left", 3), Pick("kn-10")), days=(1, 3, 5))
    one = visit(base=plan_site.url)
    one.page.clock.set_fixed_time("2026-11-26T09:00:00")
    page = one.open(f"ar/plan/#{write_fragment(plan)}")
    line = page.locator(".plan-today p").filter(has_text="Straighten your knee")
    expect(line).to_contain_text("الاثنين، الأربعاء، الجمعة؛ Walk on the spot، الاثنين")
    expect(line).not_to_contain_text(re.compile("[,;]"))


def test_without_chosen_days_today_has_what_is_for_every_day(visit: Begin, plan_site: PlanSite) -> None:
    page = open_plan(
        visit, plan_site, write_fragment(Plan((Pick("kn-12", "left"), Pick("kn-02", "left", 3)), 4))
    )
    today = page.locator(".plan-today")
    assert [line.split(":")[0] for line in today.locator("li").all_inner_texts()] == [
        "Roll your ankle (left side)"
    ]
    expect(today).to_contain_text(
        "On days that you choose: Straighten your knee (left side), on 3 days a week."
    )
    expect(today).to_contain_text("When the 4 weeks are over, ask us how to go on.")
    expect(page.locator(".plan-week .hint")).to_be_hidden()  # it is about the boxes of the printed chart


def test_after_the_day_of_the_review_nothing_is_for_today(visit: Begin, plan_site: PlanSite) -> None:
    plan = Plan((Pick("kn-12", "left"),), days=(1, 4), review=date(2027, 1, 11))
    one = visit(base=plan_site.url)
    one.page.clock.set_fixed_time("2027-01-11T09:00:00")
    page = one.open(f"plan/#{write_fragment(plan)}")
    today, words = page.locator(".plan-today"), page.locator(".plan-words").last
    expect(today.locator("li")).to_have_count(1)
    expect(words).to_contain_text("We look at this plan together on Monday, 11 January 2027.")
    page.clock.set_fixed_time("2027-01-12T09:00:00")
    said = (
        "We were to look at this plan together on Monday, 11 January 2027. Ask us before you go on with it."
    )
    page.evaluate("dispatchEvent(new Event('pageshow'))")  # it stood open over night
    expect(today).to_contain_text(said)
    expect(page.locator("#plan-body").get_by_text("We look at this plan")).to_be_hidden()
    page.reload()
    expect(today).to_contain_text(said)
    expect(today.locator("li")).to_have_count(0)
    expect(page.locator("#plan-body")).not_to_contain_text("We look at this plan")
    page.get_by_role("link", name="Follow along").first.click()
    expect(page.locator("#follow-body .plan-note").first).to_have_text(said)


def test_markup_in_a_title_stays_text(visit: Begin, plan_site: PlanSite) -> None:
    page = open_plan(visit, plan_site, write_fragment(Plan((Pick("kn-06", "left"),))))
    assert MARKUP in page.locator(".plan-card h2").inner_text()
    assert page.locator(".plan-card b:has-text('up'), #plan-body script").count() == 0


def test_print_and_large_print(visit: Begin, plan_site: PlanSite, tmp_path: Path) -> None:
    """UKAAF: clear print from 12 pt, large print from 16 pt."""
    plan = four_picks(plan_site)
    page = open_plan(visit, plan_site, write_fragment(plan))
    page.get_by_role("button", name="Large print").click()
    expect(page.get_by_role("button", name="Large print")).to_have_attribute("aria-pressed", "true")
    file = tmp_path / "large.pdf"
    page.pdf(path=str(file), format="A4", prefer_css_page_size=True)
    with pdfplumber.open(file) as pdf:
        sizes = [char["size"] for one in pdf.pages for char in one.chars if char["text"].isalpha()]
        texts = [" ".join(one.extract_text().split()) for one in pdf.pages]
    assert min(sizes) >= 15.9, min(sizes)
    for one in page.locator(
        ".plan-card .dose, .plan-card .total, .plan-card .steps li, .plan-rules li"
    ).all():
        words = " ".join((one.text_content() or "").split())
        assert any(words in text for text in texts), f"torn over two pages: {words}"


def test_the_printed_plan_carries_a_code_that_an_independent_reader_reads(
    visit: Begin, plan_site: PlanSite, tmp_path: Path
) -> None:
    """ISO/IEC 18004, read by ZXing from the rendered page; a week of boxes to tick stands on it too."""
    plan = four_picks(plan_site)
    fragment = write_fragment(plan)
    page = open_plan(visit, plan_site, fragment)
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
    page = open_plan(visit, plan_site)
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
    picture = Image.open(io.BytesIO(page.locator("svg").screenshot()))
    (code,) = zxingcpp.read_barcodes(picture)
    assert (code.text, code.ec_level) == (text, "M")


def test_an_address_too_long_for_a_code_has_none(visit: Begin, plan_site: PlanSite) -> None:
    page = open_plan(visit, plan_site)
    page.evaluate("limberleaf.script(limberleaf.data.scripts.qr)")
    assert page.evaluate("limberleaf.qr('x'.repeat(667))") is None


def test_the_calendar_file_is_downloaded_and_ends(visit: Begin, plan_site: PlanSite) -> None:
    page = open_plan(visit, plan_site, write_fragment(four_picks(plan_site)))
    page.get_by_text("Reminders in your calendar").click()
    page.get_by_label("First day").fill("2027-03-01")
    expect(page.get_by_label("Last day")).to_have_value("2027-04-11")
    page.get_by_label("Time of day 1").fill("07:30")
    with page.expect_download() as waiting:
        page.get_by_role("button", name="Get the calendar file").click()
    text = Path(waiting.value.path()).read_bytes().decode()
    events = Calendar.from_ical(text).walk("VEVENT")
    days = {str(event["DTSTART"].dt.time())[:5]: 0 for event in events}
    for event in events:
        days[str(event["DTSTART"].dt.time())[:5]] += event["RRULE"]["COUNT"][0]
    assert days == {"07:30": 42, "14:00": 42, "19:00": 42}  # kn-01 is done 3 times a day, on every day
    assert "plan/#" not in text.replace("\r\n ", "")


def test_an_exercise_opened_from_a_plan_has_the_plans_dose_and_a_way_back(
    visit: Begin, plan_site: PlanSite
) -> None:
    fragment = write_fragment(Plan((Pick("kn-02", "left", 3, {"hold": 5, "sets": 2, "repetitions": 10}),)))
    page = open_plan(visit, plan_site, fragment)
    expect(page.locator(".plan-card .sign").first).to_have_text("5 seconds")
    page.locator(".plan-card .whole a").click()
    note = page.locator(".own-dose")
    expect(note).to_contain_text(
        "changed this for you. Do 2 sets of 10. Hold each one for 5 seconds.", timeout=30_000
    )
    text = page.locator("article").inner_text()
    assert "Count to 5." in text
    assert "10 times, and hold each for 5 seconds." in text
    assert "3 seconds." not in text
    sign = page.get_by_role("img", name="Hold for 5 seconds.")
    assert sign.inner_text().strip() == "5 seconds"
    assert page.locator(".cells b").first.inner_text() == "2"
    note.get_by_role("link", name="Back to your plan").click()
    page.wait_for_function(READY)
    assert address_of(page).endswith("#" + fragment)


def test_the_server_sees_pages_and_pictures_and_nothing_of_the_plan(
    visit: Begin, plan_site: PlanSite
) -> None:
    """What comes over the wire, as any host can log it (RFC 9110 section 4.2.4: no fragment is sent)."""
    asked: list[tuple[str, str]] = []

    class Logging(Quiet):
        def parse_request(self) -> bool:
            whole = super().parse_request()
            asked.append((self.requestline, str(self.headers)))
            return whole

    server, address = serve(plan_site.folder, Logging)
    page = visit(base=address).page
    fragment = write_fragment(Plan((Pick("kn-02", "left", 3, {"hold": 5}), Pick("kn-03", version=1)), 4))
    page.goto(f"{address}plan/#{fragment}")
    page.locator(".plan-card").nth(1).wait_for()
    page.wait_for_load_state("networkidle")
    server.shutdown()
    assert any("kn-02/plan.js" in line for line, _ in asked)
    for secret in (fragment, "h5", "kn02l", "w4", "referer"):
        assert [one for one in asked if secret in f"{one[0]} {one[1]}".lower()] == [], secret
    assert {line.split(maxsplit=1)[0] for line, _ in asked} == {"GET"}
    assert all("?" not in line.replace("?v=", "") for line, _ in asked)


def test_what_must_not_be_lost_is_on_the_plan_too(visit: Begin, plan_site: PlanSite) -> None:
    page = open_plan(visit, plan_site, write_fragment(Plan((Pick("kn-05"),))))
    card = page.locator(".plan-card").inner_text()
    assert "Only do this one when your physiotherapist has told you that you may." in card
    assert "Ease off: Pain of 3 to 5 out of 10" in card
    assert "Do fewer repeats, or a smaller movement." in card
