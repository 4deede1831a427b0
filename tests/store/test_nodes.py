"""What is kept item by item is what a run that keeps nothing finds, whatever the store lost and whoever wrote to it."""

from __future__ import annotations

import random
import sqlite3
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

import pytest

from limberleaf.store import Store
from limberleaf.store.kept import StoredForm
from limberleaf.store.keys import value_key
from limberleaf.store.nodes import READERS, Jobs, NodeMapping, each, seen
from limberleaf.store.trace import TracedMapping


@dataclass(frozen=True)
class Note:
    """An item that looks up another and says what it finds there."""

    text: str
    about: str
    is_careful: bool


class Notes:
    def __init__(self, notes: dict[str, Note]) -> None:
        self.notes: NodeMapping[Note] | dict[str, Note] = notes


def looked_up(library: Notes) -> Iterator[str]:
    for name, note in each(library.notes):
        other = seen(library.notes, note.about)
        if other is not None:
            yield f"{name} finds {other.text}" if note.is_careful else f"{name} finds {other.about}"


def whole(library: Notes) -> Iterator[str]:
    for name, note in each(library.notes):
        if note.is_careful:
            yield f"{name} sees {library.notes[note.about]}"


def together(library: Notes) -> Iterator[str]:
    yield f"{sum(note.is_careful for note in library.notes.values())} are careful"


JOBS = {one.__name__: one for one in (looked_up, whole, together)}
NAMES = [f"note-{number}" for number in range(5)]
FORM: StoredForm[str] = StoredForm(str, str, str)


def asked(notes: dict[str, Note], store: Store) -> list[str]:
    traced: TracedMapping[Note] = NodeMapping("notes", notes, lambda _, note: value_key(note))
    library = Notes({})
    library.notes = traced  # type: ignore[assignment]
    return Jobs("test", JOBS, FORM, store, {"notes": traced}).run(library, "beside")  # type: ignore[dict-item]


def edited(notes: dict[str, Note], chance: random.Random) -> dict[str, Note]:
    name = chance.choice(NAMES)
    change: dict[str, object] = chance.choice(
        [
            {"text": chance.choice("abc")},
            {"about": chance.choice(NAMES)},
            {"is_careful": chance.choice([True, False])},
        ]
    )
    return {**notes, name: replace(notes[name], **change)}  # type: ignore[arg-type]


def lose(path: Path, chance: random.Random) -> None:
    """Lose a row of the store, or write a row over that has another checksum."""
    with sqlite3.connect(path) as database:
        rows = database.execute("SELECT rowid FROM results ORDER BY rowid").fetchall()
        lost = chance.choice(
            ["DELETE FROM results WHERE rowid = ?", "UPDATE results SET value = '{}' WHERE rowid = ?"]
        )
        database.execute(lost, chance.choice(rows))
    database.close()


@pytest.mark.parametrize("seed", range(30))
def test_lost_rows_and_writers_at_once_never_change_what_is_found(tmp_path: Path, seed: int) -> None:
    chance = random.Random(seed)  # noqa: S311 - a chosen sequence, no secret
    path = tmp_path / "results.sqlite"
    notes = {name: Note("a", chance.choice(NAMES), is_careful=True) for name in NAMES}
    versions, unsaved = [notes], []
    for _ in range(40):
        # people also undo: an old text comes back while what was found on a later one is kept
        notes = edited(notes, chance) if chance.random() < 0.7 else chance.choice(versions[-4:])
        versions.append(notes)
        store = Store(path)
        assert sorted(asked(notes, store)) == sorted(asked(notes, Store())), "kept is what a fresh look finds"
        unsaved.append(store)
        while unsaved and chance.random() < 0.6:  # each program saves when its own build is done
            unsaved.pop(chance.randrange(len(unsaved))).save()
        if path.exists() and chance.random() < 0.15 and Store(path).all_of(READERS):
            lose(path, chance)


def test_a_job_that_fails_halfway_leaves_what_was_kept(tmp_path: Path) -> None:
    store = Store(tmp_path / "results.sqlite")
    before = {name: Note("a", NAMES[0], is_careful=True) for name in NAMES}
    found = asked(before, store)
    after = {**before, NAMES[1]: Note("b", NAMES[0], is_careful=False)}
    with pytest.MonkeyPatch.context() as patch:

        def fails(_: Notes) -> Iterator[str]:
            raise OSError

        patch.setitem(JOBS, "together", fails)
        with pytest.raises(OSError):
            asked(after, store)
    assert asked(before, store) == found
