"""What people do: find, open, switch side, copy, play, print; by keyboard, without a script, from a disk."""

from __future__ import annotations

import re
import subprocess
import unicodedata
from collections import Counter
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
import zxingcpp
from browser.conftest import Visit, address_of, pictures
from conftest import Demo
from pdf_letters import letter_sizes, page_texts
from PIL import Image
from playwright.sync_api import Page, expect

from limberleaf.publish.plain import write_site
from limberleaf.store.results import FOLDER

pytestmark = pytest.mark.browser


def results(page: Page) -> list[str]:
    return page.locator("#hits li:visible a").all_inner_texts()


def test_find_by_typing_open_and_switch_side(visit: Callable[..., Visit]) -> None:
    page = visit(width=390).open("")
    page.get_by_role("searchbox").fill("straighten knee sitting")
    assert results(page)[0] == "Straighten your knee in sitting"
    page.locator("#hits a").first.click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Straighten your knee in sitting")
    expect(page.locator(".steps").last).to_contain_text("your sore leg")
    page.get_by_role("link", name="Left", exact=True).click()
    expect(page).to_have_url(re.compile(r"/kn-03/left/$"))
    expect(page.locator(".steps").last).to_contain_text("your left leg")
    page.get_by_role("link", name="Right", exact=True).click()
    expect(page.locator(".steps").last).to_contain_text("your right leg")


def test_find_by_choosing(visit: Callable[..., Visit]) -> None:
    page = visit().open("")
    page.get_by_label("Body part").select_option(label="Knee")
    page.get_by_label("Position").select_option(label="Lying on your front")
    assert results(page) == ["Bend your knee lying on your front"]
    page.get_by_role("button", name="Clear all").click()
    expect(page.locator("#hits")).to_be_hidden()
    expect(page.locator(".all li[data-code]").first).to_be_visible()


def test_what_you_have_at_home(visit: Callable[..., Visit]) -> None:
    """Ticking a chair shows what needs a chair or nothing, and nothing that needs a bed."""
    page = visit().open("#part=knee")
    page.locator(".kit summary").click()
    page.get_by_label("a firm chair", exact=True).check()
    shown = results(page)
    assert "Straighten your knee in sitting" in shown
    assert "Lift your straight leg" not in shown


@pytest.mark.parametrize(
    ("typed", "first"),
    [
        ("kn-03", "Straighten your knee in sitting"),
        ("KN 03", "Straighten your knee in sitting"),
        ("kn03", "Straighten your knee in sitting"),
        ("leg extension", "Straighten your knee in sitting"),  # an everyday word of the entry
        ("straihgten", "Straighten your knee in sitting"),  # two letters swapped
        ("sqat", "Small squat at the worktop"),  # one left out
        ("squuat", "Small squat at the worktop"),  # one too many
        ("squad worktop", "Small squat at the worktop"),  # one wrong
    ],
)
def test_a_slip_of_a_letter_is_forgiven(visit: Callable[..., Visit], typed: str, first: str) -> None:
    page = visit().open("")
    page.get_by_role("searchbox").fill(typed)
    assert first in results(page)[:2]


def test_a_word_nobody_wrote_finds_nothing_and_says_so(visit: Callable[..., Visit]) -> None:
    page = visit().open("")
    page.get_by_role("searchbox").fill("zzqxy")
    assert results(page) == []
    expect(page.locator(".found [role=status]").first).to_contain_text("Nothing fits")
    expect(page.locator(".found [role=status]").first).to_contain_text("zzqxy")


def test_the_list_lives_in_the_address(visit: Callable[..., Visit]) -> None:
    one = visit()
    page = one.open("")
    page.get_by_role("searchbox").fill("stairs")
    page.get_by_label("What it does").select_option("strength")
    shown, address = results(page), address_of(page)
    assert "#" in address
    assert "?" not in address, "what follows # is never sent to a server"
    again = one.page.context.new_page()
    again.goto(address)
    assert results(again) == shown
    assert again.get_by_role("searchbox").input_value() == "stairs"


@pytest.mark.parametrize(
    "fragment",
    [
        "q=%3Cscript%3Ealert(1)%3C/script%3E",
        "part=nowhere",
        "kit=%00%FF",
        "q=" + "a" * 5000,
        "=&&=%",
        "kit=none&part=knee",
    ],
)
def test_any_address_is_taken(visit: Callable[..., Visit], fragment: str) -> None:
    page = visit().open(f"#{fragment}")
    expect(page.get_by_role("searchbox")).to_be_visible()
    assert page.locator("main script").count() == 0


