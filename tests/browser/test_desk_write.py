"""Writing at the desk in Chromium: an exercise from nothing to a published page, without a text editor."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from browser.axe import RULES_OF_COLOUR, findings
from browser.conftest import Visit, settled
from desk.hard_library import ENTRY, write_starter
from playwright.sync_api import Page, Response, expect
from serving import desk_running

from limberleaf.clinical.governance.approval import lock_text
from limberleaf.library import load_library

pytestmark = pytest.mark.browser

EDIT = "write/edit.html#exercises/knee/kn-02.yml"


@pytest.fixture(scope="module")
def library(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A starter library of its own, its approvals recorded, without a history."""
    folder = tmp_path_factory.mktemp("write")
    write_starter(folder)
    content = folder / "content"
    clinic = (content / "clinic.yml").read_text("utf-8")
    (content / "clinic.yml").write_text(
        clinic.replace("reminder: 3 months}", "reminder: 3 months, approvers: [Clinical lead]}"), "utf-8"
    )
    (content / "approved.lock").write_text(lock_text(load_library(content), None), "utf-8")
    return folder


@pytest.fixture(scope="module")
def start_address(library: Path) -> Iterator[str]:
    """The start address of `limberleaf desk` over it."""
    with desk_running(library) as desk:
        yield desk.start


@pytest.fixture
def at_desk(visit: Callable[..., Visit], start_address: str) -> Callable[..., Page]:
    """Open a page of the desk by its start address: `at_desk("write/index.html", width=390)`."""

    def open_page(path: str = "", **options: Any) -> Page:
        one = visit(base=start_address.partition("?")[0], **options)
        one.page.goto(start_address)
        return one.open(path)

    return open_page


def saved(page: Page) -> None:
    """Save, and wait until the page says so: what it says of the last save goes with the next letter typed."""
    expect(page.locator(".write-bar .next")).to_be_empty()
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.locator(".write-bar .next a")).to_be_visible()
    expect(page.locator(".save-state")).to_contain_text(re.compile(r"^Saved"))


@contextmanager
def looked_at(page: Page, field: str, words: str) -> Iterator[None]:
    """Type words into a field inside, and wait until the desk has looked at all with them once the hand rests.

    The look that a page asks for when it opens does not count: it is of other words.
    """

    def of_these_words(answer: Response) -> bool:
        if not answer.url.endswith("ask/look"):
            return False
        asked = answer.request.post_data_json
        return bool(asked["whole"]) and words in str(asked["value"].get(field))

    expect(page.locator(".save-state")).not_to_be_empty()
    with page.expect_response(of_these_words):
        yield
    settled(page)


def fill(page: Page, where: str, text: str) -> None:
    page.locator(f'.area[data-text="{where}"] textarea').fill(text)


def lines(page: Page, where: str, texts: list[str]) -> None:
    """Write a list by keyboard: the button for the first line, Enter for the others."""
    field = page.locator(f'.field[data-loc="{where}"]')
    field.locator(".add").click()
    for index, text in enumerate(texts):
        if index:
            page.keyboard.press("Enter")
        page.locator(f'.area[data-text="{where}/{index}"] textarea').fill(text)
        expect(page.locator(f'.area[data-text="{where}/{index}"] textarea')).to_be_focused()


