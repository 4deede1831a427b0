"""Every clinical check says what it should, where it should, and keeps quiet where it should.

The cases are files (cases/*.yml): each edits the starter library that `limberleaf init` writes. «1» in an edit marks
the line and column the finding must name; without a mark the file is enough.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest
import yaml

from limberleaf.checks import ladders, record, references
from limberleaf.checks.approval import approvals, review
from limberleaf.checks.approval.approvals import check_approvals
from limberleaf.checks.meaning import agreement, sides
from limberleaf.checks.numbers import pain_numbers, ranges, typed_numbers
from limberleaf.checks.safety import cautions
from limberleaf.checks.texts import entries
from limberleaf.checks.translation import translations
from limberleaf.clinical.governance.lock import empty_lock, read_lock
from limberleaf.findings import Finding
from limberleaf.library import Library, load_library
from limberleaf.library.translate import fingerprint

HERE = Path(__file__).parent
ENTRY = "exercises/knee/kn-02.yml"
DUTCH = "exercises/knee/kn-02.nl.yml"
TODAY = date(2026, 11, 25)
FAMILIES: dict[str, Callable[[Library, date | None], Any]] = {
    "agreement": lambda library, _: agreement.check_agreement(library),
    "cautions": lambda library, _: cautions.check_cautions(library),
    "dose": lambda library, _: ranges.check_doses(library),
    "dose_numbers": lambda library, _: typed_numbers.check_dose_numbers(library),
    "ladders": lambda library, _: ladders.check_ladders(library),
    "pain_numbers": lambda library, _: pain_numbers.check_pain_numbers(library),
    "record": lambda library, _: record.check_record(library),
    "references": lambda library, _: references.check_references(library),
    "review": review.check_review,
    "sides": lambda library, _: sides.check_sides(library),
    "translations": lambda library, _: translations.check_translations(library),
}
CASES = [
    pytest.param(family, case, id=f"{family}-{number}-{case.get('name', case['code'])}")
    for family in FAMILIES
    for number, case in enumerate(yaml.safe_load((HERE / "cases" / f"{family}.yml").read_text("utf-8")), 1)
]
TRANSLATION = {
    "translates": 'translates: {{code: kn-02, version: 1, fingerprint: "{print}"}}',
    "status": "status: approved",
    "title": "title: Strek uw knie in zit",
    "aim": "aim: Maak uw bovenbeen sterker.",
    "leave_out_if": "leave_out_if: [Uw knie is heet en dik.]",
    "setup": "setup: [Ga op een stevige stoel zitten.]",
    "steps": "steps:\n  - Til de voet van uw {affected} been op.\n  - Tel even.\n  - Zak langzaam.",
    "feelings": "feelings: {fine: [Uw been trilt.], ease_off: [Meer pijn.], stop: [Scherpe pijn.]}",
    "in_short": "in_short: [Zit recht., Strek., 3 keer.]",
    "figure": "figure:\n  - Zit recht.\n  - Til de voet van uw {affected} been op.",
    "review": "review: {owner: Lead physiotherapist, approved_by: Clinical lead, reviewed: 2026-09-01, version: 1}",
}


def prepared(content: Path, case: dict[str, Any]) -> tuple[str, int, int] | None:
    """Make the case's edits; give file, line and column of its mark."""
    marked: set[str] = set()
    for edit in case.get("edits", []):
        name = edit.get("file", ENTRY)
        file = content / name
        if edit.get("gone"):
            file.unlink()
            continue
        if "copy" in edit:
            file.write_text((content / edit["copy"]).read_text("utf-8"), "utf-8")
        if "write" in edit:
            file.write_text(edit["write"], "utf-8")
        else:
            text = file.read_text("utf-8")
            assert edit["find"] in text, edit
            file.write_text(text.replace(edit["find"], edit["put"], 1), "utf-8")
        marked.add(name)
    if "translation" in case:
        present = fingerprint(load_library(content).exercises["kn-02"].entry)
        lines = {**TRANSLATION, "translates": TRANSLATION["translates"].format(print=present)}
        (content / DUTCH).write_text("\n".join({**lines, **case["translation"]}.values()) + "\n", "utf-8")
        marked.add(DUTCH)
    found = None
    for name in marked:
        text = (content / name).read_text("utf-8")
        if "«1»" in text:
            before = text[: text.index("«1»")]
            found = (name, before.count("\n") + 1, len(before) - before.rfind("\n"))
            (content / name).write_text(text.replace("«1»", ""), "utf-8")
    return found


@pytest.mark.parametrize(("family", "case"), CASES)
def test_case(content: Path, family: str, case: dict[str, Any]) -> None:
    place = prepared(content, case)
    library = load_library(content)
    if not case.get("name", "").startswith("an entry that cannot be read"):
        assert library.findings == []

    found = list(FAMILIES[family](library, case.get("today", TODAY)))

    same: list[Finding] = [finding for finding in found if finding.code == case["code"]]
    if case.get("quiet"):
        assert same == []
        return
    assert same, [finding.line() for finding in found]
    if place:
        assert place in {(f.place.path, f.place.line, f.place.column) for f in same}
    else:
        assert case["file"] in {finding.place.path for finding in same}
    assert any(case.get("message", "") in f.message and case.get("hint", "") in f.hint for f in same), same
    assert {finding.severity for finding in same} <= {case.get("severity", same[0].severity)}
    assert all(finding.message.endswith((".", "!", "?")) and finding.hint for finding in same)