def test_the_keyboard_alone_finds_and_reads(visit: Callable[..., Visit]) -> None:
    page = visit().open("")
    page.keyboard.press("Tab")
    expect(page.get_by_role("link", name="Skip to the main part")).to_be_focused()
    page.keyboard.press("Enter")
    page.keyboard.press("Tab")
    expect(page.get_by_role("searchbox")).to_be_focused()
    page.keyboard.type("small squat")
    page.keyboard.press("ArrowDown")
    expect(page.get_by_role("link", name="Small squat at the worktop")).to_be_focused()
    page.keyboard.press("ArrowUp")
    expect(page.get_by_role("searchbox")).to_be_focused()
    page.keyboard.press("Enter")
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", level=1)).to_have_text("Small squat at the worktop")
    page.wait_for_load_state("domcontentloaded")
    for _ in range(40):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.textContent.trim()") == "Stand up from a chair":
            break
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", level=1)).to_have_text("Stand up from a chair")


def test_every_stop_of_the_keyboard_can_be_seen(visit: Callable[..., Visit]) -> None:
    page = visit().open("kn-03/left/")
    for _ in range(30):
        page.keyboard.press("Tab")
        seen = page.evaluate(
            """() => { const one = document.activeElement, box = one.getBoundingClientRect();
                return one === document.body || (box.width > 0 && box.bottom > 0 && box.top < innerHeight
                    && getComputedStyle(one).outlineStyle !== 'none'); }"""
        )
        assert seen, page.evaluate("document.activeElement.outerHTML")


def test_without_a_script_the_list_is_whole_and_pages_work(visit: Callable[..., Visit], demo: Demo) -> None:
    one = visit(width=390, java_script_enabled=False)
    page = one.open("")
    exercises = {
        path.name for path in demo.site.glob("[a-z][a-z]-[0-9][0-9]") if (path / "motion.svg").exists()
    }
    listed = {link.get_attribute("href") or "" for link in page.locator("li[data-code] a").all()}
    assert {code + "/" for code in exercises} <= listed
    assert page.locator("button:visible, select:visible, input:visible").count() == 0
    page.get_by_role("link", name="Straighten your knee in sitting").click()
    expect(page.get_by_role("heading", name="How much")).to_be_visible()
    page.wait_for_load_state("load")
    assert page.locator(".panels svg").count() >= 2
    assert page.locator("button:visible").count() == 0


def test_copy_link(visit: Callable[..., Visit]) -> None:
    one = visit(permissions=["clipboard-read", "clipboard-write"])
    page = one.open("kn-03/left/")
    page.get_by_role("button", name="Copy link").click()
    expect(page.locator(".tools .said")).to_have_text("Link copied")
    assert page.evaluate("navigator.clipboard.readText()") == f"{one.base}kn-03/left/"


def test_the_figure_moves_only_when_asked(visit: Callable[..., Visit]) -> None:
    page = visit().open("kn-03/left/")
    assert page.locator(".figure > img").count() == 0
    page.get_by_role("button", name="Play the movement").click()
    moving = page.locator(".figure > img")
    expect(moving).to_be_visible()
    ((words, width),) = pictures(moving)
    assert words
    assert width
    page.get_by_role("button", name="Stop the movement").click()
    expect(page.locator(".panels")).to_be_visible()
    assert page.locator(".figure > img").count() == 0


def test_a_copy_opens_from_a_disk(visit: Callable[..., Visit], starter: Path, tmp_path: Path) -> None:
    """The policy lets a page on a disk load its style, scripts and pictures; links name files."""
    pages, _ = write_site(
        starter / "content",
        tmp_path / "copy",
        today=date(2027, 3, 1),
        cache=starter / FOLDER,
        name_files=True,
    )
    assert pages > 10
    page = visit(base=(tmp_path / "copy").as_uri() + "/").open("index.html")
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(251, 248, 242)"
    page.get_by_role("searchbox").fill("straighten knee sitting")
    page.locator("#hits a").first.click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Straighten your knee in sitting")
    page.get_by_role("link", name="Left", exact=True).click()
    expect(page.locator(".steps").last).to_contain_text("your left leg")
    page.get_by_role("button", name="Play the movement").click()
    assert all(width for _, width in pictures(page.locator(".figure > img")))