def test_an_exercise_is_written_from_nothing_to_a_published_page(  # noqa: PLR0915 - one story, told in order
    at_desk: Callable[..., Page], library: Path
) -> None:
    before = {file: file.read_bytes() for file in (library / "content").rglob("*.yml")}
    page = at_desk("write/index.html", width=1440)
    page.get_by_label("Part of the body").select_option(label="Knee")
    page.get_by_label("Title").fill("Let your foot slide back")
    expect(page.get_by_label("Code or name")).to_have_value("kn-03")
    page.get_by_role("button", name="Begin").click()

    expect(page.locator("h1")).to_have_text("Let your foot slide back")
    fill(page, "aim", "Help your knee to bend, so that chairs feel easier.")
    page.get_by_label("What it trains").select_option(label="Mobility")
    page.get_by_label("Sides", exact=True).select_option(label="One side only (a left and a right page)")
    page.locator('.field[data-loc="position"]').get_by_role("button").click()
    page.get_by_role("button", name="Sitting", exact=True).click()
    lines(page, "suits", ["You can sit on a chair."])
    lines(page, "leave_out_if", ["Your knee is hot, red and swollen."])
    page.locator('.field[data-loc="equipment"] .add').click()
    page.locator('.field[data-loc="equipment/0/item"] select').select_option("chair")
    lines(page, "setup", ["Sit tall on a firm chair.", "Put both feet flat on the floor."])
    lines(page, "steps", ["Slide your {affected} foot back.", "Slide your foot forward again."])
    lines(
        page,
        "in_short",
        ["Sit tall.", "Foot back, foot forward.", "{sets} of {repetitions_count}, {times_a_day}."],
    )
    for name, value in (("Sets", "2"), ("Repeats", "10"), ("Times a day", "2"), ("Days a week", "7")):
        page.locator('.field[data-loc="dose"]').get_by_label(re.compile(f"^{name}")).first.fill(value)
    lines(page, "feelings/fine", ["Your knee feels tight."])
    lines(page, "feelings/ease_off", ["Knee pain goes above {acceptable_pain} out of 10."])
    lines(page, "feelings/stop", ["You feel a sharp pain in your knee.", "Your knee gives way."])
    easier = page.locator('.field[data-loc="easier"]')
    easier.get_by_role("button", name="Add: easier").click()
    easier.get_by_label("Exercise").fill("kn-01")
    expect(easier.locator(".picked")).not_to_be_empty()
    fill(page, "easier/when", "Your knee will not bend at all.")

    pose = page.locator(".posing")
    pose.get_by_label("Caption of panel 1").fill("Sit tall. Put both feet flat.")
    pose.get_by_role("button", name="Add a panel").click()
    expect(pose.get_by_role("button", name="Panel 2")).to_have_attribute("aria-pressed", "true")
    pose.locator("summary", has_text="Affected leg").click()
    slider = pose.get_by_label("Knee: straighten / bend").first
    slider.focus()
    for _ in range(4):
        page.keyboard.press("ArrowRight")
    expect(pose.locator(".slider.is-stated output")).to_contain_text("bend")
    pose.get_by_label("Caption of panel 2").fill("Slide your {affected} foot back.")
    page.locator('.field[data-loc="sources"] .add').click()
    fill(page, "sources/0/claim", "dose")
    fill(page, "sources/0/cite", "Common practice in physiotherapy leaflets")
    page.locator('.field[data-loc="sources/0/status"] select').select_option("common_practice")

    assert {file: file.read_bytes() for file in (library / "content").rglob("*.yml")} == before, (
        "a draft is no file"
    )
    expect(page.frame_locator(".phone").locator("h1")).to_contain_text("Let your foot slide back")
    saved(page)
    text = (library / "content/exercises/knee/kn-03.yml").read_text("utf-8")
    assert "status: draft" in text
    assert re.search(r"joints: \{affected: \{knee: \{flexion: \d+\}\}\}", text)
    assert "  - Slide your {affected} foot back.\n" in text

    page.get_by_role("button", name="Approve", exact=True).click()
    sheet = page.get_by_role("dialog")
    expect(sheet).to_contain_text("never approved before")
    sheet.get_by_label("I have read the whole page").check()
    sheet.get_by_label("Your role").select_option("Clinical lead")
    sheet.get_by_role("button", name="Approve", exact=True).click()
    expect(page.get_by_role("dialog")).to_contain_text("Approved by Clinical lead, and recorded.")
    assert "status: approved" in (library / "content/exercises/knee/kn-03.yml").read_text("utf-8")
    assert "\nexercises/kn-03 1 " in (library / "content/approved.lock").read_text("utf-8")

    page.get_by_role("dialog").get_by_role("button", name="Publish").click()
    expect(page.get_by_role("dialog")).to_contain_text("Published.", timeout=240_000)
    published = (library / "site/kn-03/index.html").read_text("utf-8")
    assert "Slide your" in published
    assert {file for file in before if file.read_bytes() != before[file]} == set(), (
        "no other entry was touched"
    )


