"""Bad entries give findings with exact places, all of a file at once, and never a traceback."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
import yaml

from limberleaf.library import load_library

CASES = yaml.safe_load(Path(__file__).with_name("bad_entries.yml").read_text("utf-8"))
ENTRY = "exercises/knee/kn-02.yml"


def marked(text: str) -> tuple[str, dict[int, tuple[int, int]]]:
    """Take the marks «n» out of a text and give their lines and columns, counted from 1."""
    places: dict[int, tuple[int, int]] = {}
    while match := re.search(r"«(\d)»", text):
        before = text[: match.start()]
        places[int(match[1])] = (before.count("\n") + 1, len(before) - before.rfind("\n"))
        text = before + text[match.end() :]
    return text, places


def test_the_starter_itself_reads_without_findings(content: Path) -> None:
    assert load_library(content).findings == []


@pytest.mark.parametrize("case", CASES, ids=[case["name"] for case in CASES])
def test_mistake_is_reported_at_its_place(content: Path, case: dict[str, Any]) -> None:
    original = (content / ENTRY).read_text("utf-8").replace(case.get("drop", "\0"), "")
    assert case["find"] in original
    text, places = marked(original.replace(case["find"], case["put"], 1))
    (content / ENTRY).write_text(text, "utf-8")

    found = [finding for finding in load_library(content).findings if finding.place.path == ENTRY]

    assert len(found) == len(case["says"]), found
    for wanted in case["says"]:
        same = [
            finding
            for finding in found
            if finding.code == wanted["code"] and wanted["message"] in finding.message
        ]
        assert same, (wanted, found)
        line, column = places[wanted["at"]] if "at" in wanted else (wanted["line"], wanted.get("column"))
        assert line in {finding.place.line for finding in same}
        if column is not None:
            assert (line, column) in {(finding.place.line, finding.place.column) for finding in same}
        assert any(wanted.get("hint", "") in finding.hint for finding in same)


def codes(content: Path) -> dict[str, str]:
    return {finding.code: str(finding.place) for finding in load_library(content).findings}


def test_a_file_that_is_not_utf8(content: Path) -> None:
    text = (content / ENTRY).read_bytes().replace(b"Sit tall with", b"Sit t\xe4ll with")
    (content / ENTRY).write_bytes(text)
    line = text[: text.index(b"\xe4")].count(b"\n") + 1
    column = text.index(b"\xe4") - text.rfind(b"\n", 0, text.index(b"\xe4"))
    assert codes(content) == {"not-utf8": f"{ENTRY}:{line}:{column}"}


def test_a_file_of_five_megabytes(content: Path) -> None:
    (content / ENTRY).write_text("aim: " + "long " * 1_000_000, "utf-8")
    assert codes(content) == {"file-too-large": ENTRY}


def test_an_alias_bomb_is_refused_before_it_grows(content: Path) -> None:
    lines = ["a0: &a0 [x, x, x, x, x, x, x, x, x]"]
    lines += [f"a{i}: &a{i} [{', '.join([f'*a{i - 1}'] * 9)}]" for i in range(1, 12)]
    (content / ENTRY).write_text("\n".join(lines), "utf-8")
    found = load_library(content).findings
    assert "alias" in {finding.code for finding in found}


def test_runaway_nesting_is_refused(content: Path) -> None:
    (content / ENTRY).write_text("- " * 5000 + "deep", "utf-8")
    assert list(codes(content)) == ["nested-too-deep"]
    (content / ENTRY).write_text("a: " + "[" * 5000, "utf-8")
    assert list(codes(content)) == ["yaml-syntax"]


def test_a_link_that_leads_out_is_not_followed(content: Path, tmp_path: Path) -> None:
    (tmp_path / "secret.yml").write_text("code: kn-03\n", "utf-8")
    (content / "exercises" / "knee" / "kn-03.yml").symlink_to(tmp_path / "secret.yml")
    (tmp_path / "outside").mkdir()
    (content / "exercises" / "hip").symlink_to(tmp_path / "outside")
    found = load_library(content).findings
    assert [(finding.code, finding.place.path) for finding in found] == [
        ("link-leads-out", "exercises/hip"),
        ("link-leads-out", "exercises/knee/kn-03.yml"),
    ]


def test_an_empty_file_and_a_lone_list(content: Path) -> None:
    (content / ENTRY).write_text("", "utf-8")
    (content / "cautions" / "hot-knee.yml").write_text("- one\n- two\n", "utf-8")
    assert codes(content) == {"empty-file": f"{ENTRY}:1:1", "not-a-mapping": "cautions/hot-knee.yml:1:1"}


def test_a_code_that_is_taken(content: Path) -> None:
    text = (content / ENTRY).read_text("utf-8").replace("code: kn-02", "code: kn-01")
    (content / ENTRY).write_text(text, "utf-8")
    found = load_library(content).findings
    assert [finding.code for finding in found] == ["duplicate-code", "file-name-differs"]
    assert "exercises/knee/kn-01.yml" in found[0].message
    assert (found[0].place.line, found[0].place.column) == (2, 7)


def test_a_missing_clinic_file_and_a_missing_folder(content: Path, tmp_path: Path) -> None:
    (content / "clinic.yml").unlink()
    assert list(codes(content)) == ["no-clinic-file"]
    assert list(codes(tmp_path / "nowhere")) == ["no-content"]


def test_yaml_1_2_words_stay_words_and_numbers_keep_their_zeros(content: Path) -> None:
    clinic = (content / "clinic.yml").read_text("utf-8")
    clinic = clinic.replace("short_name: Marram Point Physio", "short_name: Yes").replace(
        'number: "111"', "number: 0800"
    )
    (content / "clinic.yml").write_text(clinic, "utf-8")
    settings = load_library(content).settings
    assert settings.short_name.in_language("en") == "Yes"
    assert settings.urgent.number == "0800"


def test_pain_bands_with_a_gap(content: Path) -> None:
    clinic = (content / "clinic.yml").read_text("utf-8").replace("ease_off: 4-5", "ease_off: 5-5")
    (content / "clinic.yml").write_text(clinic, "utf-8")
    found = load_library(content).findings
    assert [finding.code for finding in found] == ["not-possible"]
    assert "without a gap" in found[0].message


def test_a_prose_page_without_its_head(content: Path) -> None:
    (content / "pages" / "about.md").write_text("# About\n", "utf-8")
    assert codes(content) == {"no-page-head": "pages/about.md:1:1"}


def test_a_place_inside_a_text(content: Path) -> None:
    loaded = load_library(content).exercises["kn-02"]
    aim = loaded.entry.aim
    place = loaded.source.place(("aim",), offset=aim.index("thigh"))
    line = loaded.source.text.splitlines()[place.line - 1]
    assert line[place.column - 1 :].startswith("thigh")


def test_a_place_inside_a_folded_text(content: Path) -> None:
    text = (content / ENTRY).read_text("utf-8")
    text = text.replace(
        "aim: Build the strength at the front of your thigh, so that stairs feel easier.",
        "aim: >-\n  Build the strength at the front\n  of your thigh, so that\n  stairs feel easier.",
    )
    (content / ENTRY).write_text(text, "utf-8")
    loaded = load_library(content).exercises["kn-02"]
    place = loaded.source.place(("aim",), offset=loaded.entry.aim.index("stairs"))
    assert text.splitlines()[place.line - 1][place.column - 1 :].startswith("stairs")
