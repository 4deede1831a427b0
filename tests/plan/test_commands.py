"""`limberleaf plan` and `limberleaf links`, as people and scripts use them."""

from __future__ import annotations

import csv
import io
from datetime import date, timedelta
from pathlib import Path

import html5lib
import pdfplumber
import pytest
import zxingcpp
from click.testing import CliRunner, Result
from icalendar import Calendar
from plan.sample import write_sample

from limberleaf.cli import main
from limberleaf.library import load_library
from limberleaf.plan import Pick, Plan, read_fragment, write_fragment


@pytest.fixture(scope="module")
def content(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_sample(tmp_path_factory.mktemp("sample"))


def _run(content: Path, *words: str) -> Result:
    return CliRunner().invoke(main, [*words, "--content", str(content)])


def _link(result: Result) -> str:
    assert result.exit_code == 0, result.output
    return result.output.strip().splitlines()[-1]


def test_a_plan_is_made_printed_and_read_back(content: Path) -> None:
    result = _run(
        content,
        "plan",
        "make",
        "kn-01:left",
        "kn-02:right:sets=2,repetitions=10",
        "kn-03",
        "--star",
        "kn-02",
        "--weeks",
        "8",
    )
    link = _link(result)
    plan = read_fragment(link.rpartition("#")[2]).plan
    assert plan is not None
    picks = {pick.code: pick for pick in plan.picks}
    assert picks["kn-02"] == Pick("kn-02", "right", 3, {"sets": 2, "repetitions": 10}, star=True)
    assert [pick.code for pick in plan.picks] in (["kn-01", "kn-02", "kn-03"], ["kn-03", "kn-02", "kn-01"])
    assert plan.weeks == 8
    read_back = _run(content, "plan", "read", link)
    assert read_back.output == result.output
    assert "Do 2 sets of 10." in read_back.output
    assert "! KN-01 is a step before KN-02, which is in this plan too." in read_back.output


def test_notes_calendar_and_code_come_out_of_a_link(content: Path, tmp_path: Path) -> None:
    fragment = write_fragment(Plan((Pick("kn-02", "left", 3),), 6, ("kn-01",)))
    link = f"https://anything.example/plan/#{fragment}"
    ics, svg = tmp_path / "plan.ics", tmp_path / "plan.svg"
    result = _run(
        content,
        "plan",
        "read",
        link,
        "--notes",
        "--calendar",
        str(ics),
        "--start",
        "2026-11-30",
        "--qr",
        str(svg),
    )
    lines = result.output.strip().splitlines()
    assert lines[0] == "Home exercise plan, 6 weeks:"
    assert lines[1].startswith("KN-02 v3 Straighten your knee, left, 3 x 8-12, hold 3 s, rest 120 s")
    assert "Stopped: KN-01 Slide your heel" in lines
    (event,) = Calendar.from_ical(ics.read_bytes()).walk("VEVENT")
    assert event["RRULE"].to_ical() == b"FREQ=WEEKLY;COUNT=18;BYDAY=MO,WE,FR"
    assert b"\r\n" in ics.read_bytes()
    assert b"\r\r\n" not in ics.read_bytes()
    assert svg.read_text("utf-8").startswith("<svg")


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (["make", "kn-99"], "there is no exercise kn-99"),
        (["make", "kn-07"], "Use kn-02 instead"),
        (["make", "kn-09"], "kn-09 is draft, not approved"),
        (["make", "kn-02:left:hold=99"], "kn-02 takes 1 to 10 for hold"),
        (["make", "kn-01:hold=5"], "kn-01 has no hold to change"),
        (["make", "kn-03:left"], "kn-03 takes no side"),
        (["make", "kn-01", "bananas"], "“bananas” is not understood. Behind a code: 2x (sets)"),
        (["make", "3x8", "kn-01"], "“3x8” is not understood"),
        (["make", "kn-01", "2x8-12"], "kn-01: a plan holds one number of repeats, not 8-12"),
        (["make", "kn-01", "l", "r"], "“r” is not understood"),
        (["make", *["kn-01 2x"] * 300], "no more than 2000 signs"),
        (["make", "kn-01", "60w"], "52 weeks at most"),
        (["make", "kn-01:up"], "left, right or turn"),
        (["make", "kn-01:sets=x"], "a whole number"),
        (["make", "kn-01", "--star", "kn-02"], "kn-02 is not among the exercises"),
        (["read", "https://x.example/plan/#1.w6.kn01l1.0000"], "A part of this link is missing"),
        (["read", "hello"], "This link is not a plan"),
        (["read", "#"], "There is no plan here yet"),
        (["read", "1.w6.kn01l1.0000", "--language", "fr"], "choose from en, nl, ar"),
    ],
)  # fmt: skip
def test_bad_input_is_reported_with_a_way_out(content: Path, words: list[str], message: str) -> None:
    result = _run(content, "plan", *words)
    assert result.exit_code in (1, 2)
    assert message in result.output
    assert "Traceback" not in result.output