def printed(page: Page, file: Path, paper: str = "A4") -> int:
    """Print a page to PDF; give how many sides of paper it takes."""
    page.wait_for_load_state("load")
    page.pdf(path=file, format=paper, prefer_css_page_size=True)
    info = subprocess.run(["pdfinfo", file], capture_output=True, text=True, check=True).stdout
    return int(re.search(r"Pages:\s+(\d+)", info)[1])  # type: ignore[index]


def squeezed(text: str) -> str:
    """Leave out white space and take joined letters apart."""
    return "".join(unicodedata.normalize("NFKC", text).split())


def test_an_exercise_prints_as_a_front_and_a_back(
    visit: Callable[..., Visit], addresses: list[str], tmp_path: Path
) -> None:
    """The front says what to do, how much, how it may feel and when to stop; warning signs may stand on the back.

    Set in 12 points most fill two sides. The longest send the chart and the foot on to a third, and nothing else.
    """
    one = visit()
    codes = [path for path in addresses if re.fullmatch(r"[a-z]{2}-\d\d/", path)][::6]
    sides = {}
    for path in {*codes, "kn-03/", "kn-07/", "ba-07/", "ne-06/", "lb-13/"}:
        page = one.open(path)
        wanted = page.locator(
            "h1, .aim, .figure figcaption, .short li, .steps li, .cells li, .total, .feel li, .feel .do"
        )
        words = [squeezed(text) for text in wanted.all_text_contents()]
        stop = [squeezed(line) for line in page.locator(".band.stop li").all_text_contents()]
        record = page.locator(".end").text_content()
        sides[path] = printed(page, tmp_path / "sheet.pdf")
        front, *others = map(squeezed, page_texts(tmp_path / "sheet.pdf"))
        assert not Counter("".join(words)) - Counter(front), path
        assert [line for line in stop if line not in front] == [], path
        for third in others[1:]:
            told = re.sub(r"^\d+/\d+", "", third)  # the number of the page is painted first
            assert not Counter(told) - Counter(squeezed(record or "")), path
    assert max(sides.values()) <= 3
    assert sum(count == 2 for count in sides.values()) >= 0.75 * len(sides), sides


def test_nothing_on_paper_is_smaller_than_twelve_points(
    visit: Callable[..., Visit], addresses: list[str], tmp_path: Path
) -> None:
    """Clear print: at least 12 points (UK Association for Accessible Formats, minimum standards for clear print)."""
    one = visit()
    some = [path for path in addresses if re.match(r"(nl/|ar/)?(kn-03/left|ne-03|kn-01|[a-z-]+/|)/?$", path)]
    groups = [
        path for path in addresses if path.startswith(("ladders/knee", "collections/stiff", "get-help"))
    ]
    read = 0
    for path in {*some, *groups}:
        printed(one.open(path), tmp_path / "sheet.pdf")
        sizes = letter_sizes(tmp_path / "sheet.pdf")
        assert {size: count for size, count in sizes.items() if size < 11.9} == {}, path
        read += sizes.total()
    assert read > 10_000


def test_paper_has_a_chart_and_a_code_that_leads_back(visit: Callable[..., Visit], tmp_path: Path) -> None:
    """The printed code, read by an independent reader (zxing-cpp) from black and white at 150 dots an inch."""
    page = visit().open("kn-03/left/")
    printed(page, tmp_path / "sheet.pdf")
    subprocess.run(
        ["pdftoppm", "-r", "150", "-gray", "-png", tmp_path / "sheet.pdf", tmp_path / "sheet"], check=True
    )
    picture = Image.open(next(tmp_path.glob("sheet*.png"))).convert("L")
    photocopy = picture.point(lambda grey: 255 if grey > 128 else 0)
    assert [code.text for code in zxingcpp.read_barcodes(photocopy)] == [
        "https://exercises.quillmere.example/kn-03/left/"
    ]
    words = subprocess.run(
        ["pdftotext", "-layout", tmp_path / "sheet.pdf", "-"], capture_output=True, text=True, check=True
    ).stdout
    for part in (
        "exercises.quillmere.example/kn-03/left",
        "Tick a box each time you do it",
        "Week 4",
        "01632 960148",
    ):
        assert part in words
    for part in ("Copy link", "Play the movement", "Find an exercise"):
        assert part not in words
