"""A handout in Word or HTML becomes a draft in which every word of it stands, and nothing that it does not say."""

from __future__ import annotations

import base64
import io
import re
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from conftest import ROOT
from docx import Document
from PIL import Image

from limberleaf.cli import main
from limberleaf.exchange.dose_words import read_dose
from limberleaf.library.yaml.source import compose

CONTENT = ROOT / "content"


def picture() -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (20, 10), "white").save(out, "PNG")
    return out.getvalue()


def read(folder: Path, file: Path, *more: str) -> Result:
    arguments = [
        "import",
        str(file),
        "--region",
        "knee",
        "-o",
        str(folder / "drafts"),
        "--content",
        str(CONTENT),
        *more,
    ]
    return CliRunner().invoke(main, arguments, catch_exceptions=False)


def word_file(folder: Path) -> Path:
    document = Document()
    document.add_heading("Heel slides", 0)
    document.add_heading("Why do this?", 2)
    document.add_paragraph("To help a stiff knee bend.")
    document.add_heading("Starting position", 2)
    document.add_paragraph("Lie on your back. Keep both legs straight.")
    document.add_heading("How to do it", 2)
    for line in ("Slide your heel towards you.", "Hold for 5 seconds.", "Slide it back."):
        document.add_paragraph(line, style="List Number")
    document.add_picture(io.BytesIO(picture()))
    document.add_heading("How often", 2)
    document.add_paragraph("3 sets of 10, twice a day, every day. Hold for 5 seconds.")
    document.add_heading("Stop if", 2)
    document.add_paragraph("Your knee locks: it will not move.", style="List Bullet")
    document.add_heading("Parking", 2)
    document.add_paragraph("The car park is behind the building.")
    table = document.add_table(1, 1)
    table.cell(0, 0).text = "Tips: Go slowly."
    file = folder / "heel.docx"
    document.save(str(file))
    return file


def test_a_word_handout_becomes_a_draft(tmp_path: Path) -> None:
    done = read(tmp_path, word_file(tmp_path), "--code", "kn-90")
    assert done.exit_code == 0, done.output
    text = (tmp_path / "drafts/kn-90.yml").read_text("utf-8")
    value = {key.value: child for key, child in compose(text).value}  # type: ignore[union-attr]
    assert value["title"].value == "Heel slides"
    assert [one.value for one in value["steps"].value] == [
        "Slide your heel towards you.",
        "Hold for 5 seconds.",
        "Slide it back.",
    ]
    dose = {key.value: child.value for key, child in value["dose"].value}
    assert dose == {"sets": "3", "repetitions": "10", "hold": "5 s", "times_a_day": "2", "days_a_week": "7"}
    assert "# UNSURE: one paragraph, cut into a line for each sentence\nsetup:" in text
    assert "# MISSING: position" in text
    assert "kind:" not in re.sub(r"#.*", "", text)
    assert (tmp_path / "drafts/kn-90/picture-1.png").read_bytes() == picture()


def test_no_word_of_the_handout_is_lost(tmp_path: Path) -> None:
    read(tmp_path, word_file(tmp_path), "--code", "kn-90")
    text = (tmp_path / "drafts/kn-90.yml").read_text("utf-8")
    for said in (
        "The car park is behind the building.",
        "Go slowly.",
        "3 sets of 10, twice a day",
        "it will not move.",
    ):
        assert said in text


def test_every_word_of_the_draft_stands_in_the_handout(tmp_path: Path) -> None:
    """Outside the comments, the values that are sentences are the handout's own."""
    read(tmp_path, word_file(tmp_path), "--code", "kn-90")
    handout = " ".join(
        [*(part.text for part in Document(str(tmp_path / "heel.docx")).paragraphs), "Tips: Go slowly."]
    )
    values = re.findall(
        r"^(?:\s*- |aim: |title: )(.+)$", (tmp_path / "drafts/kn-90.yml").read_text("utf-8"), re.M
    )
    assert len(values) > 6
    assert [value for value in values if value.strip('"') not in handout] == []


