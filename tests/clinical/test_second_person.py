"""What one person agreed to waits in the lock, word for word, until a second person has compared old and new.

Independent double check: ISMP, "Independent double checks: worth the effort if used judiciously and properly", 2019
(from memory): the second person is another one, works without the first, and sees what was meant and what is there.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from limberleaf.checks.approval.approvals import check_approvals
from limberleaf.checks.approval.second_person import check_waiting
from limberleaf.clinical.governance.approval import lock_text, now
from limberleaf.clinical.governance.approvers import roles_for, why_not_second
from limberleaf.clinical.governance.difference import differences
from limberleaf.clinical.governance.lock import Agreed, Lock, read_lock
from limberleaf.clinical.governance.recording import agreed_to, confirmed_text
from limberleaf.commands.review.review import command
from limberleaf.library import load_library

DAY, LATER = date(2026, 11, 1), date(2026, 11, 2)
NAME, FILE = "exercises/kn-02", "exercises/knee/kn-02.yml"
LEAD, SECOND = "Clinical lead", "Second reader"


def recorded(content: Path, before: Lock, find: str, put: str, day: date = DAY) -> Lock:
    """Edit the entry, agree to all as one person, and write the lock."""
    file = content / FILE
    text = file.read_text("utf-8")
    assert find in text
    file.write_text(text.replace(find, put, 1), "utf-8")
    library = load_library(content)
    old = before.entries[NAME]
    changes = differences(old.fields, now(library.exercises["kn-02"].entry).fields, "en")
    why = {one: "The team agreed to the new words." for one in changes if one.weakens}
    agreed: Mapping[str, Agreed] = {NAME: agreed_to(old, changes, (LEAD, day), why)}
    text = lock_text(library, before, confirmed=frozenset({NAME}), agreed=agreed)
    (content / "approved.lock").write_text(text, "utf-8")
    return read_lock(text)


@pytest.fixture
def first(content: Path) -> Lock:
    clinic = content / "clinic.yml"
    roles = f"3 months, approvers: [{LEAD}, {SECOND}]}}"
    clinic.write_text(clinic.read_text("utf-8").replace("3 months}", roles), "utf-8")
    return read_lock(lock_text(load_library(content), None))


def line_of(content: Path, words: str) -> int:
    text = (content / FILE).read_text("utf-8")
    return text[: text.index(words)].count("\n") + 1


def test_a_line_is_reported_where_it_stands_with_both_texts_and_who_agreed(
    content: Path, first: Lock
) -> None:
    recorded(content, first, "Do not lean back", "Lean back")
    (found,) = check_waiting(load_library(content))
    assert (found.severity, found.code, found.place.path) == ("warning", "approved-by-one", FILE)
    assert found.place.line == line_of(content, "Lean back")
    for words in (
        "Do not lean back",
        "became “Lean back",
        LEAD,
        str(DAY),
        "The team agreed to the new words.",
    ):
        assert words in found.message
    assert SECOND in found.hint
    assert f"--confirm --only {NAME}" in found.hint


def test_what_nobody_approved_before_waits_as_a_whole_until_a_second_person_read_it(
    content: Path, first: Lock
) -> None:
    (content / "approved.lock").unlink(missing_ok=True)

    def review(*asked: str) -> str:
        return CliRunner().invoke(command, ["--content", str(content), *asked], input="y\n" * 30).output

    def read_by_one() -> set[str]:
        return {one.place.path for one in check_waiting(load_library(content)) if one.code == "read-by-one"}

    assert "approvals recorded" in review("--record", "--as", LEAD)
    lock = read_lock((content / "approved.lock").read_text("utf-8"))
    assert len(read_by_one()) == len(lock.entries) == len(first.entries)
    recorded(content, lock, "Do not lean back", "Lean back")
    assert FILE in read_by_one(), "an edit before the second reading does not stand for it"
    review("--confirm", "--as", LEAD)
    assert len(read_by_one()) == len(first.entries), "the first reader is no second one"
    review("--confirm", "--as", SECOND)
    assert read_by_one() == set()


@pytest.mark.parametrize("kept", [True, False], ids=["file kept as retired", "file gone"])
def test_two_people_take_a_caution_away(content: Path, first: Lock, kept: bool) -> None:
    (content / "approved.lock").write_text(lock_text(load_library(content), None), "utf-8")
    file, name = content / "cautions/hot-knee.yml", "cautions/hot-knee"
    text = file.read_text("utf-8")
    assert "status: approved" in text
    file.write_text(
        text.replace("status: approved", "retired_because: One box says both.\nstatus: retired"), "utf-8"
    )
    if not kept:
        file.unlink()

    def retire(role: str, *more: str) -> str:
        asked = ["--content", str(content), "--retire", name, "--as", role, *more]
        return CliRunner().invoke(command, asked, input="y\n").output

    def codes() -> set[str]:
        return {
            one.code
            for one in check_approvals(load_library(content))
            if name in one.message or "hot-knee" in one.place.path
        }

    whole = file.read_text("utf-8") if kept else ""
    assert codes() == {"retirement-not-recorded" if kept else "approved-gone"}
    if kept:
        file.write_text(whole.replace("owner: Lead physiotherapist", f"owner: {LEAD}"), "utf-8")
        assert f"{LEAD} keeps {name}" in retire(LEAD, "--because", "The ankle page has it.")
        file.write_text(whole, "utf-8")
    assert "waits for a second person" in retire(LEAD, "--because", "The ankle page has it.")
    assert codes() == {"retired-by-one"}
    assert f"{LEAD} agreed to this first" in retire(LEAD)
    if kept:
        file.write_text(whole.replace("owner: Lead physiotherapist", f"owner: {SECOND}"), "utf-8")
        assert f"{SECOND} keeps {name}" in retire(SECOND)
        assert "on a later day" in retire(LEAD)
        file.write_text(whole, "utf-8")
    assert codes() == {"retired-by-one"}
    done = retire(SECOND)
    assert "The ankle page has it." in done
    assert "is retired" in done
    assert codes() == set()
    lock = read_lock((content / "approved.lock").read_text("utf-8"))
    assert lock.whole
    assert lock.retired[name].by == f"{LEAD} and {SECOND}"


def test_a_first_yes_to_take_away_is_taken_back_with_the_file(content: Path, first: Lock) -> None:
    (content / "approved.lock").write_text(lock_text(load_library(content), None), "utf-8")
    file, name = content / "cautions/hot-knee.yml", "cautions/hot-knee"
    before = file.read_text("utf-8")
    file.unlink()

    def review(*asked: str) -> str:
        words = ["--content", str(content), "--as", LEAD, *asked]
        return CliRunner().invoke(command, words, input="y\n" * 20).output

    assert "waits for a second person" in review("--retire", name, "--because", "The ankle page has it.")
    file.write_text(before, "utf-8")
    assert read_lock((content / "approved.lock").read_text("utf-8")).entries[name].waits
    assert f"{name} is there again" in review("--record", "--only", name)
    lock = read_lock((content / "approved.lock").read_text("utf-8"))
    assert lock.whole
    assert lock.entries[name].waits == []
    assert {one.code for one in check_waiting(load_library(content))} == set()


def test_what_was_taken_away_is_reported_in_the_file_that_lost_it(content: Path, first: Lock) -> None:
    text = (content / FILE).read_text("utf-8")
    line = next(one for one in text.splitlines(keepends=True) if "Do not lean back" in one)
    recorded(content, first, line, "")
    (found,) = check_waiting(load_library(content))
    assert found.place.path == FILE
    assert "Do not lean back" in found.message


def test_a_line_is_found_by_its_words_once_others_stand_before_it(content: Path, first: Lock) -> None:
    lock = recorded(content, first, "steps:\n", "steps:\n  - Stop after 3 times.\n")
    recorded(content, lock, "steps:\n", "steps:\n  - Sit up.\n", LATER)
    places = {
        found.message.rpartition("new: ")[2]: found.place.line
        for found in check_waiting(load_library(content))
    }
    assert places["“Stop after 3 times.”."] == line_of(content, "Stop after 3 times.")


def test_what_is_put_back_no_longer_waits(content: Path, first: Lock) -> None:
    lock = recorded(content, first, "Do not lean back", "Lean back")
    lock = recorded(content, lock, "Lean back", "Do not lean back", LATER)
    assert lock.entries[NAME].waiting == ()
    lock = recorded(content, lock, "steps:\n", "steps:\n  - Stop after 3 times.\n")
    lock = recorded(content, lock, "  - Stop after 3 times.\n", "", LATER)
    assert lock.entries[NAME].waiting == ()


def test_a_line_that_changed_twice_waits_with_its_oldest_words(content: Path, first: Lock) -> None:
    lock = recorded(content, first, "Do not lean back", "Lean back")
    lock = recorded(content, lock, "Lean back", "Lean right back", LATER)
    (one,) = lock.entries[NAME].waiting
    assert one.old.startswith("Do not lean back")
    assert one.new.startswith("Lean right back")


def test_a_typo_waits_for_nobody(content: Path, first: Lock) -> None:
    lock = recorded(content, first, "so that stairs feel easier", "so that your stairs feel easier")
    assert lock.entries[NAME].waiting == ()
    assert list(check_waiting(load_library(content))) == []


def test_a_confirmed_change_leaves_the_lock_and_its_trace_stays(content: Path, first: Lock) -> None:
    lock = recorded(content, first, "Do not lean back", "Lean back")
    text = confirmed_text(load_library(content), lock, {NAME: lock.entries[NAME].waiting}, SECOND, LATER)
    (content / "approved.lock").write_text(text, "utf-8")
    after = read_lock(text)
    assert after.whole
    assert after.entries[NAME].waiting == ()
    assert after.entries[NAME].reasons[-1].by == SECOND
    assert list(check_waiting(load_library(content))) == []


@pytest.mark.parametrize("cut", ["item", "edited", "all"])
def test_what_waits_cannot_be_taken_out_by_hand(content: Path, first: Lock, cut: str) -> None:
    lock = recorded(content, first, "Do not lean back", "Lean back")
    recorded(content, lock, "repetitions: 8-12", "repetitions: 8-20", LATER)
    file = content / "approved.lock"
    lines = file.read_text("utf-8").splitlines(keepends=True)
    if cut == "edited":
        lines = [
            line.replace("Do not lean", "Lean") if line.startswith(" waiting ") else line for line in lines
        ]
    else:
        at = next(number for number, line in enumerate(lines) if line.startswith(" waiting "))
        del lines[at]
    if cut == "all":
        lines = [line for line in lines if not line.startswith((" waiting ", " waits "))]
    file.write_text("".join(lines), "utf-8")
    lock = read_lock(file.read_text("utf-8"))
    assert not lock.whole or "waiting-cut-out" in {one.code for one in check_waiting(load_library(content))}
    if cut != "all":
        mended = read_lock(lock_text(load_library(content), lock, confirmed=frozenset()))
        assert mended.whole
        assert mended.entries[NAME].lost, "mending the end does not make it whole"


def test_both_sides_of_a_merge_keep_what_waits(content: Path, first: Lock) -> None:
    """A union merge keeps the lines of both: what either side still has open is open."""
    lock = recorded(content, first, "Do not lean back", "Lean back")
    recorded(content, lock, "repetitions: 8-12", "repetitions: 8-20", LATER)
    both = (content / "approved.lock").read_text("utf-8")
    one_side = lock_text(load_library(content), lock, confirmed=frozenset())
    extra = [line for line in one_side.splitlines() if line.startswith(" waits ")]
    merged = read_lock(both.replace("\n waits ", f"\n{extra[0]}\n waits ", 1))
    assert len(merged.entries[NAME].waiting) == 2
    assert merged.entries[NAME].lost == ()


def test_a_lock_without_waiting_changes_is_written_as_before(content: Path, first: Lock) -> None:
    text = lock_text(load_library(content), first)
    assert " waits " not in text
    assert read_lock(text) == first


ROLES: list[tuple[Any, ...]] = [
    (SECOND, [LEAD, SECOND], DAY, None),
    (LEAD, [LEAD, SECOND], LATER, "another role confirms it: Second reader"),
    (LEAD, [LEAD], DAY, "on a later day"),
    (LEAD, [LEAD], LATER, None),
    (LEAD, [LEAD, "Keeper"], LATER, None),  # the other one keeps the entry
    ("Keeper", [LEAD, "Keeper"], LATER, "keeps this entry"),
    ("Dutch lead", [LEAD, SECOND], LATER, "does not approve in this language"),
]


@pytest.mark.parametrize(("role", "roles", "day", "says"), ROLES)
def test_who_may_be_the_second_person(role: str, roles: list[str], day: date, says: str | None) -> None:
    refused = why_not_second(role, (LEAD, DAY), day, roles, "Keeper")
    assert (refused is None) if says is None else (says in (refused or ""))


def test_the_list_says_who_reads_a_language_and_else_what_was_approved_so_far_does(
    content: Path, first: Lock
) -> None:
    settings = load_library(content).settings
    assert roles_for("en", settings, first) == [LEAD, SECOND]
    assert roles_for("nl", settings, first) == [SECOND], "the lead approved English only so far"
    clinic = content / "clinic.yml"
    reads = (
        f", {SECOND}], reads: [{{role: {SECOND}, languages: [en]}}, {{role: {LEAD}, languages: [en, nl]}}]"
    )
    clinic.write_text(clinic.read_text("utf-8").replace(f", {SECOND}]", reads), "utf-8")
    assert roles_for("nl", load_library(content).settings, first) == [LEAD]


def test_small_turns_of_one_joint_do_not_add_up_unseen(content: Path, first: Lock) -> None:
    once = recorded(content, first, "knee: {flexion: 5}", "knee: {flexion: 10}")
    assert once.entries[NAME].waiting == ()
    twice = recorded(content, once, "knee: {flexion: 10}", "knee: {flexion: 15}")
    (waiting,) = twice.entries[NAME].waiting
    assert (waiting.old, waiting.new) == (5, 15)  # and not 10, which nobody compared
    assert "2 small turns since somebody compared it: it was 5 then." in waiting.says
    text = confirmed_text(load_library(content), twice, {NAME: (waiting,)}, SECOND, DAY)
    lock = read_lock(text)
    once_more = recorded(content, lock, "knee: {flexion: 15}", "knee: {flexion: 20}")
    assert once_more.entries[NAME].waiting == (), "what was compared is where the next turns begin"
