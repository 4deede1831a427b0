"""Who keeps an entry is in the lock, also when the file is gone; words that lead people to a page are read twice."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from limberleaf.checks.approval.approvals import check_approvals
from limberleaf.clinical.governance.approval import edit_since, lock_text, now
from limberleaf.clinical.governance.approvers import language_of
from limberleaf.clinical.governance.difference import differences
from limberleaf.clinical.governance.lock import read_lock
from limberleaf.commands.review.review import command
from limberleaf.library import load_library

LEAD, SECOND, THIRD = "Clinical lead", "Second reader", "Third reader"
FILE, NAME = "exercises/knee/kn-02.yml", "exercises/kn-02"


@pytest.fixture
def approving(content: Path) -> Path:
    """A content folder with three roles that may approve, recorded as it is."""
    edit(content, "clinic.yml", "3 months}", f"3 months, approvers: [{LEAD}, {SECOND}, {THIRD}]}}")
    record(content)
    return content


def record(content: Path) -> None:
    (content / "approved.lock").write_text(lock_text(load_library(content), None), "utf-8")


def edit(content: Path, name: str, find: str, put: str) -> None:
    file = content / name
    text = file.read_text("utf-8")
    assert find in text
    file.write_text(text.replace(find, put, 1), "utf-8")


def review(content: Path, *asked: str) -> str:
    return CliRunner().invoke(command, ["--content", str(content), *asked], input="y\n" * 20).output


def test_the_keeper_of_a_file_that_is_gone_does_not_take_it_away(approving: Path) -> None:
    file = approving / "cautions/hot-knee.yml"
    edit(approving, "cautions/hot-knee.yml", "owner: Lead physiotherapist", f"owner: {SECOND}")
    record(approving)
    file.unlink()
    why = ("--because", "The ankle page has it.")
    assert f"{SECOND} keeps cautions/hot-knee" in review(
        approving, "--retire", "hot-knee", "--as", SECOND, *why
    )
    assert "waits for a second person" in review(approving, "--retire", "hot-knee", "--as", LEAD, *why)
    assert f"{SECOND} keeps cautions/hot-knee" in review(approving, "--retire", "hot-knee", "--as", SECOND)
    refused = review(approving, "--retire", "hot-knee", "--as", LEAD)
    assert f"another role confirms it: {THIRD}." in refused
    assert "is retired" in review(approving, "--retire", "hot-knee", "--as", THIRD)


def test_a_lock_of_before_says_no_keeper_until_the_next_record(approving: Path) -> None:
    lock = approving / "approved.lock"
    text = lock.read_text("utf-8")
    old = "".join(line for line in text.splitlines(keepends=True) if not line.startswith(" kept_by "))
    assert old != text
    lock.write_text(old, "utf-8")
    assert list(check_approvals(load_library(approving))) == []
    assert lock_text(load_library(approving), read_lock(old), confirmed=frozenset()) == text
    (approving / "cautions/hot-knee.yml").unlink()
    said = review(approving, "--retire", "hot-knee", "--as", LEAD, "--because", "The ankle page has it.")
    assert "Nothing says who kept cautions/hot-knee" in said


def test_who_gives_an_entry_away_approves_nothing_else_in_it(approving: Path) -> None:
    edit(approving, FILE, "owner: Lead physiotherapist", f"owner: {LEAD}")
    record(approving)
    edit(approving, FILE, f"owner: {LEAD}", f"owner: {SECOND}")
    edit(approving, FILE, "Do not lean back", "Lean back")
    assert f"{LEAD} kept this entry until now" in review(
        approving, "--record", "--only", "kn-02", "--as", LEAD
    )
    edit(approving, FILE, "Lean back", "Do not lean back")
    assert "1 approvals recorded" in review(approving, "--record", "--only", "kn-02", "--as", LEAD)
    lock = read_lock((approving / "approved.lock").read_text("utf-8"))
    assert lock.entries[NAME].fields["kept_by"] == SECOND
    (waiting,) = lock.entries[NAME].waiting
    assert (waiting.old, waiting.new) == (LEAD, SECOND)


def test_who_gave_an_entry_away_counts_as_its_keeper_until_the_new_one_is_confirmed(approving: Path) -> None:
    """Two commands in a row would else do what one may not: give it away, then approve what one wrote oneself."""
    edit(approving, FILE, "owner: Lead physiotherapist", f"owner: {LEAD}")
    record(approving)
    edit(approving, FILE, f"owner: {LEAD}", f"owner: {SECOND}")
    only = ("--only", "kn-02", "--as")
    assert "1 approvals recorded" in review(approving, "--record", *only, LEAD)
    edit(approving, FILE, "Do not lean back", "Lean back")
    why = ("--because", "The chair holds the back.")
    assert f"{LEAD} kept this entry until now" in review(approving, "--record", *only, LEAD, *why)
    assert "1 approvals recorded" in review(approving, "--record", *only, THIRD, *why)
    said = review(approving, "--confirm", *only, LEAD)
    assert f"{LEAD} kept this entry until now: first have the new keeper confirmed" in said
    assert "0 changes confirmed" in said
    assert "1 changes confirmed" in review(approving, "--confirm", *only, THIRD)
    assert "1 changes confirmed" in review(approving, "--confirm", *only, LEAD)


def test_who_gave_an_entry_away_does_not_take_it_away_before_the_new_keeper_is_confirmed(
    approving: Path,
) -> None:
    edit(approving, "cautions/hot-knee.yml", "owner: Lead physiotherapist", f"owner: {LEAD}")
    record(approving)
    edit(approving, "cautions/hot-knee.yml", f"owner: {LEAD}", f"owner: {SECOND}")
    assert "1 approvals recorded" in review(approving, "--record", "--only", "hot-knee", "--as", LEAD)
    (approving / "cautions/hot-knee.yml").unlink()
    why = ("--because", "The ankle page has it.")
    assert f"{LEAD} keeps cautions/hot-knee" in review(approving, "--retire", "hot-knee", "--as", LEAD, *why)


@pytest.mark.parametrize("language", ["en", "ar"])
def test_a_new_search_word_is_read_by_a_second_person_and_one_less_by_nobody(language: str) -> None:
    old, new = ["leg extension", "quads"], ["broken knee", "leg extension"]
    came, went = sorted(
        differences({"synonyms": old}, {"synonyms": new}, language), key=lambda one: not one.safety
    )
    assert "“broken knee” is now led here" in came.says
    assert came.loc == ("synonyms", 0)
    assert came.safety
    assert not came.weakens
    assert "“quads” is no longer led here" in went.says
    assert not went.safety


def test_what_a_typed_word_stands_for_in_the_finder_is_approved_too(approving: Path) -> None:
    words = approving / "words.yml"
    assert "settings/words" not in read_lock((approving / "approved.lock").read_text("utf-8")).entries
    words.write_text(words.read_text("utf-8") + "synonyms:\n  chest pain: [shoulder]\n", "utf-8")
    (found,) = check_approvals(load_library(approving))
    assert (found.code, found.place.path) == ("approval-not-recorded", "words.yml")
    record(approving)
    edit(approving, "words.yml", "chest pain: [shoulder]", "chest pain: [shoulder, walking]")
    (found,) = check_approvals(load_library(approving))
    assert "“chest pain” now finds what “walking” finds" in found.message
    edit(approving, "words.yml", "synonyms:\n  chest pain: [shoulder, walking]\n", "")
    assert list(check_approvals(load_library(approving))) == []


@pytest.mark.parametrize(
    ("field", "one", "two"),
    [
        ("tags", ["fall_risk", "standing"], ["standing", "fall_risk"]),
        ("cautions", ["hot-knee", "thin-bones"], ["thin-bones", "hot-knee"]),
        ("synonyms", ["one", "two"], ["two", "one"]),
        ("figure", {"arrow": ["head", "other hand"]}, {"arrow": ["other hand", "head"]}),
    ],
)
def test_an_order_that_nobody_sees_is_no_change(
    field: str, one: object, two: object, approving: Path
) -> None:
    assert differences({field: one}, {field: two}, "en") == []
    entry = load_library(approving).exercises["kn-02"].entry
    values = one if isinstance(one, list) else one["arrow"] if isinstance(one, dict) else []
    update = (
        {field: values}
        if field != "figure"
        else {"figure": entry.figure.model_copy(update={"arrow": values})}
    )
    before = now(entry.model_copy(update=update))
    turned = values[::-1]
    update = (
        {field: turned}
        if field != "figure"
        else {"figure": entry.figure.model_copy(update={"arrow": turned})}
    )
    assert edit_since(entry.model_copy(update=update), before).level == "none"


@pytest.mark.parametrize(
    ("after", "says"),
    [
        (
            ["Hold.", "Lift it.", "Lower it."],
            "“Hold.” came after “Lift it.” before, and came first now.",
        ),
        (
            ["Lift it.", "Lower it.", "Hold."],
            "“Lower it.” came after “Hold.” before, and came after “Lift it.” now.",
        ),
    ],
)
def test_an_order_that_matters_says_which_line_now_follows_which(after: list[str], says: str) -> None:
    (found,) = differences({"steps": ["Lift it.", "Hold.", "Lower it."]}, {"steps": after}, "en")
    assert found.weakens
    assert says in found.says


@pytest.mark.parametrize(
    ("name", "language"),
    [
        ("exercises/kn-03", "en"),
        ("translations/kn-03.nl", "nl"),
        ("pages/about.ar", "ar"),
        ("pages/about", "en"),
    ],
)
def test_what_is_approved_is_in_the_language_that_its_name_ends_with(name: str, language: str) -> None:
    assert language_of(name, "en") == language
