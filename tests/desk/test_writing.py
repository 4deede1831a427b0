"""Saving, drafts, conflicts, locks, new names and the door, without a browser."""

from __future__ import annotations

import re
import subprocess
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from desk.conftest import PATH, Ask, Clock, edit, write_api_over
from desk.hard_library import git

from limberleaf.desk.write.form.fields import form_of
from limberleaf.desk.write.kinds import target_of
from limberleaf.desk.write.words import desk_words
from limberleaf.library import load_library
from limberleaf.library.guide import keys
from limberleaf.store import Store


def test_a_save_changes_one_line_and_can_be_taken_back(ask: Ask, library: Path) -> None:
    file = library / PATH
    text = file.read_text("utf-8")
    opened = ask("open")
    opened["value"]["steps"][0] = "Lift your {affected} foot: slowly."
    saved = ask("save", base=opened["base"], value=opened["value"], who="Ada")
    after = file.read_text("utf-8")
    assert saved["base"] == after
    gone = [line for line in text.splitlines() if line not in after.splitlines()]
    come = [line for line in after.splitlines() if line not in text.splitlines()]
    assert len(gone) == 1
    assert come == ['  - "Lift your {affected} foot: slowly."']
    assert ask("undo")["base"] == text
    assert file.read_text("utf-8") == text


def test_nothing_is_written_over_what_somebody_else_saved(ask: Ask, library: Path) -> None:
    file = library / PATH
    opened = ask("open")
    theirs = re.sub(r"(?m)^aim: .*$", "aim: Their aim.", file.read_text("utf-8"))
    file.write_text(theirs, "utf-8")
    opened["value"]["aim"] = "My aim."
    opened["value"]["title"] = "My title"
    answer = ask("save", base=opened["base"], value=opened["value"])
    assert file.read_text("utf-8") == theirs
    rows = {row["key"]: row for row in answer["conflicts"]}
    assert set(rows) == {"aim", "title"}
    assert rows["aim"]["both"]
    assert "Their aim." in rows["aim"]["theirs"]
    assert "My aim." in rows["aim"]["mine"]
    assert not rows["title"]["both"]
    assert ask("undo") == {"refused": "There is nothing to take back."}


def test_a_draft_is_kept_beside_the_library_and_outlives_the_desk(
    ask: Ask, library: Path, store: Store, clock: Clock
) -> None:
    before = sorted(library.rglob("*"))
    opened = ask("open")
    opened["value"].pop("aim")
    opened["value"]["steps"] = []
    answer = ask("look", base=opened["base"], value=opened["value"], typed=True, who="Ada")
    assert not answer["whole"], "unfinished work is kept all the same"
    assert {"missing-key", "empty-list"} <= {one["code"] for one in answer["findings"]}
    assert sorted(library.rglob("*")) == before
    again = write_api_over(library, store, clock).asked("ask/open", {"path": PATH}, "")
    assert again is not None
    assert b'"steps": []' in again[1]
    ask("leave", drop=True)
    assert ask("open")["draft"] is None


def test_a_new_entry_is_a_draft_until_its_first_save(ask: Ask, library: Path) -> None:
    path = ask("new", kind="exercise", region="knee", title="Bend and straighten")["path"]
    assert path == "exercises/knee/kn-03.yml"
    assert not (library / path).exists()
    opened = ask("open", path=path)
    assert opened["base"] is None
    assert ask("new", kind="exercise", region="knee", title="Another")["path"].endswith("kn-04.yml")
    assert "taken already" in ask("new", kind="exercise", region="knee", name="kn-03")["refused"]
    assert "cannot be an address" in ask("new", kind="ladder", region="knee", name="../x")["refused"]
    ask("save", path=path, base=None, value=opened["draft"]["value"])
    assert (library / path).read_text("utf-8").startswith("code: kn-03\ntitle: Bend and straighten\n")


def test_a_variant_has_a_review_of_its_own(ask: Ask) -> None:
    path = ask("copy")["path"]
    value = ask("open", path=path)["draft"]["value"]
    assert value["review"] == {"owner": "Lead physiotherapist", "version": 1}
    assert value["status"] == "draft"
    assert value["code"] == "kn-03"
    assert value["steps"] == ask("open")["value"]["steps"]


