"""What a product read is noted, field by field, and compared by content."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from limberleaf.store.trace import Noted, Shelf, Shelves, recording, shared_property


@dataclass
class Entry:
    title: str
    steps: list[str] = field(default_factory=list)

    @property
    def first(self) -> str:
        return self.steps[0]

    def words(self) -> str:
        return " ".join(self.steps)


def shelves(**entries: Entry) -> tuple[Shelves, Shelf[Entry]]:
    every = Shelves()
    return every, every.add(Shelf("entries", entries))


def noted_by(read: Callable[[Shelf[Entry]], object], **entries: Entry) -> tuple[Noted, list[object]]:
    every, shelf = shelves(**entries)
    with recording() as noted:
        read(shelf)
    return noted, list(every.inputs(noted))


def changed(read: Callable[[Shelf[Entry]], object], before: dict[str, Entry], after: dict[str, Entry]) -> str:
    every, shelf = shelves(**before)
    with recording() as noted:
        read(shelf)
    return shelves(**after)[0].changed(every.inputs(noted))


ONE = {"a": Entry("A", ["sit", "stand"]), "b": Entry("B", ["lie"])}


def with_a(title: str = "A", steps: tuple[str, ...] = ("sit", "stand")) -> dict[str, Entry]:
    return {**ONE, "a": Entry(title, list(steps))}


def test_only_the_fields_that_were_read_count() -> None:
    assert changed(lambda shelf: shelf["a"].title, ONE, with_a(steps=("lie",))) == ""
    assert changed(lambda shelf: shelf["a"].title, ONE, with_a(title="C")) == "entries a: title"
    assert changed(lambda shelf: shelf["a"].first, ONE, with_a(steps=("sit", "go"))) == ""
    assert changed(lambda shelf: shelf["a"].first, ONE, with_a(steps=("go",))) == "entries a: first"


def test_a_method_may_read_everything() -> None:
    assert changed(lambda shelf: shelf["a"].words(), ONE, with_a(title="C")) == "entries a"
    assert changed(lambda shelf: shelf["a"] == Entry("A"), ONE, with_a(title="C")) == "entries a"


def test_what_was_looked_for_and_is_not_there_is_an_input() -> None:
    more = {**ONE, "c": Entry("C")}
    assert changed(lambda shelf: shelf.get("c"), ONE, more) == "entries c"
    assert changed(lambda shelf: "c" in shelf, ONE, more) == "entries c"
    assert changed(lambda shelf: "a" in shelf, ONE, more) == ""
    assert changed(lambda shelf: "a" in shelf, ONE, {"b": ONE["b"]}) == "entries a"


def test_going_through_all_counts_their_names_and_order() -> None:
    assert changed(list, ONE, {**ONE, "c": Entry("C")}) == "entries *"
    assert changed(list, ONE, dict(reversed(ONE.items()))) == "entries *"
    assert changed(len, ONE, with_a(title="C")) == ""
    assert (
        changed(lambda shelf: [one.title for one in shelf.values()], ONE, with_a(title="C"))
        == "entries a: title"
    )


def test_what_is_shared_counts_for_each_that_asks() -> None:
    every, shelf = shelves(**ONE)

    class Parts:
        @shared_property
        def heading(self) -> str:
            return shelf["a"].title

    parts = Parts()
    found = []
    for _ in range(2):
        with recording() as noted:
            assert parts.heading == "A"
        found.append(every.inputs(noted))
    assert found[0] == found[1] != []


def test_nothing_is_noted_outside_a_product() -> None:
    _, shelf = shelves(**ONE)
    assert shelf["a"] is ONE["a"]
