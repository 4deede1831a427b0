"""Texts out to translators and in again: nothing lost, nothing taken that nobody confirmed.

Sources: XLIFF Version 2.1, OASIS Standard of 13 February 2018 (elements, their order and attributes, from the core
schema xliff_core_2.0.xsd and the size restriction module); GNU gettext's PO. Other readers: translate-toolkit
(XLIFF 2), polib, Babel.
"""

from __future__ import annotations

import io
import json
import re
from pathlib import Path
from xml.etree import ElementTree

import polib
import pytest
from babel.messages.pofile import read_po as babel_po
from click.testing import CliRunner, Result
from conftest import tree
from translate.storage import xliff2

from limberleaf.cli import main
from limberleaf.exchange.translation.units import Unit
from limberleaf.exchange.translation.xliff import CORE, SIZE, xliff_text
from limberleaf.library import load_library

X = f"{{{CORE}}}"
SCHEMA = {
    "xliff": (["file"], {"version", "srcLang", "trgLang"}),
    "file": (["profiles", "unit"], {"id", "original", "srcDir", "trgDir"}),
    "profiles": ([], {"generalProfile", "storageProfile"}),
    "unit": (["notes", "originalData", "segment"], {"id", "name", "translate", "sizeRestriction"}),
    "notes": (["note"], set()),
    "note": ([], {"id", "appliesTo", "category", "priority"}),
    "originalData": (["data"], set()),
    "data": ([], {"id", "dir"}),
    "segment": (["source", "target"], {"id", "state", "subState"}),
    "source": (["ph"], {"lang", "space"}),
    "target": (["ph"], {"lang", "space", "order"}),
    "ph": ([], {"id", "dataRef", "equiv", "disp", "canDelete", "canCopy", "canReorder"}),
}
"""What we write of the core: the order of children and the attributes allowed, as xliff_core_2.0.xsd has them."""
STATES = {"initial", "translated", "reviewed", "final"}


def translate(content: Path, *arguments: object) -> Result:
    call = ["translate", *map(str, arguments), "--content", str(content)]
    return CliRunner().invoke(main, call, catch_exceptions=False)


def out(content: Path, name: str, language: str, *more: str) -> Path:
    file = content.parent / name
    done = translate(content, "out", file, "--to", language, *more)
    assert done.exit_code == 0, done.output
    return file


@pytest.mark.parametrize(("language", "end"), [("nl", "xlf"), ("ar", "xlf"), ("ar", "po")])
def test_what_comes_back_as_it_went_changes_no_byte(content: Path, language: str, end: str) -> None:
    before = tree(content)
    file = out(content, f"{language}.{end}", language)
    again = file.read_bytes()
    done = translate(content, "in", file)
    assert done.exit_code == 0, done.output
    assert "warning" not in done.output
    assert "0 translations written" in done.output
    assert tree(content) == before
    out(content, f"{language}.{end}", language)
    assert file.read_bytes() == again


def _name(element: ElementTree.Element) -> str:
    return element.tag.split("}")[1]


@pytest.mark.parametrize("language", ["nl", "ar"])
def test_the_document_has_the_form_of_the_standard(content: Path, language: str) -> None:
    root = ElementTree.fromstring(out(content, "a.xlf", language).read_bytes())  # noqa: S314 - our own
    assert root.get("version") == "2.1"
    ids: list[str] = []
    for element in root.iter():
        order, allowed = SCHEMA[_name(element)]
        assert element.tag.startswith((X, f"{{{SIZE}}}"))
        places = [order.index(_name(child)) for child in element]
        assert places == sorted(places)
        assert {key.split("}")[-1] for key in element.attrib} <= allowed
        if _name(element) == "unit":
            ids.append(str(element.get("id")))
            data = {one.get("id") for one in element.iter(f"{X}data")}
            assert {one.get("dataRef") for one in element.iter(f"{X}ph")} <= data
            for side in ("source", "target"):
                codes = [one.get("id") for part in element.iter(f"{X}{side}") for one in part.iter(f"{X}ph")]
                assert len(codes) == len(set(codes))
        if _name(element) == "segment":
            assert element.get("state") in STATES
            assert element.get("subState") is None or ":" in str(element.get("subState"))
            if element.get("state") != "initial":
                assert element.find(f"{X}target") is not None
    assert len(ids) == len(set(ids))
    assert all(" " not in one for one in ids)


@pytest.mark.parametrize(
    ("source", "target", "directions"),
    [
        ("en", "nl", {}),
        ("en", "ps", {"trgDir": "rtl"}),
        ("en", "ckb", {"trgDir": "rtl"}),
        ("ar", "en-GB", {"srcDir": "rtl"}),
        ("ar", "he", {"srcDir": "rtl", "trgDir": "rtl"}),
    ],
)
def test_a_document_says_which_of_its_languages_run_from_right_to_left(
    source: str, target: str, directions: dict[str, str]
) -> None:
    unit = Unit("exercises", "kn-03", ("title",), "One line")
    file = ElementTree.fromstring(xliff_text([unit], source, target)).find(f"{X}file")  # noqa: S314 - our own
    assert file is not None
    assert {key: value for key, value in file.attrib.items() if key.endswith("Dir")} == directions