def test_findings_marks_and_easier_words_stand_beside_the_field(at_desk: Callable[..., Page]) -> None:
    page = at_desk(EDIT)
    aim = page.locator('.field[data-loc="aim"]')
    with looked_at(page, "aim", "Utilise this one"):
        aim.locator("textarea").fill("Utilise this one on stairs.")
    expect(aim.locator(".note-here")).to_contain_text("Utilise")
    expect(aim.locator("mark")).to_have_text("Utilise")
    aim.get_by_role("button", name="Use “Use”").click()
    expect(aim.locator("textarea")).to_have_value("Use this one on stairs.")
    expect(aim.locator("mark")).to_have_count(0)
    expect(page.frame_locator(".phone").locator("main")).to_contain_text("Use this one on stairs.")
    page.get_by_role("button", name="Undo").click()
    expect(aim.locator("textarea")).not_to_have_value("Use this one on stairs.")
    page.get_by_role("button", name="Redo").click()
    expect(aim.locator("textarea")).to_have_value("Use this one on stairs.")
    expect(page.locator(".standing")).to_contain_text("Changed since its approval")


@pytest.mark.parametrize("by", ["mouse", "keyboard"])
def test_a_press_is_not_lost_when_an_answer_comes_in_the_middle_of_it(
    at_desk: Callable[..., Page], by: str
) -> None:
    """The answer puts a line above the button, and takes the button's own away: both wait for the release."""
    page = at_desk(EDIT)
    aim = page.locator('.field[data-loc="aim"]')
    with looked_at(page, "aim", "Utilise this one"):
        aim.locator("textarea").fill("Utilise this one on stairs.")
    use = aim.get_by_role("button", name="Use “Use”")
    page.evaluate(
        """() => {
            const reached = window.fetch, come = new Promise((done) => { window.letCome = done; });
            window.fetch = async (...asked) => { const answer = await reached(...asked); await come; return answer; };
        }"""
    )
    title = page.locator('.area[data-text="title"] textarea')
    with page.expect_response(lambda one: one.url.endswith("look") and one.request.post_data_json["whole"]):
        title.fill("")
        title.blur()
    expect(page.locator(".area + .blanks")).to_have_count(0)
    use.hover()
    if by == "mouse":
        page.mouse.down()
    else:
        use.focus()
        page.keyboard.down("Space")
    page.evaluate("() => window.letCome()")
    settled(page)
    assert aim.locator("textarea").input_value() == "Utilise this one on stairs."
    if by == "mouse":
        page.mouse.up()
    else:
        page.keyboard.up("Space")
    expect(aim.locator("textarea")).to_have_value("Use this one on stairs.")
    expect(page.locator('.field[data-loc="title"] .note-here').first).to_be_visible()