def test_a_new_name_keeps_the_old_address(ask: Ask, library: Path) -> None:
    (library / "addresses.lock").write_text("# addresses: 1\n/ladders/alone/ page\n", "utf-8")
    text = (library / "ladders/knee-first-steps.yml").read_text("utf-8")
    (library / "ladders/alone.yml").write_text(text.replace("knee-first-steps", "alone"), "utf-8")
    assert "code of an exercise stays" in ask("rename", name="kn-09")["refused"]
    assert ask("rename", path="ladders/alone.yml", name="by-itself") == {"path": "ladders/by-itself.yml"}
    assert not (library / "ladders/alone.yml").exists()
    assert "/ladders/alone/ redirect /ladders/by-itself/\n" in (library / "addresses.lock").read_text("utf-8")
    assert load_library(library).ladders["by-itself"].entry.id == "by-itself"


@pytest.mark.parametrize(
    ("file", "text"),
    [
        ("collections/stiff-knee.yml", "title: Stiff knee\nladders: [alone]\n"),
        ("ladders/other.yaml", "id: other\naim: As in [[alone|the first steps]].\n"),
        ("ladders/alone.nl.yml", "translates: {id: alone}\n"),
        ("plans.yml", "sets: {morning: {collection: alone}}\n"),
        ("pages/about.md", "# About\n\nSee [[alone]].\n"),
    ],
)
def test_what_anything_names_keeps_its_name(ask: Ask, library: Path, file: str, text: str) -> None:
    """A name that changed in some places and not in others would stop the next build."""
    own = (library / "ladders/knee-first-steps.yml").read_text("utf-8").replace("knee-first-steps", "alone")
    (library / "ladders/alone.yml").write_text(own, "utf-8")
    (library / file).parent.mkdir(exist_ok=True)
    (library / file).write_text(text, "utf-8")
    told = ask("rename", path="ladders/alone.yml", name="by-itself")["refused"]
    assert file in told
    assert "Make a variant under the new name instead" in told
    assert (library / "ladders/alone.yml").read_text("utf-8") == own
    assert not (library / "ladders/by-itself.yml").exists()


def test_what_was_approved_or_is_being_written_keeps_its_name(ask: Ask, library: Path) -> None:
    collections = [file.relative_to(library).as_posix() for file in library.glob("collections/*.yml")]
    assert "approved under this name" in ask("rename", path=collections[0], name="by-itself")["refused"]
    text = (library / "ladders/knee-first-steps.yml").read_text("utf-8")
    path = "ladders/alone.yml"
    (library / path).write_text(text.replace("knee-first-steps", "alone"), "utf-8")
    opened = ask("open", path=path)
    opened["value"]["title"] = "Another title"
    ask("look", path=path, base=opened["base"], value=opened["value"], typed=True)
    assert "Save or throw away what was typed" in ask("rename", path=path, name="by-itself")["refused"]


def test_a_new_name_changes_nothing_else_in_the_file(ask: Ask, library: Path) -> None:
    """Line ends, comments, keys without a value and the folder stay."""
    text = (library / "ladders/knee-first-steps.yml").read_text("utf-8").replace("knee-first-steps", "alone")
    written = (text + "synonyms:  # still to be chosen\n").replace("\n", "\r\n").encode()
    (library / "ladders/knee").mkdir()
    (library / "ladders/knee/alone.yml").write_bytes(written)
    path = "ladders/knee/by-itself.yml"
    assert ask("rename", path="ladders/knee/alone.yml", name="by-itself") == {"path": path}
    assert (library / path).read_bytes() == written.replace(b"id: alone", b'id: "by-itself"')


def test_a_translation_begins_without_words_of_the_first_language(ask: Ask, library: Path) -> None:
    clinic = library / "clinic.yml"
    clinic.write_text(clinic.read_text("utf-8").replace("languages: [en]", "languages: [en, nl]"), "utf-8")
    begun = ask("translate", language="nl")
    assert begun == {"path": PATH.replace(".yml", ".nl.yml")}, "the clinic has a second language"
    opened = ask("open", path=begun["path"])
    value, original = opened["draft"]["value"], opened["original"]["value"]
    assert value["steps"] == [""] * len(original["steps"])
    assert value["title"] == ""
    captions = original["figure"]["captions"]
    assert captions
    assert len(value["figure"]["captions"]) == len(captions)