def test_what_the_plan_page_takes_is_taken_here_too(content: Path) -> None:
    typed = "kn-02r 2x8-12 5s kn01 3d 4w mon thu"  # without a side: that of the one before
    result = _run(content, "plan", "make", "--keep-order", "--no-stops", *typed.split())
    plan = read_fragment(_link(result).rpartition("#")[2]).plan
    assert plan == Plan(
        (Pick("kn-02", "right", 3, {"sets": 2, "hold": 5}), Pick("kn-01", "right", 1, {"days_a_week": 3})),
        4,
        days=(1, 4),
    )


@pytest.mark.parametrize(
    ("typed", "fragment"),
    [
        ("kn-02 kn-02r 2x", "kn02r3s2"),
        ("kn-02r 2x kn-02 x10", "kn02r3s2r10"),
        ("kn-02l kn-02r", "kn02l3.kn02r3"),
        ("kn-02b kn-02r", "kn02r3"),
        ("kn-02:left kn-02:left:sets=2", "kn02l3s2"),
        ("kn-02l kn-02r kn-02 2x", "kn02l3s2.kn02r3s2"),
    ],
)
def test_a_code_named_again_changes_its_entry_or_adds_the_other_side(
    content: Path, typed: str, fragment: str
) -> None:
    result = _run(content, "plan", "make", "--keep-order", *typed.split())
    assert f".w6.{fragment}." in result.output
    assert ("kn-02 was in the plan already" in result.output) == (typed != "kn-02l kn-02r")


def test_weeks_that_end_before_the_review_are_said_with_a_way_out(content: Path) -> None:
    words = ["plan", "make", "kn-01:left", "--weeks", "4", "--review"]
    for ahead, needed in ((28, ""), (29, "--weeks 5"), (71, "--weeks 11"), (-1, "is past")):
        day = date.today() + timedelta(days=ahead)
        result = _run(content, *words, f"{day:%Y-%m-%d}")
        assert result.exit_code == 0
        assert (needed in result.stderr) if needed else result.stderr == ""


def test_every_address_is_listed_with_its_title(content: Path) -> None:
    text = _run(content, "links").output
    assert "/kn-02/left/" in text
    assert "Straighten your knee (left side)" in text
    assert "/kn-07/" in text
    assert "[redirect] -> /kn-02/" in text
    assert "[retired]" in text


def test_the_table_is_csv_that_a_spreadsheet_reads(content: Path, tmp_path: Path) -> None:
    file = tmp_path / "links.csv"
    assert _run(content, "links", "--format", "csv", "--language", "en", "-o", str(file)).exit_code == 0
    rows = list(csv.DictReader(io.StringIO(file.read_bytes().decode())))
    by_address = {row["address"].split("/", 3)[3]: row for row in rows}
    assert by_address["kn-02/left/"]["title"] == "Straighten your knee (left side)"
    assert by_address["kn-07/"]["leads_to"].endswith("/kn-02/")
    assert by_address["kn-08/"]["state"] == "retired"
    assert {row["language"] for row in rows} == {"en"}
    assert not any(cell[:1] in "=+-@" for row in rows for cell in row.values() if cell)