def test_what_is_open_is_counted_and_leads_to_its_field(at_desk: Callable[..., Page]) -> None:
    page = at_desk(EDIT)
    count, step = page.locator(".open-count"), page.locator('.area[data-text="steps/0"] textarea')
    expect(count).to_have_text("Nothing is open.")
    words = step.input_value()
    step.fill("Utilise  it")
    step.blur()
    expect(step).to_have_value("Utilise it")
    expect(page.locator(".squeezed")).to_have_text("Two spaces were made one.")
    with looked_at(page, "dose", "1 min"):
        page.locator('.field[data-loc="dose"]').get_by_label(re.compile("^Rest between sets")).fill("1 min")
    expect(count).to_contain_text(re.compile(r"^1 to look at · 1 to consider|to fix"))
    count.click()
    page.get_by_role("button", name=re.compile("Rest between sets")).click()
    expect(page.locator('.field[data-loc="dose/rest"] input')).to_be_focused()
    expect(page.locator(".open-list")).to_be_hidden()
    with looked_at(page, "steps", "Pain up to"):
        step.fill(f"{words} Pain up to ")
    page.get_by_role("group", name="Put in:").get_by_role("button", name=re.compile("^pain limit")).click()
    expect(step).to_have_value(f"{words} Pain up to {{acceptable_pain}} out of 10")
    expect(step).to_be_focused()
    step.fill(words)
    page.locator('.field[data-loc="dose"]').get_by_label(re.compile("^Rest between sets")).fill("2 min")
    expect(page.locator(".save-state")).to_have_text("Saved")


def test_a_draft_survives_and_is_offered(at_desk: Callable[..., Page]) -> None:
    page = at_desk(EDIT)
    page.locator('.area[data-text="aim"] textarea').fill("Half a thought")
    expect(page.locator(".save-state")).to_contain_text("Draft kept")
    page.goto("about:blank")
    page = at_desk(EDIT)
    page.get_by_role("button", name="Continue with the draft").click()
    expect(page.locator('.area[data-text="aim"] textarea')).to_have_value("Half a thought")
    page.goto("about:blank")
    page = at_desk(EDIT)
    page.get_by_role("button", name="Throw the draft away").click()
    expect(page.locator(".offer")).to_have_count(0)


def test_a_lost_desk_is_told_in_the_bar_until_it_answers_again(at_desk: Callable[..., Page]) -> None:
    page = at_desk(EDIT)
    aim, bar = page.locator('.area[data-text="aim"] textarea'), page.locator(".write-bar")
    expect(page.locator(".reads")).to_contain_text("Reading level")
    page.evaluate(
        "() => { window.reached = window.fetch; window.fetch = async () => { throw new TypeError('away'); }; }"
    )
    aim.fill("Words that nobody keeps")
    expect(bar).to_contain_text("The desk does not answer.")
    expect(page.locator(".save-state")).to_have_text("Not kept, not saved")
    page.locator('.field[data-loc="sources"]').scroll_into_view_if_needed()
    expect(bar.get_by_role("alert")).to_be_in_viewport()
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.locator(".save-state")).to_have_text("Not kept, not saved")
    page.evaluate("() => { window.fetch = window.reached; }")
    expect(page.locator(".save-state")).to_contain_text("Draft kept")
    expect(bar.locator(".lost")).to_be_empty()
    page.goto("about:blank")
    page = at_desk(EDIT)
    page.get_by_role("button", name="Continue with the draft").click()
    expect(page.locator('.area[data-text="aim"] textarea')).to_have_value("Words that nobody keeps")
    page.goto("about:blank")
    at_desk(EDIT).get_by_role("button", name="Throw the draft away").click()


def test_a_file_changed_meanwhile_is_a_conflict_and_nothing_is_lost(
    at_desk: Callable[..., Page], library: Path
) -> None:
    file = library / ENTRY
    text = file.read_text("utf-8")
    page = at_desk(EDIT)
    try:
        page.locator('.area[data-text="aim"] textarea').fill("My aim for this exercise.")
        expect(page.locator(".save-state")).to_contain_text("Draft kept")
        theirs = re.sub(r"(?m)^aim: .*$", "aim: Their aim.", text)
        file.write_text(theirs, "utf-8")
        page.get_by_role("button", name="Save", exact=True).click()
        sheet = page.get_by_role("dialog")
        expect(sheet).to_contain_text("Nothing was written")
        assert file.read_text("utf-8") == theirs
        row = sheet.get_by_role("row", name="aim")
        expect(row).to_contain_text("Their aim.")
        expect(row).to_contain_text("My aim for this exercise.")
        sheet.get_by_role("button", name="Put them together").click()
        saved(page)
        assert "aim: My aim for this exercise.\n" in file.read_text("utf-8")
    finally:
        file.write_text(text, "utf-8")