def test_a_line_of_a_translation_stays_beside_its_own_original(ask: Ask, library: Path) -> None:
    """Whoever translates the third line first finds it as the third, in the form, in its findings and in the file."""
    clinic = library / "clinic.yml"
    clinic.write_text(clinic.read_text("utf-8").replace("languages: [en]", "languages: [en, nl]"), "utf-8")
    path = ask("translate", language="nl")["path"]
    value = ask("open", path=path)["draft"]["value"]
    value["steps"][2] = "Utiliseer deze stap."
    value["figure"]["captions"][1] = "Laatste."
    asked = {"path": path, "base": None, "value": value, "who": "Ada"}
    empty = [one["loc"] for one in ask("look", **asked)["findings"]]
    assert ["steps", 0] in empty
    assert ["steps", 2] not in empty
    saved = ask("save", **asked)["value"]
    assert saved["steps"] == ["", "", "Utiliseer deze stap."]
    assert saved["figure"]["captions"] == ["", "Laatste."]
    saved["steps"][0] = "Eerste stap."
    again = ask("save", path=path, base=ask("open", path=path)["base"], value=saved)["value"]
    assert again["steps"] == ["Eerste stap.", "", "Utiliseer deze stap."]


def test_a_rung_of_a_translation_stays_beside_its_own_original(ask: Ask, library: Path) -> None:
    clinic = library / "clinic.yml"
    clinic.write_text(clinic.read_text("utf-8").replace("languages: [en]", "languages: [en, nl]"), "utf-8")
    path = ask("translate", path="ladders/knee-first-steps.yml", language="nl")["path"]
    value = ask("open", path=path)["draft"]["value"]
    value["steps"][1]["start_here_if"] = "Dit gaat goed."
    saved = ask("save", path=path, base=None, value=value)["value"]
    assert saved["steps"] == [{}, {"start_here_if": "Dit gaat goed."}]


def test_retiring_asks_for_a_reason(ask: Ask, library: Path) -> None:
    assert "Say why" in ask("retire", because="Old.")["refused"]
    assert ask("retire", because="Nobody can do it safely.", replaced_by="kn-01") == {"gone": True}
    entry = load_library(library).exercises["kn-02"].entry
    assert (entry.status, entry.replaced_by, entry.retired_because) == (
        "retired",
        "kn-01",
        "Nobody can do it safely.",
    )


def test_two_people_see_each_other(ask: Ask, clock: Clock) -> None:
    opened = ask("open")
    asked = {"base": opened["base"], "value": opened["value"]}
    assert ask("look", **asked, who="Ada")["other"] == ""
    assert ask("look", **asked, page="p2", who="Bo")["other"] == "Ada"
    ask("leave", page="p2", who="Bo", take=True)
    assert ask("look", **asked, who="Ada")["other"] == "Bo"
    clock.moment += timedelta(minutes=3)
    assert ask("look", **asked, who="Ada")["other"] == "", "a page that was closed holds nothing for long"


# --- the form ------------------------------------------------------------------------------------------------------


KINDS = ["exercise", "ladder", "collection", "caution", "translation", "clinic"]


@pytest.mark.parametrize("kind", KINDS)
def test_every_key_of_an_entry_has_its_field_with_its_description(kind: str) -> None:
    def paths(fields: list[dict[str, Any]], above: str = "") -> Iterator[tuple[str, str]]:
        for field in fields:
            path = f"{above}{field['key']}"
            yield path, field["help"]
            yield from paths(field.get("fields", []), f"{path}.")

    found = dict(paths([field for part in form_of(kind, desk_words("en")) for field in part["fields"]]))
    wanted = {key.path.replace("[]", ""): key.meaning for key in keys(kind)}
    figure = ("figure.", "dose.repetitions.")
    missing = [path for path in wanted if path not in found and not path.startswith(figure)]
    assert missing == []
    assert [path for path, text in found.items() if not text] == []