def test_the_desk_sheet_has_a_code_for_every_exercise(content: Path, tmp_path: Path) -> None:
    """ISO/IEC 18004, read by ZXing from the rendered PDF; retired exercises and drafts are left out."""
    pdf, page = tmp_path / "desk.pdf", tmp_path / "desk.html"
    assert _run(content, "links", "--format", "pdf", "-o", str(pdf), "--kind", "exercise").exit_code == 0
    with pdfplumber.open(pdf) as opened:
        text = "".join(one.extract_text() for one in opened.pages)
        images = [one.to_image(resolution=200).original for one in opened.pages]
    read = {code.text for image in images for code in zxingcpp.read_barcodes(image)}
    assert len(read) == 9
    assert any(link.endswith("/kn-02/") for link in read)
    assert not any("kn-07" in link or "kn-09" in link for link in read)
    assert "Straighten" in text
    assert _run(content, "links", "--format", "html", "-o", str(page), "--sides").exit_code == 0
    document = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(page.read_text("utf-8"))
    assert any("left side" in "".join(item.itertext()) for item in document.iter("li"))
    assert not list(document.iter("script"))


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (["--format", "pdf"], "Name the file to write"),
        (["--kind", "nothing"], "choose from"),
        (["--language", "fr"], "choose from en, nl, ar"),
        (
            ["--format", "html", "-o", "x.html", "--kind", "redirect", "--language", "nl"],
            "nothing was written",
        ),
    ],
)
def test_bad_choices_of_links_are_reported(content: Path, words: list[str], message: str) -> None:
    result = _run(content, "links", *words)
    assert result.exit_code in (1, 2)
    assert message in result.output


def test_a_folder_without_a_library_is_reported(tmp_path: Path) -> None:
    for words in (["links"], ["plan", "make", "kn-01"], ["plan", "read", "x"]):
        result = CliRunner().invoke(main, [*words, "--content", str(tmp_path / "none")])
        assert result.exit_code == 1
        assert "There is no library in" in result.output


DEMO = Path(__file__).parents[2] / "content"
SET = ["plan", "make", "--set", "stiff-knee-start", "--days", "mon, wednesday,fri", "--review", "2027-01-15"]


def test_a_ready_set_makes_a_plan_with_days_a_review_and_notes_that_reads_back() -> None:
    made = _run(DEMO, *SET, "--note", "note-01")
    link = _link(made)
    plan = read_fragment(link.rpartition("#")[2]).plan
    assert plan is not None
    assert {pick.code: pick.changes for pick in plan.picks} == {
        "kn-09": {},
        "kn-03": {"sets": 2},
        "kn-05": {"sets": 2},
    }
    assert (plan.weeks, plan.days, plan.review, plan.notes) == (
        4,
        (1, 3, 5),
        date(2027, 1, 15),
        ("note-03", "note-01"),
    )
    assert "Bring this plan and your chart to your next visit." in made.output
    assert "15 January 2027" in made.output
    assert "Bring" not in link
    assert _run(DEMO, "plan", "read", link).stdout == made.stdout


def test_the_message_to_send_names_no_exercise() -> None:
    said = _run(DEMO, *SET, "--message").output
    titles = [entry.entry.title for entry in load_library(DEMO).exercises.values()]
    assert "01632 960" in said
    assert "/plan/#" in said
    assert not [title for title in titles if title.lower() in said.lower()]


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (
            ["--set", "stiff-knee-stat"],
            "plans.yml has no “stiff-knee-stat”. Did you mean “stiff-knee-start”?",
        ),
        (["kn-09:left", "--days", "mon,funday"], "“funday” is no day"),
        (["kn-09:left", "--note", "note-99"], "plans.yml has no “note-99”"),
        ([], "Name at least one exercise, such as kn-03:left, or a set with --set."),
        (
            [f"{area}-{number:02}" for area in ("lb", "an", "sh") for number in range(1, 8)],
            "A plan holds no more than 20 exercises.",
        ),
    ],
)
def test_what_a_clinic_never_wrote_is_refused_with_a_way_out(words: list[str], message: str) -> None:
    result = _run(DEMO, "plan", "make", *words)
    assert result.exit_code in (1, 2)
    assert message in " ".join(result.output.split())