def test_an_html_handout_without_headings_keeps_what_it_cannot_place(tmp_path: Path) -> None:
    data = base64.b64encode(picture()).decode()
    file = tmp_path / "old.html"
    file.write_text(
        f"<html lang=en><head><title>x</title><script>alert(1)</script></head><body><h1>Wall press</h1>"
        f"<p>Stand at arm's length.</p><img src='data:image/png;base64,{data}'><img src='https://example.org/a.png'>"
        "<p>How to do it: Bend your elbows. Push back.</p></body></html>",
        "utf-8",
    )
    done = read(tmp_path, file, "--code", "kn-91")
    assert done.exit_code == 0, done.output
    text = (tmp_path / "drafts/kn-91.yml").read_text("utf-8")
    assert "alert" not in text
    assert "#   Stand at arm's length." in text
    assert "steps:\n  - Bend your elbows.\n  - Push back." in text
    assert "https://example.org/a.png (not in the file)" in text
    assert (tmp_path / "drafts/kn-91/picture-1.png").is_file()


def test_the_end_of_a_head_may_be_left_out(tmp_path: Path) -> None:
    """HTML Living Standard 13.1.2.4: the end tag of `head` may be omitted."""
    file = tmp_path / "old.html"
    file.write_text("<html><head><title>Old</title><body><h1>Wall press</h1><p>Stand up.</p>", "utf-8")
    assert read(tmp_path, file, "--code", "kn-92").exit_code == 0
    text = (tmp_path / "drafts/kn-92.yml").read_text("utf-8")
    assert "title: Wall press" in text
    assert "#   Stand up." in text
    assert "Old" not in text


def test_a_handout_without_text_is_refused(tmp_path: Path) -> None:
    file = tmp_path / "scan.html"
    file.write_text("<html><head><title>Old</title></head><body><img src='scan.png'></body></html>", "utf-8")
    done = read(tmp_path, file)
    assert done.exit_code == 1
    assert "scan.html holds no text" in done.output
    assert not (tmp_path / "drafts").exists()


def test_a_draft_is_never_taken_for_a_finished_entry(tmp_path: Path) -> None:
    from approved import starter_files

    from limberleaf.library import load_library

    for path, text in starter_files().items():
        target = tmp_path / "lib" / path
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_text(text, "utf-8")
    read(tmp_path, word_file(tmp_path), "--code", "kn-90")
    (tmp_path / "lib/content/exercises/knee/kn-90.yml").write_text(
        (tmp_path / "drafts/kn-90.yml").read_text("utf-8"), "utf-8"
    )
    library = load_library(tmp_path / "lib/content")
    missing = {finding.message for finding in library.findings if finding.code == "missing-key"}
    assert "kn-90" not in library.exercises
    assert {"“kind” is missing.", "“figure” is missing.", "“sides” is missing."} <= missing


@pytest.mark.parametrize(
    ("said", "dose"),
    [
        ("2 to 3 sets of 8-12, three times a week", {"sets": "2-3", "repetitions": "8-12", "days_a_week": 3}),
        ("Repeat 10 times. Do this 2 times a day.", {"repetitions": 10, "times_a_day": 2}),
        ("Repeat ten times, hourly", {"repetitions": 10, "every": "1 h"}),
        ("Hold for 20-30 seconds", {"hold": "20-30 s"}),
        ("Hold for 5 seconds. Later hold for 10 seconds.", {}),
        ("You can eat as usual.", {}),
        ("Walk for 10 minutes, once a day", {"duration": "10 min", "times_a_day": 1}),
        ("Rest for 1 minute between sets", {"rest": "1 min"}),
    ],
)
def test_only_numbers_that_are_said_become_a_dose(said: str, dose: dict[str, object]) -> None:
    assert read_dose(said) == dose


@pytest.mark.parametrize("name", ["a.docx", "a.html", "a.pdf"])
def test_files_that_are_no_handout_are_refused_in_plain_words(tmp_path: Path, name: str) -> None:
    (tmp_path / name).write_bytes(b"\xff\xfe\x00 nothing")
    done = read(tmp_path, tmp_path / name)
    assert done.exit_code == 1
    assert done.output.startswith("Error: a.")