def test_other_readers_see_the_same_texts(content: Path) -> None:
    library = load_library(content)
    title = library.translations["ne-01", "nl"].entry.title
    xlf = xliff2.Xliff2File.parsestring(out(content, "nl.xlf", "nl").read_bytes())
    assert title in {str(unit.target) for unit in xlf.units}
    assert xlf.gettargetlanguage() == "nl"
    po = out(content, "nl.po", "nl")
    by_context = {message.context: message for message in babel_po(io.BytesIO(po.read_bytes())) if message.id}
    message = by_context["exercises.ne-01.title"]
    assert (message.id, message.string) == (library.exercises["ne-01"].entry.title, title)
    assert not message.fuzzy
    assert message.locations[0][0] == "exercises/neck/ne-01.yml"


@pytest.mark.parametrize("end", ["po", "xlf"])
def test_a_file_that_a_translator_confirmed_makes_the_translation_anew_as_a_draft(
    content: Path, end: str
) -> None:
    wanted = load_library(content).translations["ne-01", "nl"].entry
    file = out(content, f"nl.{end}", "nl", "--only", "ne-01")
    (content / "exercises/neck/ne-01.nl.yml").unlink()
    done = translate(content, "in", file)
    assert done.exit_code == 0, done.output
    made = load_library(content).translations["ne-01", "nl"].entry
    assert made.status == "draft"
    assert made.review.approved_by is None
    apart = {"status", "review", "switched_off"}
    assert made.model_dump(exclude=apart) == wanted.model_dump(exclude=apart)


def test_what_a_translator_got_wrong_about_safety_is_found_before_it_is_written(content: Path) -> None:
    """German, a language of long words without interface words here: a line that lost its “not” is an error."""
    file = out(content, "de.po", "de", "--only", "kn-03")
    catalogue = polib.pofile(str(file))
    for entry in catalogue:
        entry.msgstr = " ".join(
            ["Kniebeugungsübungswiederholung", *re.findall(r"\{[^}]*\}|\d+(?:-\d+)?", entry.msgid)]
        )
    catalogue.save(str(file))
    done = translate(content, "in", file)
    assert done.exit_code == 1
    assert "translation-other-no" in done.output
    assert ("kn-03", "de") not in load_library(content).translations


def test_what_is_not_confirmed_is_not_taken(content: Path) -> None:
    file = out(content, "nl.po", "nl", "--only", "kn-03")
    catalogue = polib.pofile(str(file))
    for entry in catalogue:
        entry.msgstr = entry.msgid
    catalogue[2].flags.append("fuzzy")
    catalogue.save(str(file))
    done = translate(content, "in", file)
    assert "translation-not-whole" in done.output
    assert ("kn-03", "nl") not in load_library(content).translations


def test_a_blank_that_a_translator_broke_is_named_and_nothing_is_written(content: Path) -> None:
    before = tree(content)
    file = out(content, "ar.po", "ar", "--only", "kn-03")
    text = file.read_text("utf-8")
    assert "{hold_count}" in text
    catalogue = polib.pofile(str(file))
    entry = next(one for one in catalogue if one.msgctxt == "exercises.kn-03.steps.2")
    entry.msgstr = entry.msgstr.replace("{hold_count}", "{halten}")
    catalogue.save(str(file))
    done = translate(content, "in", file)
    assert done.exit_code == 1
    assert "unknown-blank" in done.output
    assert "{halten}" in done.output
    assert tree(content) == before


def test_a_unit_of_an_entry_that_is_gone_is_an_error(content: Path) -> None:
    before = tree(content)
    file = out(content, "nl.po", "nl", "--only", "ne-01")
    file.write_text(file.read_text("utf-8").replace("exercises.ne-01.", "exercises.ne-91."), "utf-8")
    done = translate(content, "in", file)
    assert done.exit_code == 1
    assert "[unknown-entry]" in done.output
    assert tree(content) == before


def test_what_does_not_fit_the_original_is_a_warning_at_its_unit(content: Path) -> None:
    file = out(content, "nl.po", "nl", "--only", "ne-01")
    catalogue = polib.pofile(str(file))
    counted = next(one for one in catalogue if "{hold_count}" in one.msgstr)
    counted.msgstr = counted.msgstr.replace("{hold_count}", "")
    other = next(one for one in catalogue if one.msgctxt.endswith(".aim"))
    other.msgid = "Something else."
    catalogue.save(str(file))
    done = translate(content, "in", file, "--dry-run")
    assert f"unit {counted.msgctxt} warning [blank-left-out]" in done.output
    assert f"unit {other.msgctxt} warning [original-changed]" in done.output


