"""The result store: what it gives back is what was kept, or nothing. Damage costs time only."""

from __future__ import annotations

import random
import sqlite3
import threading
from pathlib import Path

import pytest

from limberleaf.store import Store, text_key
from limberleaf.store.results import FORM

VALUES = {f"key-{number}": {"text": f"value {number} " * 40, "number": number} for number in range(60)}


def filled(path: Path) -> Path:
    store = Store(path)
    store.keep(VALUES, "page")
    store.save()
    return path


def readable(path: Path) -> dict[str, object]:
    """Read everything; whatever the file is, this gives values that were kept and raises nothing."""
    store = Store(path)
    found = store.read(VALUES, "page")
    assert all(VALUES[key] == value for key, value in found.items())
    store.keep({"new": "value"}, "page")
    store.save()
    assert store.read(["new"], "page") == {"new": "value"}
    return found


def test_values_come_back_in_the_next_run_and_only_under_their_kind(tmp_path: Path) -> None:
    path = filled(tmp_path / "results.sqlite")
    assert readable(path) == VALUES
    assert Store(path).read(VALUES, "figure") == {}


@pytest.mark.parametrize("seed", range(40))
def test_random_bytes_in_the_file_never_give_another_value(tmp_path: Path, seed: int) -> None:
    path = filled(tmp_path / "results.sqlite")
    chance = random.Random(seed)  # noqa: S311 - a chosen sequence, no secret
    data = bytearray(path.read_bytes())
    for _ in range(chance.choice([1, 10, 400])):
        start = chance.randrange(len(data))
        data[start : start + 8] = chance.randbytes(8)
    path.write_bytes(data)
    readable(path)
    readable(path)  # and once more, on what the first run left


@pytest.mark.parametrize("share", [0.0, 0.01, 0.3, 0.5, 0.9, 0.999])
def test_a_file_cut_short_never_gives_another_value(tmp_path: Path, share: float) -> None:
    path = filled(tmp_path / "results.sqlite")
    path.write_bytes(path.read_bytes()[: int(path.stat().st_size * share)])
    readable(path)


WRITERS = {
    "a text changed": "UPDATE results SET value = replace(CAST(value AS TEXT), 'value', 'wrong')",
    "bytes changed": "UPDATE results SET value = X'7B7D'",
    "values swapped": "UPDATE results SET value = (SELECT value FROM results AS other WHERE other.key = 'key-1')",
    "rows swapped": "UPDATE results SET (value, checksum) = "
    "(SELECT value, checksum FROM results AS other WHERE other.key = 'key-1')",
    "kinds changed": "UPDATE results SET kind = 'figure'",
    "no values": "UPDATE results SET value = NULL",
    "numbers": "UPDATE results SET value = 7, checksum = 7, used = 'yesterday'",
    "no column": "ALTER TABLE results DROP COLUMN used",
    "no table": "DROP TABLE results",
    "no count": "DELETE FROM saves",
    "a newer form": f"PRAGMA user_version = {FORM + 1}",
    "an older form": "PRAGMA user_version = 0",
}


@pytest.mark.parametrize("what", WRITERS)
def test_another_writer_never_gives_another_value(tmp_path: Path, what: str) -> None:
    path = filled(tmp_path / "results.sqlite")
    with sqlite3.connect(path) as database:
        database.execute(WRITERS[what])
    database.close()
    found = readable(path)
    assert len(found) <= 1  # at most the row that is as it was
    readable(path)


def test_work_goes_on_where_nothing_can_be_written(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way", "utf-8")
    for place in (tmp_path / "file/results.sqlite", tmp_path):  # below a file; a folder in its place
        store = Store(place)
        store.keep({"a": 1})
        store.save()
        assert store.read(["a"]) == {"a": 1}
    assert tmp_path.is_dir()


def test_a_full_disk_costs_only_the_values(tmp_path: Path) -> None:
    path = filled(tmp_path / "results.sqlite")
    store = Store(path)
    assert store._database is not None
    (pages,) = store._database.execute("PRAGMA page_count").fetchone()
    store._database.execute(f"PRAGMA max_page_count = {pages}")  # what SQLite says on a full disk
    store.keep({f"big-{number}": "x" * 5000 for number in range(100)})
    store.save()
    assert store.read(["big-1"]) == {"big-1": "x" * 5000}
    assert readable(path) == VALUES


def test_another_process_in_the_file_is_left_alone(tmp_path: Path) -> None:
    path = filled(tmp_path / "results.sqlite")
    other = sqlite3.connect(path, isolation_level=None)
    other.execute("BEGIN EXCLUSIVE")
    try:
        store = Store(path)
        store.keep({"a": 1})
        store.save()
        assert store.read(["a"]) == {"a": 1}
    finally:
        other.execute("COMMIT")
        other.close()
    assert Store(path).read(VALUES, "page") == VALUES


def test_the_store_stays_below_its_bound_and_keeps_what_is_used(tmp_path: Path) -> None:
    path = tmp_path / "results.sqlite"
    for run in range(40):
        store = Store(path, most_bytes=400_000)
        store.read(["always"])
        store.keep({f"run {run}": "x" * 20_000} | ({"always": "here"} if run == 0 else {}))
        store.save()
    assert path.stat().st_size < 600_000
    assert Store(path).read(["always", "run 39", "run 0"]) == {"always": "here", "run 39": "x" * 20_000}


def test_a_text_that_is_gone_or_damaged_is_made_again(tmp_path: Path) -> None:
    store = Store(tmp_path / "results.sqlite")
    digest = store.keep_text("as written")
    store.save()
    assert Store(tmp_path / "results.sqlite").text(digest, lambda: "made again").text == "as written"
    assert Store().text(text_key("as written"), lambda: "made again").text == "made again"


def test_a_store_answers_other_threads(tmp_path: Path) -> None:
    store = Store(filled(tmp_path / "results.sqlite"))
    found: list[object] = []
    thread = threading.Thread(target=lambda: found.append(store.read(["key-1"], "page")))
    thread.start()
    thread.join()
    assert found == [{"key-1": VALUES["key-1"]}]
