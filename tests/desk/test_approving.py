"""Approving at the desk: each change has its yes, a reason where it weakens, and a second person where one is due."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from desk.conftest import PATH, TODAY, Ask, edit

from limberleaf.clinical.governance.approval import lock_text
from limberleaf.clinical.governance.lock import read_lock
from limberleaf.desk.live_desk import LiveDesk
from limberleaf.library import load_library
from limberleaf.store import Store


def yes(
    ask: Ask, role: str = "Clinical lead", why: str = "Agreed with the whole team today.", **more: Any
) -> Any:
    told = ask("approval")
    answers = [{"yes": True, "why": why} for _ in told["differences"]]
    return ask("approve", fingerprint=told["fingerprint"], role=role, read=True, yes=answers, **more)


def test_an_edit_is_approved_change_by_change_and_recorded_as_by_the_command(ask: Ask, library: Path) -> None:
    assert "Nothing changed since it was approved" in ask("approval")["refused"]
    edit(ask, "aim", "Make your thigh strong.")
    told = ask("approval")
    assert [one["loc"] for one in told["differences"]] == [["aim"]]
    assert told["roles"] == ["Clinical lead", "Second reader"], (
        "the role that keeps an entry does not approve it"
    )
    asked = {"fingerprint": told["fingerprint"], "role": "Clinical lead", "read": True}
    assert "Say yes to each change" in ask("approve", **asked, yes=[{"yes": False}])["refused"]
    assert "read the whole page" in ask("approve", **{**asked, "read": False}, yes=[{"yes": True}])["refused"]
    assert "Choose the role" in ask("approve", **{**asked, "role": "Anybody"}, yes=[{"yes": True}])["refused"]
    reason = "Shorter, and the same in meaning."
    assert "Say in a sentence" in ask("approve", **asked, yes=[{"yes": True}])["refused"]
    answer = ask("approve", **asked, yes=[{"yes": True, "why": reason}])
    assert answer["recorded"]
    lock = read_lock((library / "approved.lock").read_text("utf-8"))
    entry = load_library(library).exercises["kn-02"].entry
    approved = lock.entries["exercises/kn-02"]
    assert lock.whole
    assert approved.fields["aim"] == "Make your thigh strong."
    assert (approved.version, approved.reviewed, approved.approved_by) == (2, TODAY, "Clinical lead")
    assert (entry.review.version, entry.review.reviewed) == (2, TODAY)


def test_a_change_that_takes_a_safeguard_away_needs_its_reason(ask: Ask, library: Path) -> None:
    edit(ask, "watch_for", None)
    assert "Say in a sentence why this is safe" in yes(ask, why="")["refused"]
    assert yes(ask, why="The first step says the same already.")["recorded"]
    assert "The first step says the same" in (library / "approved.lock").read_text("utf-8")


def test_the_picture_as_it_was_is_drawn_as_the_kind_was(ask: Ask, library: Path) -> None:
    """The sign of rest goes with the kind: a change of kind alone is seen in the pictures."""
    edit(ask, "figure", {"poses": [{"posture": "sitting"}]})
    (library / "approved.lock").write_text(lock_text(load_library(library), None), "utf-8")
    edit(ask, "kind", "rest_position")
    told = ask("approval")
    assert ["kind"] in [one["loc"] for one in told["differences"]]
    assert told["before"]
    assert told["before"] != told["after"]


def test_a_text_that_changed_while_it_was_read_is_not_approved(ask: Ask) -> None:
    edit(ask, "aim", "Make your thigh strong.")
    told = ask("approval")
    edit(ask, "aim", "Make your thigh very strong.")
    answer = ask(
        "approve", fingerprint=told["fingerprint"], role="Clinical lead", read=True, yes=[{"yes": True}]
    )
    assert answer["refused"] == "The entry changed while you read it. Read it again."


def test_two_people_approve_where_the_clinic_says_so(ask: Ask, library: Path) -> None:
    clinic = library / "clinic.yml"
    clinic.write_text(
        clinic.read_text("utf-8").replace("reminder: 3 months,", "reminder: 3 months, two_people: true,")
    )
    (library / "approved.lock").write_text(lock_text(load_library(library), None), "utf-8")
    edit(ask, "aim", "Make your thigh strong.")
    assert "write your name" in yes(ask, who="")["refused"], "nobody can tell who said yes"
    assert not yes(ask, who="Ada")["recorded"]
    assert read_lock((library / "approved.lock").read_text("utf-8")).entries["exercises/kn-02"].version == 1
    assert "from another person" in yes(ask, who="Bo")["refused"], "the same role"
    assert "from another person" in yes(ask, "Second reader", who="Ada")["refused"], "the same name"
    assert "from another person" in yes(ask, "Second reader", who=" ada")["refused"], "written otherwise"
    assert "write your name" in yes(ask, "Second reader", who="")["refused"]
    assert yes(ask, "Second reader", who="Bo")["recorded"]
    assert read_lock((library / "approved.lock").read_text("utf-8")).entries["exercises/kn-02"].waiting == ()
    assert "Read by two people." in (library / "approved.lock").read_text("utf-8")


def test_what_one_person_agreed_to_is_confirmed_by_a_second(ask: Ask, library: Path) -> None:
    edit(ask, "watch_for", None)
    assert "A second person" in yes(ask)["message"]
    told = ask("approval")
    assert told["roles"] == ["Second reader"]
    assert told["waiting"]
    assert {one["now"] for one in told["waiting"]} == {"nothing"}
    keys = [one["key"] for one in told["waiting"]]
    assert "another role confirms it" in ask("confirm", role="Clinical lead", keys=keys)["refused"]
    assert "Choose the role" in ask("confirm", role="Anybody", keys=keys)["refused"]
    assert "Say yes to the changes" in ask("confirm", role="Second reader", keys=[])["refused"]
    assert ask("confirm", role="Second reader", keys=keys)["recorded"]
    assert read_lock((library / "approved.lock").read_text("utf-8")).entries["exercises/kn-02"].waiting == ()
    assert "Nothing changed since it was approved" in ask("approval")["refused"]


def test_the_desk_calls_nothing_approved_that_has_an_unreviewed_edit(
    ask: Ask, library: Path, store: Store
) -> None:
    def status() -> str:
        desk = LiveDesk(library, store, lambda: TODAY).desk()
        return next(one for one in desk.entries if one.name == "kn-02").status_words

    assert status() == "Approved"
    edit(ask, "aim", "Make your thigh strong.")
    assert status() == "Changed since its approval"
    yes(ask)
    assert status() == "Approved"


def test_who_gave_an_entry_away_approves_nothing_else_in_it(ask: Ask, library: Path) -> None:
    file = library / PATH
    text = file.read_text("utf-8")
    file.write_text(text.replace("owner: Lead physiotherapist", "owner: Clinical lead"), "utf-8")
    (library / "approved.lock").write_text(lock_text(load_library(library), None), "utf-8")
    file.write_text(text.replace("owner: Lead physiotherapist", "owner: Second reader"), "utf-8")
    edit(ask, "aim", "Make your thigh strong.")
    assert "kept this entry until now" in yes(ask)["refused"]
    assert "keeps this entry" in yes(ask, "Second reader")["refused"]


def test_who_gave_an_entry_away_counts_as_its_keeper_until_the_new_one_is_confirmed(
    ask: Ask, library: Path
) -> None:
    file = library / PATH
    text = file.read_text("utf-8")
    file.write_text(text.replace("owner: Lead physiotherapist", "owner: Clinical lead"), "utf-8")
    (library / "approved.lock").write_text(lock_text(load_library(library), None), "utf-8")
    file.write_text(text.replace("owner: Lead physiotherapist", "owner: Second reader"), "utf-8")
    assert yes(ask)["recorded"]
    edit(ask, "aim", "Make your thigh strong.")
    assert "Clinical lead" not in ask("approval")["roles"]
    assert "kept this entry until now" in yes(ask)["refused"]