def test_a_line_is_not_taken_before_the_lines_above_it(content: Path) -> None:
    entry = content / "exercises/neck/ne-01.yml"
    last_step = "  - Let your head roll back to the start.\n"
    more = last_step + "  - Look up once more.\n  - Look at the floor.\n"
    entry.write_text(entry.read_text("utf-8").replace(last_step, more), "utf-8")
    before = tree(content)
    file = out(content, "nl.po", "nl", "--only", "ne-01")
    catalogue = polib.pofile(str(file))
    last = next(one for one in catalogue if one.msgid == "Look at the floor.")
    last.msgstr, last.flags = "Kijk naar de vloer.", []
    catalogue.save(str(file))
    done = translate(content, "in", file)
    assert done.exit_code == 1
    assert "[translation-has-a-gap]" in done.output
    assert tree(content) == before


def test_only_what_is_open_goes_out_and_a_dry_run_writes_nothing(content: Path) -> None:
    whole = polib.pofile(str(out(content, "nl.po", "nl")))
    still_open = polib.pofile(str(out(content, "open.po", "nl", "--open")))
    done = {one.msgctxt for one in whole if one.msgstr and "fuzzy" not in one.flags}
    assert done
    assert {one.msgctxt for one in still_open} == {one.msgctxt for one in whole} - done
    file = out(content, "ne-01.po", "nl", "--only", "ne-01")
    (content / "exercises/neck/ne-01.nl.yml").unlink()
    before = tree(content)
    facts = json.loads(translate(content, "in", file, "--dry-run", "--format", "json").output)
    assert (facts["written"], facts["changed"]) == (False, ["exercises/neck/ne-01.nl.yml"])
    assert tree(content) == before


def test_a_stale_translation_is_marked_and_becomes_fresh_when_all_is_confirmed(content: Path) -> None:
    entry = content / "exercises/neck/ne-01.yml"
    title = load_library(content).exercises["ne-01"].entry.title
    entry.write_text(entry.read_text("utf-8").replace(title, f"{title} slowly"), "utf-8")
    file = out(content, "nl.po", "nl", "--only", "ne-01")
    catalogue = polib.pofile(str(file))
    assert all("fuzzy" in one.flags for one in catalogue if one.msgstr)
    rows = {
        row["kind"]: row for row in json.loads(translate(content, "status", "--format", "json").output)[:4]
    }
    assert rows["exercise"]["stale"] == 1
    assert translate(content, "in", file).output.startswith("0 translations")
    for one in catalogue:
        one.flags = [flag for flag in one.flags if flag != "fuzzy"]
    catalogue.save(str(file))
    done = translate(content, "in", file)
    assert done.exit_code == 0, done.output
    rows = {
        row["kind"]: row for row in json.loads(translate(content, "status", "--format", "json").output)[:4]
    }
    assert rows["exercise"]["stale"] == 0


def test_the_same_sentence_elsewhere_is_lent_and_must_be_confirmed(content: Path) -> None:
    catalogue = polib.pofile(str(out(content, "nl.po", "nl")))
    lent = [one for one in catalogue if "fuzzy" in one.flags and one.msgstr and not one.previous_msgid]
    assert lent
    done = {one.msgid: one.msgstr for one in catalogue if one.msgstr and "fuzzy" not in one.flags}
    assert [
        one.msgid for one in lent if done.get(one.msgid) is None and "changed since" not in one.comment
    ] == []


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("a.xlf", "<xliff"),
        ("a.xlf", '<!DOCTYPE x [<!ENTITY a "b">]><xliff>&a;</xliff>'),
        ("a.xlf", "<xliff version='1.2' xmlns='urn:oasis:names:tc:xliff:document:1.2'/>"),
        ("a.po", 'msgid "a'),
    ],
)
def test_files_that_cannot_be_read_are_refused_in_plain_words(content: Path, name: str, text: str) -> None:
    (content.parent / name).write_text(text, "utf-8")
    done = translate(content, "in", content.parent / name)
    assert done.exit_code == 1
    assert done.output.startswith(f"Error: {name}")


def test_a_pseudo_library_reads_and_every_text_can_be_told(content: Path) -> None:
    done = translate(content, "pseudo", content.parent / "pseudo")
    assert done.exit_code == 0, done.output
    made, plain = load_library(content.parent / "pseudo/content"), load_library(content)
    assert [finding for finding in made.findings if finding.severity == "error"] == []
    for code, loaded in made.exercises.items():
        entry, was = loaded.entry, plain.exercises[code].entry
        for text, before in zip([entry.title, *entry.steps], [was.title, *was.steps], strict=True):
            assert text.startswith("⟦")
            assert text.endswith("⟧")
            assert len(text) > 1.3 * len(before)
        assert entry.dose == was.dose
