"""The record against the instruments, and what the lock of approvals keeps."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from limberleaf.checks.approval.approvals import check_approvals
from limberleaf.clinical.governance.approval import edit_since, lock_of, lock_text, now
from limberleaf.clinical.governance.lock import Agreed, Reason, Retired, read_lock
from limberleaf.clinical.record import record, tally
from limberleaf.commands.review.review import command
from limberleaf.library import Library, load_library

FINISH = (
    "    - joints:\n        affected: {knee: {flexion: 5}}\n"
    "      caption: Lift the foot of your {affected} leg until the knee is almost straight.\n"
)


def states(library: Library, code: str = "kn-02") -> dict[str, str]:
    lines = record(library, library.exercises[code].entry)
    return {f"{line.instrument} {line.item}": line.state for line in lines}


def test_a_whole_entry_meets_what_a_program_can_tell(library: Library) -> None:
    lines = record(library, library.exercises["kn-02"].entry)
    assert "not_met" not in {line.state for line in lines}
    counted = {name: tally(lines, name) for name in ("CERT", "PEMAT-P", "CCI")}
    assert (counted["CERT"].met, counted["CERT"].not_applicable) == (16, 3)
    assert counted["PEMAT-P"].met + counted["PEMAT-P"].person == 24
    assert counted["CCI"].met + counted["CCI"].person == 20
    assert counted["PEMAT-P"].person > 0


def test_words_are_left_to_a_person(library: Library) -> None:
    found = states(library)
    assert found["PEMAT-P 3"] == found["CCI 7"] == "person"
    assert found["CERT 7b"] == "not_applicable"


@pytest.mark.parametrize(
    ("find", "put", "opened"),
    [
        (
            FINISH,
            "",
            {"CERT 8", "CCI 14"},
        ),
        ("      caption: Sit tall with both feet flat on the floor.\n", "", {"PEMAT-P 17", "PEMAT-P 25"}),
        ("approved_by: Clinical lead, ", "", {"CERT 2"}),
        ("{claim: dose,", "{claim: aim,", {"CCI 11"}),
    ],
)
def test_a_missing_field_opens_its_items(content: Path, find: str, put: str, opened: set[str]) -> None:
    file = content / "exercises/knee/kn-02.yml"
    text = file.read_text("utf-8")
    assert find in text
    file.write_text(text.replace(find, put, 1), "utf-8")
    found = states(load_library(content))
    assert {item for item, state in found.items() if state == "not_met"} == opened


def test_an_exercise_in_no_collection_has_no_advice(library: Library) -> None:
    library.collections.clear()
    assert {item for item, state in states(library).items() if state == "not_met"} == {"CERT 10"}


def test_the_lock_is_read_as_it_was_written(library: Library) -> None:
    lock = read_lock(lock_text(library, None))
    assert lock.bad_lines == ()
    assert lock.whole
    assert set(lock.entries) == {
        "cautions/hot-knee",
        "cautions/knee-giving-way",
        "collections/stiff-knee",
        "exercises/kn-01",
        "exercises/kn-02",
        "ladders/knee-first-steps",
        "pages/about",
        "settings/clinic",
        "settings/equipment",
    }
    entry = library.exercises["kn-02"].entry
    assert lock.entries["exercises/kn-02"] == now(entry)
    assert edit_since(entry, lock.entries["exercises/kn-02"]).level == "none"
    assert lock_text(library, lock) == lock_text(library, None)


@pytest.mark.parametrize(
    ("change", "level", "fields"),
    [
        ({"title": "Another title"}, "minor", ("title",)),
        ({"synonyms": ["kick"]}, "minor", ("synonyms",)),
        ({"steps": ["Lift."]}, "major", ("steps",)),
        ({"title": "Another", "leave_out_if": ["Never."]}, "major", ("leave_out_if", "title")),
        ({"needs_clearance": True}, "major", ("needs_clearance",)),
        ({"status": "in_review"}, "none", ()),
        ({"aim": "BUILD the strength at the front of your thigh so that stairs feel easier!"}, "none", ()),
    ],
)
def test_edits_are_minor_or_major_by_their_fields(
    library: Library, change: dict[str, object], level: str, fields: tuple[str, ...]
) -> None:
    entry = library.exercises["kn-02"].entry
    edit = edit_since(entry.model_copy(update=change), now(entry))
    assert (edit.level, edit.fields) == (level, fields)


def test_numbers_keep_their_points_and_sentences_their_stops(library: Library) -> None:
    entry = library.exercises["kn-02"].entry
    numbers = (("1.5 kg", "15 kg"), ("8-12 times", "812 times"), ("10 %", "10"))
    stops = (("No. Clicks are common.", "No clicks are common."), ("No, walk.", "No walk."))
    for before, after in (*numbers, *stops):
        old = entry.model_copy(update={"setup": [before]})
        assert edit_since(entry.model_copy(update={"setup": [after]}), now(old)).level == "major"


def test_only_what_was_agreed_to_is_recorded(content: Path) -> None:
    before = read_lock(lock_text(load_library(content), None))
    for name, find, put in (
        ("kn-01", "repetitions: 10", "repetitions: 9"),
        ("kn-02", "sets: 3,", "sets: 4,"),
    ):
        file = content / f"exercises/knee/{name}.yml"
        assert find in file.read_text("utf-8")
        file.write_text(file.read_text("utf-8").replace(find, put), "utf-8")
    (content / "cautions/hot-knee.yml").unlink()
    edited = load_library(content)
    after = read_lock(lock_text(edited, before, confirmed=frozenset({"exercises/kn-02"})))
    assert after.entries["exercises/kn-01"] == before.entries["exercises/kn-01"]
    assert after.entries["exercises/kn-02"].fields["dose"]["sets"] == [4, 4]
    assert after.entries["cautions/hot-knee"] == before.entries["cautions/hot-knee"]


def test_why_a_safeguard_went_stays_in_the_lock(library: Library) -> None:
    name = "exercises/kn-02"
    why = Reason(
        "A stop rule was taken away.", date(2026, 11, 1), "Clinical lead", 'The box says "locks" now.'
    )
    lock = read_lock(lock_text(library, None, agreed={name: Agreed((why,))}))
    assert lock.entries[name].reasons == (why,)
    assert lock.entries[name].fields == now(library.exercises["kn-02"].entry).fields
    again = read_lock(lock_text(library, lock, confirmed=frozenset({name})))
    assert again.entries[name].reasons == (why,)


def test_what_was_retired_stays_in_the_lock_with_its_reason(library: Library) -> None:
    before = read_lock(lock_text(library, None))
    gone = {"cautions/hot-knee": Retired(date(2026, 11, 1), "Clinical lead", 'One box says "both" now.')}
    after = read_lock(lock_text(library, before, confirmed=frozenset(), retired=gone))
    assert "cautions/hot-knee" not in after.entries
    assert after.retired == gone
    assert after.whole


def test_a_lock_with_conflict_marks_says_which_lines(library: Library) -> None:
    text = lock_text(library, None).replace("exercises/kn-02", "<<<<<<< ours\nexercises/kn-02")
    lock = read_lock(text)
    assert len(lock.bad_lines) == 1
    assert text.splitlines()[lock.bad_lines[0] - 1] == "<<<<<<< ours"
    assert "exercises/kn-02" in lock.entries


UNREADABLE = {
    "cautions/hot-knee": ("cautions/hot-knee.yml", "signs:\n  - ", "signs:\n  - so: this: "),
    "exercises/kn-02": ("exercises/knee/kn-02.yml", "steps:\n  - ", "steps:\n  - so: this: "),
    "pages/about": ("pages/about.md", "title:", "title: so: this:"),
    "settings/equipment": ("equipment.yml", "items:", "items: so: this:"),
}


@pytest.mark.parametrize("name", UNREADABLE)
def test_a_file_that_cannot_be_read_is_not_called_gone_and_keeps_its_lines(content: Path, name: str) -> None:
    path, find, put = UNREADABLE[name]
    (content / "approved.lock").write_text(lock_text(load_library(content), None), "utf-8")
    file = content / path
    text = file.read_text("utf-8")
    assert find in text
    file.write_text(text.replace(find, put, 1), "utf-8")
    library = load_library(content)
    before = lock_of(library)
    assert before
    assert path in {one.place.path for one in library.findings}
    found = list(check_approvals(library))
    assert "approved-gone" not in {one.code for one in found}, found
    assert before.entries[name] == read_lock(lock_text(library, before, confirmed=frozenset())).entries[name]
    file.unlink()
    assert "approved-gone" in {one.code for one in check_approvals(load_library(content))}


def test_one_file_that_cannot_be_read_holds_up_no_other_approval(content: Path) -> None:
    clinic = content / "clinic.yml"
    roles = "3 months, approvers: [Clinical lead, Second reader]}"
    clinic.write_text(clinic.read_text("utf-8").replace("3 months}", roles), "utf-8")
    (content / "approved.lock").write_text(lock_text(load_library(content), None), "utf-8")
    path, find, put = UNREADABLE["cautions/hot-knee"]
    broken, edited = content / path, content / "exercises/knee/kn-02.yml"
    broken.write_text(broken.read_text("utf-8").replace(find, put, 1), "utf-8")
    edited.write_text(
        edited.read_text("utf-8").replace("Straighten your knee in", "Straighten the knee in", 1), "utf-8"
    )

    def record(name: str) -> Result:
        asked = ["--content", str(content), "--record", "--as", "Clinical lead", "--only", name]
        return CliRunner().invoke(command, asked, input="y\n" * 5)

    done = record("kn-02")
    assert done.exit_code == 0, done.output
    assert "1 approvals recorded" in done.output
    refused = record("hot-knee")
    assert refused.exit_code == 1
    assert path in refused.output


def test_a_library_without_a_lock(library: Library) -> None:
    (library.root / "approved.lock").unlink()
    assert lock_of(library) is None
