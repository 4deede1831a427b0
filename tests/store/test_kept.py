"""What was worked out before is given again only for the same values, by the same program, and over runs."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from limberleaf.store import Store, kept
from limberleaf.store.kept import LazyItems, ResultCache, StoredForm
from limberleaf.store.keys import NoKeyError, input_key

FORM: StoredForm[str] = StoredForm(str, str.upper, str.lower)


@dataclass(frozen=True)
class File:
    content_key: str


class Run:
    """One run over a store, which counts what it had to make."""

    def __init__(self, path: Path) -> None:
        self.store = Store(path)
        self.kept, self.made = ResultCache(self.store, FORM), 0

    def ask(self, *given: object, what: str = "lines") -> list[object]:
        def make() -> Iterator[object]:
            self.made += 1
            yield from (f"of {one}" if isinstance(one, str) else one for one in given)

        return self.kept.cached((what, "kn-01"), given, make)

    def end(self) -> None:
        self.kept.save()
        self.store.save()


def test_a_result_outlives_its_run_until_what_it_was_made_from_changes(tmp_path: Path) -> None:
    first = Run(tmp_path / "store")
    assert first.ask("a", "b") == first.ask("a", "b") == ["of a", "of b"]
    assert first.made == 1
    first.end()
    second = Run(tmp_path / "store")
    assert second.ask("a", "b") == ["of a", "of b"]
    assert second.made == 0
    assert second.ask("a", "c") == ["of a", "of c"]
    assert second.ask("a", "b", what="other") == ["of a", "of b"]
    assert second.made == 2
    second.end()
    third = Run(tmp_path / "store")
    assert third.ask("a", "c") == ["of a", "of c"]
    assert third.made == 0


def test_another_program_makes_everything_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    first = Run(tmp_path / "store")
    first.ask("a")
    first.end()
    monkeypatch.setattr(kept, "code_key", lambda *_: "another program")
    second = Run(tmp_path / "store")
    second.ask("a")
    assert second.made == 1


def test_what_has_no_stored_form_or_no_key_is_made_in_each_run(tmp_path: Path) -> None:
    stranger = object()
    for _ in range(2):
        run = Run(tmp_path / "store")
        assert run.ask("a", 1) == ["of a", 1]  # a number has no stored form here
        assert run.ask(stranger, what="keyless") == run.ask(stranger, what="keyless") == [stranger]
        assert run.made == 2
        run.end()


def test_values_that_differ_have_different_keys() -> None:
    differing: list[tuple[object, ...]] = [
        ("a",), ("a", "b"), ("ab",), ("a\nb",), (1,), ("1",), (1.5,), (True,), (None,), ((1, 2),), ([1, 2],),
        ({1, 2},), ({"a": 1},), ({"a": "1"},), (File("a"),), (File("b"),), (File("a"), "b"), (Path("a"),),
    ]  # fmt: skip
    keys = [input_key(given) for given in differing]
    assert len(set(keys)) == len(keys)
    assert input_key(({"b", "a"},)) == input_key(({"a", "b"},))
    with pytest.raises(NoKeyError):
        input_key((object(),))


def test_later_items_are_made_when_somebody_looks() -> None:
    made = []

    def make() -> Iterator[str]:
        made.append(True)
        yield from "ab"

    later = LazyItems("key", make)
    assert later == LazyItems("key", list)
    assert not made
    assert (list(later), later[1], len(later)) == (["a", "b"], "b", 2)
    assert len(made) == 1
