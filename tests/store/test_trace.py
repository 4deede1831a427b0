"""What a product read is noted, field by field, and compared by content."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from limberleaf.store.trace import Noted, TracedMapping, TracedMappings, recording, shared_property


@dataclass
class Entry:
    title: str
    steps: list[str] = field(default_factory=list)

    @property
    def first(self) -> str:
        return self.steps[0]

    def words(self) -> str:
        return " ".join(self.steps)


def traced(**entries: Entry) -> tuple[TracedMappings, TracedMapping[Entry]]:
    every = TracedMappings()
    return every, every.add(TracedMapping("entries", entries))


def noted_by(read: Callable[[TracedMapping[Entry]], object], **entries: Entry) -> tuple[Noted, list[object]]:
    every, mapping = traced(**entries)
    with recording() as noted:
        read(mapping)
    return noted, list(every.inputs(noted))


def changed(
    read: Callable[[TracedMapping[Entry]], object], before: dict[str, Entry], after: dict[str, Entry]
) -> str:
    every, mapping = traced(**before)
    with recording() as noted:
        read(mapping)
    return traced(**after)[0].changed(every.inputs(noted))


ONE = {"a": Entry("A", ["sit", "stand"]), "b": Entry("B", ["lie"])}


def with_a(title: str = "A", steps: tuple[str, ...] = ("sit", "stand")) -> dict[str, Entry]:
    return {**ONE, "a": Entry(title, list(steps))}


def test_only_the_fields_that_were_read_count() -> None:
    assert changed(lambda mapping: mapping["a"].title, ONE, with_a(steps=("lie",))) == ""
    assert changed(lambda mapping: mapping["a"].title, ONE, with_a(title="C")) == "entries a: title"
    assert changed(lambda mapping: mapping["a"].first, ONE, with_a(steps=("sit", "go"))) == ""
    assert changed(lambda mapping: mapping["a"].first, ONE, with_a(steps=("go",))) == "entries a: first"


def test_a_method_may_read_everything() -> None:
    assert changed(lambda mapping: mapping["a"].words(), ONE, with_a(title="C")) == "entries a"
    assert changed(lambda mapping: mapping["a"] == Entry("A"), ONE, with_a(title="C")) == "entries a"


def test_what_was_looked_for_and_is_not_there_is_an_input() -> None:
    more = {**ONE, "c": Entry("C")}
    assert changed(lambda mapping: mapping.get("c"), ONE, more) == "entries c"
    assert changed(lambda mapping: "c" in mapping, ONE, more) == "entries c"
    assert changed(lambda mapping: "a" in mapping, ONE, more) == ""
    assert changed(lambda mapping: "a" in mapping, ONE, {"b": ONE["b"]}) == "entries a"


def test_going_through_all_counts_their_names_and_order() -> None:
    assert changed(list, ONE, {**ONE, "c": Entry("C")}) == "entries *"
    assert changed(list, ONE, dict(reversed(ONE.items()))) == "entries *"
    assert changed(len, ONE, with_a(title="C")) == ""
    assert (
        changed(lambda mapping: [one.title for one in mapping.values()], ONE, with_a(title="C"))
        == "entries a: title"
    )


def test_what_is_shared_counts_for_each_that_asks() -> None:
    every, mapping = traced(**ONE)

    class Parts:
        @shared_property
        def heading(self) -> str:
            return mapping["a"].title

    parts = Parts()
    found = []
    for _ in range(2):
        with recording() as noted:
            assert parts.heading == "A"
        found.append(every.inputs(noted))
    assert found[0] == found[1] != []


def test_nothing_is_noted_outside_a_product() -> None:
    _, mapping = traced(**ONE)
    assert mapping["a"] is ONE["a"]