def test_lists_change_places_by_keyboard(at_desk: Callable[..., Page]) -> None:
    page = at_desk(EDIT)
    first = page.locator('.area[data-text="steps/0"] textarea')
    expect(page.locator(".save-state")).to_have_text("Saved")
    words = first.input_value()
    first.focus()
    page.keyboard.press("Alt+ArrowDown")
    second = page.locator('.area[data-text="steps/1"] textarea')
    expect(second).to_have_value(words)
    expect(second).to_be_focused()
    page.keyboard.press("Alt+ArrowUp")
    expect(page.locator('.area[data-text="steps/0"] textarea')).to_have_value(words)
    page.locator(".write").press("Control+s")
    expect(page.locator(".write-bar .next a")).to_be_visible()


def test_a_foot_is_dragged_and_the_solver_follows(at_desk: Callable[..., Page]) -> None:
    page = at_desk(EDIT, width=1440)
    page.get_by_role("button", name="Panel 2").click()
    handle = page.locator('[data-part="affected foot"]')
    handle.scroll_into_view_if_needed()
    handle.hover()  # waits until it has come to rest
    box = handle.bounding_box()
    assert box
    page.mouse.move(box["x"] + 8, box["y"] + 8)
    page.mouse.down()
    page.mouse.move(box["x"] - 40, box["y"] + 60, steps=5)
    page.mouse.up()
    expect(page.locator(".pose-view > .hint")).to_contain_text(re.compile(r"affected (hip|knee) \w+ \d+"))
    handle.focus()
    page.keyboard.press("ArrowUp")
    expect(handle).to_be_focused()


@pytest.mark.parametrize("width", [390, 1280])
def test_handles_lie_on_the_body_of_a_wide_picture(at_desk: Callable[..., Page], width: int) -> None:
    """Handles are placed in parts of the picture: a margin beside the drawing would put them off the body."""
    page = at_desk("write/edit.html#exercises/knee/kn-01.yml", width=width)
    expect(page.locator(".picture-here svg")).to_be_visible()
    shape = page.locator(".picture-here svg").evaluate(
        "(one) => ({ drawn: one.viewBox.baseVal.width / one.viewBox.baseVal.height,"
        " box: one.getBoundingClientRect().width / one.getBoundingClientRect().height,"
        " handles: document.querySelector('.handles').getBoundingClientRect().height,"
        " high: one.getBoundingClientRect().height })"
    )
    assert shape["drawn"] > 1.5
    assert shape["box"] == pytest.approx(shape["drawn"], rel=0.02)
    assert shape["handles"] == pytest.approx(shape["high"], abs=3)


def test_what_was_said_of_a_pose_is_hidden_while_it_is_drawn_anew(at_desk: Callable[..., Page]) -> None:
    page = at_desk(EDIT, width=1440)
    said = page.locator(".posing .notes-here > *").first
    expect(said).to_be_visible()
    expect(page.locator(".working")).to_be_hidden()
    page.evaluate(
        """() => {
            const reached = window.fetch;
            window.fetch = async (...asked) => {
                const answer = await reached(...asked);
                if (String(asked[0]).endsWith("ask/figure")) {
                    await new Promise((done) => Object.assign(window, { done }));
                }
                return answer;
            };
        }"""
    )
    page.get_by_role("button", name="Grey, as printed").click()
    expect(page.locator(".working")).to_be_visible()
    expect(said).to_be_hidden()
    page.wait_for_function("() => window.done")
    page.evaluate("() => window.done()")
    expect(said).to_be_visible()
    expect(page.locator(".working")).to_be_hidden()