@pytest.mark.parametrize("to_the_letter", [True, False], ids=["made before", "made now"])
def test_a_comma_in_the_original_asks_no_translator_to_bring_it_up_to_date(
    content: Path, to_the_letter: bool
) -> None:
    entry = load_library(content).exercises["kn-02"].entry
    made_from = fingerprint(entry, to_the_letter=to_the_letter)
    translates = f'translates: {{code: kn-02, version: 1, fingerprint: "{made_from}"}}'
    prepared(content, {"code": "", "translation": {"translates": translates}})

    def stale() -> bool:
        return "translation-stale" in {
            one.code for one in translations.check_translations(load_library(content))
        }

    assert not stale()
    original = content / ENTRY
    text = original.read_text("utf-8")
    original.write_text(text.replace("Do not lean back", "Do not lean back;", 1), "utf-8")
    assert stale() == to_the_letter  # what was made before changes to the letter once more
    original.write_text(text.replace("Do not lean back", "Do lean back", 1), "utf-8")
    assert stale()


def findings_of(content: Path) -> list[str]:
    library = load_library(content)
    return [finding.code for check in FAMILIES.values() for finding in check(library, TODAY)]


def test_the_approved_starter_has_no_finding(content: Path) -> None:
    assert findings_of(content) == []


def test_a_fresh_library_has_drafts_approvers_and_a_lock_and_no_finding(fresh_library: Path) -> None:
    content = fresh_library / "content"
    assert findings_of(content) == []
    library = load_library(content)
    assert {loaded.entry.status for loaded in entries(library)} == {"draft"}
    assert {loaded.entry.review.approved_by for loaded in entries(library)} == {None}
    assert library.settings.review.approvers
    assert read_lock((content / "approved.lock").read_text("utf-8")).whole


def test_an_approved_entry_is_an_error_once_the_lock_is_emptied(content: Path) -> None:
    (content / "approved.lock").write_text(empty_lock(), "utf-8")
    found = list(check_approvals(load_library(content)))
    assert {(one.code, one.severity) for one in found} == {("approval-not-recorded", "error")}


def codes_in_source() -> set[str]:
    """Read the codes of findings out of the checks' own source."""
    found = {code for _, code in ranges.SPECIAL.values()} | {
        "dose-unusual",
        "no-emergency-box",
        "no-same-day-box",
    }
    found |= {
        "no-working-side",
        "no-base-side",
        *(f"unknown-{what}" for what in ("exercise", "ladder", "caution")),
    }
    found |= {
        "changed-dose",
        "changed-fact-words",
        "changed-not-dropped",
        "changed-tier-lowered",
        "edit-not-recorded",
        "review-typed",
    }
    for module in (
        agreement,
        approvals,
        cautions,
        ranges,
        typed_numbers,
        ladders,
        pain_numbers,
        record,
        references,
        review,
        sides,
        translations,
    ):
        tree = ast.parse(Path(str(module.__file__)).read_text("utf-8"))
        for node in ast.walk(tree):
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") in ("Finding", "_Target"):
                code = node.args[1]
                if isinstance(code, ast.Constant) and re.fullmatch(r"[a-z-]+", str(code.value)):
                    found.add(str(code.value))
    return found


def test_every_code_has_a_case_that_gives_it_and_one_that_does_not() -> None:
    cases = [param.values[1] for param in CASES]
    given = {case["code"] for case in cases if not case.get("quiet")}
    quiet = {case["code"] for case in cases if case.get("quiet")}
    # needs a library of its own, below; two of the lock are tried through the command (tests/cli), one in tests/words
    own = {"many-boxes", "approved-gone", "major-edit-not-reviewed", "interface-words-missing"}
    own |= {"retired-by-one", "retirement-not-recorded"}
    assert codes_in_source() - own == given - own
    assert given - quiet == set()


def test_many_boxes_are_a_note(content: Path) -> None:
    text = (content / "cautions/hot-knee.yml").read_text("utf-8")

    def add(number: int) -> None:
        one = text.replace("id: hot-knee", f"id: more-{number}").replace("tier: emergency", "tier: ease_off")
        one = one.replace("signs:", f"action: Do less, {number} times less.\nsigns:")
        (content / f"cautions/more-{number}.yml").write_text(one, "utf-8")

    for number in (1, 2, 3):
        add(number)
    assert "many-boxes" not in {f.code for f in cautions.check_cautions(load_library(content))}
    add(4)
    found = [f for f in cautions.check_cautions(load_library(content)) if f.code == "many-boxes"]
    assert {finding.severity for finding in found} == {"note"}
    assert "6 caution boxes" in found[0].message
