"""What was worked out from given values, by name: in memory over one preview, in the store over many builds.

`ResultCache.cached` is asked with a name, the values a result is made from, and the way to make it. A name has one
result at a time: the one of the values given last. Values are compared by their key (keys.py: `input_key`), so that
neither a file that is as it was nor what was made of it has to be read to know that a result is still good.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Generic, ParamSpec, TypeVar, overload

from limberleaf.store.keys import NoKeyError, code_key, input_key
from limberleaf.store.results import Store

Item = TypeVar("Item")
P = ParamSpec("P")

KIND = "kept"


class LazyItems(Sequence[Item]):
    """Some items that are made when somebody looks at them; `content_key` tells what they are made from."""

    def __init__(self, content_key: str, make: Callable[[], Iterable[Item]]) -> None:
        self.content_key = content_key
        self._make = make

    @cached_property
    def _items(self) -> tuple[Item, ...]:
        return tuple(self._make())

    @overload
    def __getitem__(self, index: int) -> Item: ...

    @overload
    def __getitem__(self, index: slice) -> Sequence[Item]: ...

    def __getitem__(self, index: int | slice) -> Item | Sequence[Item]:
        """Give an item or some."""
        return self._items[index]

    def __len__(self) -> int:
        """Count the items."""
        return len(self._items)

    def __eq__(self, other: object) -> bool:
        """Compare by what they are made from."""
        return isinstance(other, LazyItems) and self.content_key == other.content_key

    def __hash__(self) -> int:
        """Hash by what they are made from."""
        return hash(self.content_key)


@dataclass(frozen=True)
class StoredForm(Generic[Item]):
    """How results of one type are written as plain values and read back."""

    type: type[Item]
    write: Callable[[Item], Any]
    read: Callable[[Any], Item]


class ResultCache:
    """Results by name. Those whose values have a key, and whose items have the stored form, outlive the run."""

    def __init__(self, store: Store, form: StoredForm[Any]) -> None:
        self._store, self._form = store, form
        self._made: dict[Hashable, tuple[tuple[object, ...], str | None, list[Any]]] = {}
        self._rows: dict[str, dict[str, list[Any]]] = {}
        self._changed: set[str] = set()

    def cached(
        self,
        what: tuple[Hashable, ...],
        given: tuple[object, ...],
        make: Callable[P, Iterable[Item]],
        *args: P.args,
        **more: P.kwargs,
    ) -> list[Item]:
        """Give all that `make` gave when it was made from the same values, or call it with `args`."""
        known = self._made.get(what)
        if known is not None and known[0] == given:
            return known[2]
        try:
            key = input_key(given)
        except NoKeyError:
            key = None
        if known is not None and key is not None and known[1] == key:
            items: list[Any] = known[2]
        elif key is None:
            items = list(make(*args, **more))
        else:
            items = self._stored(what, key, lambda: list(make(*args, **more)))
        self._made[what] = (given, key, items)
        return items

    def save(self) -> None:
        """Hand what is new to the store."""
        rows = {row: [self._program, self._rows[row]] for row in sorted(self._changed)}
        self._store.keep(rows, KIND)
        self._changed.clear()

    def _stored(self, what: tuple[Hashable, ...], key: str, make: Callable[[], list[Item]]) -> list[Item]:
        """Read a result back, or make it and write it down. All results on one item lie in one row."""
        name, row = _name(what[0]), "/".join(map(str, what[1:]))
        kept = self._row(row).get(name)
        if kept is not None and kept[0] == key:
            return [self._form.read(one) for one in kept[1:]]
        items = make()
        if all(type(one) is self._form.type for one in items):
            self._row(row)[name] = [key, *map(self._form.write, items)]
            self._changed.add(row)
        return items

    @cached_property
    def _program(self) -> str:
        return code_key("limberleaf", "limberleaf.diagrams")

    def _row(self, row: str) -> dict[str, list[Any]]:
        """Give what earlier runs of the same program kept on an item, by name."""
        if row not in self._rows:
            value = self._store.read([row], KIND).get(row)
            if not (isinstance(value, list) and len(value) == 2 and value[0] == self._program):
                value = [self._program, {}]
            self._rows[row] = value[1] if _is_row(value[1]) else {}
        return self._rows[row]


def _is_row(value: object) -> bool:
    return isinstance(value, Mapping) and all(isinstance(one, list) and one for one in value.values())


def _name(label: Hashable) -> str:
    """Name a result: by a word, or by the function that makes it."""
    return label if isinstance(label, str) else f"{label.__module__}.{label.__qualname__}"  # type: ignore[attr-defined]