def test_a_foot_is_lifted_off_by_pressing_it(at_desk: Callable[..., Page]) -> None:
    page = at_desk(EDIT, width=1440)
    page.locator('[data-part="other foot"]').click()
    sheet = page.get_by_role("dialog")
    expect(sheet).to_contain_text("Now: other foot rests on the floor.")
    sheet.get_by_role("button", name="Lift it off").click()
    expect(sheet).to_be_hidden()
    expect(page.locator(".touch-list select")).to_have_value("release")
    expect(page.locator(".working")).to_be_hidden()
    page.locator('[data-part="other foot"]').click()
    expect(page.get_by_role("dialog")).to_contain_text("Now it touches nothing.")
    page.keyboard.press("Escape")
    page.get_by_role("button", name="Undo").click()
    expect(page.locator(".touch-list select")).to_have_count(0)


def test_a_drag_is_kept_however_late_the_answer_comes(at_desk: Callable[..., Page]) -> None:
    """The figure is shown whole some time after a live answer; that question must not take the place of the drag."""

    def is_drop(answer: Response) -> bool:
        return answer.url.endswith("ask/drag") and bool(answer.request.post_data_json.get("drop"))

    page = at_desk(EDIT, width=1440)
    page.get_by_role("button", name="Panel 2").click()
    handle = page.locator('[data-part="affected foot"]')
    handle.scroll_into_view_if_needed()
    handle.hover()  # waits until it has come to rest
    expect(page.locator(".save-state")).to_have_text("Saved")
    page.evaluate(
        """() => {
            const reached = window.fetch, later = window.setTimeout;
            window.setTimeout = (call, time, ...more) => later(call, time === 400 ? 0 : time, ...more);
            window.fetch = async (...asked) => {
                const answer = await reached(...asked);
                if (String(asked[0]).endsWith("ask/drag")) {
                    await answer.clone().text();
                    await new Promise((done) => Object.assign(window, { held: true, done }));
                }
                return answer;
            };
        }"""
    )
    let_come = "() => { window.held = false; window.done(); }"
    box = handle.bounding_box()
    assert box
    page.mouse.down()
    page.mouse.move(box["x"] - 40, box["y"] + 60, steps=3)
    page.wait_for_function("() => window.held === true")
    page.mouse.up()
    with page.expect_response(is_drop) as dropped:
        page.evaluate(let_come)
    figure = dropped.value.json()["figure"]
    page.wait_for_function("() => window.held === true")
    with page.expect_request(
        lambda one: one.url.endswith("ask/look") and one.post_data_json["value"]["figure"] == figure
    ):
        page.evaluate(let_come)


@pytest.mark.parametrize("path", ["write/index.html", EDIT])
@pytest.mark.parametrize("width", [320, 768, 1280])
def test_anybody_can_use_it_by_day_and_by_night(at_desk: Callable[..., Page], path: str, width: int) -> None:
    """Handles in the drawing lie where the joints do; the sliders beside them do the same (WCAG 2.5.8, equivalent)."""
    page = at_desk(path, width=width, color_scheme="light")
    page.locator(".field, .start-new").first.wait_for()
    if path == EDIT:
        page.locator(".picture-here svg").wait_for()
        page.frame_locator(".phone").locator("h1").wait_for()
    around = {"exclude": [[".phone"], [".handle"]]}
    assert findings(page, around) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    page.emulate_media(color_scheme="dark")
    settled(page)
    assert findings(page, around, rules=RULES_OF_COLOUR) == []


def test_it_speaks_dutch(at_desk: Callable[..., Page]) -> None:
    page = at_desk("write/index.html")
    page.get_by_label("Language of the desk").select_option("nl")
    expect(page.locator("h1")).to_have_text("Schrijven")
    page.goto(page.url.partition("write/")[0] + EDIT)
    expect(page.get_by_role("button", name="Bewaren")).to_be_visible()
    expect(page.locator("html")).to_have_attribute("lang", "nl")
    expect(page.locator("#part-do")).to_have_text("Doen")