@pytest.mark.parametrize("kind", KINDS)
def test_no_hint_of_the_form_speaks_of_files_and_keys(kind: str) -> None:
    def hints(fields: list[dict[str, Any]]) -> Iterator[str]:
        for field in fields:
            if not field.get("fixed"):
                yield field["help"]
                yield from hints(field.get("fields", []))

    found = hints([field for part in form_of(kind, desk_words("en")) for field in part["fields"]])
    of_files = re.compile(r"\.ya?ml|[{}`]|[a-z]_[a-z]|\b[Tt]rue\b|\b[Ff]alse\b")
    assert [hint for hint in found if of_files.search(hint)] == []


def test_an_empty_box_is_called_by_its_label(ask: Ask) -> None:
    opened = ask("open")
    opened["value"].pop("leave_out_if")
    opened["value"]["steps"] = []

    def empty(language: str) -> dict[str, tuple[str, str]]:
        asked = {"base": opened["base"], "value": opened["value"], "language": language}
        return {one["loc"][-1]: (one["message"], one["hint"]) for one in ask("look", **asked)["findings"]}

    assert empty("en")["leave_out_if"] == ("“Leave this one out if” is empty.", "")
    assert empty("en")["steps"] == ("“Steps” is empty.", "")
    assert empty("nl")["steps"] == ("“Stappen” is leeg.", "")


@pytest.mark.parametrize("language", ["en", "nl"])
def test_every_posture_to_choose_has_a_name_for_people(ask: Ask, language: str) -> None:
    names = [(name, label) for name, label, _ in ask("figure-words", language=language)["postures"]]
    assert ("childs_pose", {"en": "Child’s pose", "nl": "Kindhouding"}[language]) in names
    spaced = [name for name, label in names if "_" in name and label == name.replace("_", " ").capitalize()]
    assert spaced == []


@pytest.mark.parametrize(
    "path",
    ["../x.yml", "exercises/../../x.yml", "exercises/knee/kn-01.yml/..", "/etc/passwd", "approved.lock", "words.txt",
     "exercises/a/b/kn-01.yml", "exercises/knee/KN-01.yml", "exercises//kn-01.yml", "pages/about.md", ""],
)  # fmt: skip
def test_the_desk_writes_no_other_file(path: str, ask: Ask) -> None:
    assert target_of(path) is None
    assert ask("open", path=path) == {"refused": "The desk does not write this file."}


# --- git -----------------------------------------------------------------------------------------------------------


def test_changes_are_told_as_sentences_and_committed_in_the_writers_name(ask: Ask, library: Path) -> None:
    folder = library.parent
    git(folder, "init", "-q", "-b", "spring")
    git(folder, "add", "-A")
    git(folder, "commit", "-qm", "Begin")
    edit(ask, "aim", "Make your thigh strong.")
    told = ask("start")["git"]
    assert told["branch"] == "spring"
    assert any("(kn-02): changed" in line for line in told["changes"])
    assert "Write your name" in ask("commit", message="Say it more plainly")["refused"]
    assert ask("commit", message="Say it more plainly", who="Ada Lane") == {}
    shown = subprocess.run(
        ["git", "log", "-1", "--format=%an|%s"], cwd=folder, capture_output=True, text=True, check=True
    )
    assert shown.stdout.strip() == "Ada Lane|Say it more plainly"
    assert ask("start")["git"]["changes"] == []


def test_without_git_there_is_a_dated_history(ask: Ask) -> None:
    edit(ask, "aim", "Make your thigh strong.")
    assert ask("start")["git"]["dated"] == [f"2026-11-25 09:00: {PATH}"]


def test_drafts_are_listed_the_newest_first(ask: Ask, clock: Clock) -> None:
    names = ("exercises/knee/kn-02.yml", "exercises/knee/kn-01.yml", "collections/first-days.yml")
    paths = [one for one in names if ask("open", path=one).get("base")]
    assert len(paths) > 1
    for path in paths:
        clock.moment += timedelta(minutes=5)
        opened = ask("open", path=path)
        value = {**opened["value"], "title": "Another title"}
        ask("look", path=path, base=opened["base"], value=value, page="p", typed=True)
    assert [one["path"] for one in ask("start")["drafts"]] == paths[::-1]
