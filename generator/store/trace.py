"""What a product reads while it is made: its inputs, noted by name and compared by content.

A product (a page, a finder index) is made inside `recording`. What it asks of the library comes from a
`TracedMapping`, which notes every item and every field of an item that is read, also that something was looked for
and is not there. The product may be used again as long as each of those inputs hashes to what it hashed to then. No
list of inputs is kept by hand: a page that begins to read one field more depends on that field from then on.

What several products share (`shared_property`) is made once, and its inputs count for each product that asks for it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from typing import Any, Generic, TypeVar, cast, overload

from limberleaf.store.keys import text_key, value_key

Item = TypeVar("Item")
Owner = TypeVar("Owner")

WHOLE = "*"
"""In place of a field: all of an item. In place of an item: which items there are, in order."""

_PATH = "source.path"
_OF_LOADED = ("is_published", "step_codes")
"""What is known of a file without making its entry."""

Noted = dict[tuple[str, str], set[str]]
"""The fields that were read, by mapping and item."""

_noted: ContextVar[Noted | None] = ContextVar("noted", default=None)


def note(mapping: str, item: str, field: str = "") -> None:
    """Note an input of the product that is being made; without a field, only that the item is there or not."""
    noted = _noted.get()
    if noted is not None:
        fields = noted.setdefault((mapping, item), set())
        if field:
            fields.add(field)


@contextmanager
def recording() -> Iterator[Noted]:
    """Collect the inputs of what is made inside."""
    noted: Noted = {}
    token = _noted.set(noted)
    try:
        yield noted
    finally:
        _noted.reset(token)


def noting(noted: Noted) -> None:
    """Collect from here on, inside of `recording`, what is read for one part of a product."""
    _noted.set(noted)


@contextmanager
def unrecorded() -> Iterator[None]:
    """Make something whose inputs are noted where its parts are read, such as the items of another mapping."""
    token = _noted.set(None)
    try:
        yield
    finally:
        _noted.reset(token)


class shared_property(Generic[Owner, Item]):  # noqa: N801 - named as functools.cached_property is
    """A property that is made once; its inputs are inputs of every product that reads it."""

    def __init__(self, make: Callable[[Owner], Item]) -> None:
        self._make = make
        self.__doc__ = make.__doc__

    def __set_name__(self, owner: type, name: str) -> None:
        self._name = f"_shared_{name}"

    @overload
    def __get__(self, instance: None, owner: type) -> shared_property[Owner, Item]: ...

    @overload
    def __get__(self, instance: Owner, owner: type) -> Item: ...

    def __get__(self, instance: Owner | None, owner: type) -> shared_property[Owner, Item] | Item:
        """Give the value, and note its inputs for the product that asks."""
        if instance is None:
            return self
        known = vars(instance).get(self._name)
        if known is None:
            with recording() as noted:
                value = self._make(instance)
            known = vars(instance)[self._name] = (value, noted)
        wanted = _noted.get()
        if wanted is not None:
            for name, fields in known[1].items():
                wanted.setdefault(name, set()).update(fields)
        return cast("Item", known[0])


class TracedMapping(Mapping[Any, Item]):
    """A mapping that notes what is read of it.

    While nothing is recorded it gives its items as they are. `whole` hashes an item and is asked only for what a
    product has read. An item is seen field by field, unless `seen` gives it whole as a product sees it.
    """

    def __init__(
        self,
        name: str,
        items: Mapping[Any, Item],
        whole: Callable[[Any, Item], str] | None = None,
        seen: Callable[[Any, Item], Item] | None = None,
    ) -> None:
        self.name = name
        self._items = items
        self._whole = whole or (lambda _, item: value_key(item))
        self._seen = seen
        self._named = {text_of(key): key for key in items}
        self._views: dict[Any, Item] = {}
        self._digests: dict[str, str] = {}
        self._field_keys: dict[tuple[str, tuple[str, ...]], str] = {}

    def __getitem__(self, key: Any) -> Item:
        """Give an item, or its view while something is recorded."""
        if _noted.get() is None:
            return self._items[key]
        note(self.name, text_of(key))
        if self._seen:
            note(self.name, text_of(key), WHOLE)
            return self._seen(key, self._items[key])
        if key not in self._views:
            self._views[key] = cast("Item", FieldView(self._items[key], self.name, text_of(key)))
        return self._views[key]

    def __contains__(self, key: object) -> bool:
        """Tell whether there is such an item; that is an input too."""
        note(self.name, text_of(key))
        return key in self._items

    def __iter__(self) -> Iterator[Any]:
        """Go through the keys: which there are, and in which order, is an input."""
        note(self.name, WHOLE)
        return iter(self._items)

    def __len__(self) -> int:
        """Count the items."""
        note(self.name, WHOLE)
        return len(self._items)

    def names(self) -> Iterable[str]:
        """Give the names of all items; that is no input."""
        return self._named

    def whole(self, item: str) -> str:
        """Hash an item, or the keys of all when `item` is `*`; empty when there is no such item."""
        digest = self._digests.get(item)
        if digest is None:
            if item == WHOLE:
                digest = text_key("\n".join(self._named))
            elif item in self._named:
                digest = self._whole(self._named[item], self._items[self._named[item]])
            else:
                digest = ""
            self._digests[item] = digest
        return digest

    def fields(self, item: str, fields: tuple[str, ...]) -> str:
        """Hash some fields of an item; empty when there is no such item."""
        if item not in self._named:
            return ""
        if WHOLE in fields:
            return self.whole(item)
        known = self._field_keys.get((item, fields))
        if known is None:
            value = self._items[self._named[item]]
            known = self._field_keys[item, fields] = value_key([_field(value, name) for name in fields])
        return known


class FieldView:
    """An entry as a product sees it: each field that is read is noted."""

    __slots__ = ("_item", "_mapping", "_name")

    def __init__(self, item: object, mapping: str, name: str) -> None:
        self._item, self._mapping, self._name = item, mapping, name

    @property  # type: ignore[misc]
    def __class__(self) -> type:
        """Pass for the entry where its type is asked for."""
        return type(self._item)

    def __getattr__(self, field: str) -> Any:
        """Give a field and note it; what is worked out by a method may read all of them."""
        if field == "entry":  # a loaded file: its fields are those of its entry
            return FieldView(self._item.entry, self._mapping, self._name)  # type: ignore[attr-defined]
        value = getattr(self._item, field)
        if field == "source":
            return _SourceView(value, self._mapping, self._name)
        note(self._mapping, self._name, WHOLE if callable(value) else field)
        return value

    def __eq__(self, other: object) -> bool:
        """Compare whole entries."""
        note(self._mapping, self._name, WHOLE)
        return bool(self._item == (other._item if type(other) is FieldView else other))

    def __hash__(self) -> int:
        """Hash as the entry does."""
        return hash(self._item)

    def __repr__(self) -> str:
        """Show the entry."""
        return repr(self._item)


def whole_of(item: Any) -> Any:
    """Give an entry itself, for what walks through all of it; it is then an input as a whole."""
    if type(item) is not FieldView:
        return item
    note(item._mapping, item._name, WHOLE)
    return item._item


class _SourceView:
    """The file of an entry: its path is a field of its own, anything else rests on all that the file says."""

    __slots__ = ("_item", "_mapping", "_name")

    def __init__(self, item: object, mapping: str, name: str) -> None:
        self._item, self._mapping, self._name = item, mapping, name

    @property  # type: ignore[misc]
    def __class__(self) -> type:
        """Pass for the file where its type is asked for."""
        return type(self._item)

    def __getattr__(self, field: str) -> Any:
        """Give what is asked for and note it."""
        note(self._mapping, self._name, _PATH if field == "path" else WHOLE)
        return getattr(self._item, field)


def text_of(key: object) -> str:
    """Give the name of an item by its key."""
    return key if isinstance(key, str) else "/".join(key) if isinstance(key, tuple) else str(key)


def _field(item: Any, name: str) -> Any:
    if name == _PATH:
        return item.source.path
    if name in _OF_LOADED and hasattr(type(item), name):
        return getattr(item, name)
    return getattr(getattr(item, "entry", item), name)


Inputs = list[tuple[str, str, str, tuple[str, ...], str]]
"""As kept: mapping, item, the item's hash, the fields that were read, and the hash of those."""


class TracedMappings:
    """All traced mappings of one build by name: what inputs are compared with."""

    def __init__(self) -> None:
        self._mappings: dict[str, TracedMapping[Any]] = {}

    def add(self, mapping: TracedMapping[Item]) -> TracedMapping[Item]:
        """Take a mapping in and give it back."""
        self._mappings[mapping.name] = mapping
        return mapping

    def inputs(self, noted: Noted) -> Inputs:
        """Give what was noted with the hashes of now, to be kept with the product."""
        found = []
        for (mapping, item), fields in sorted(noted.items(), key=lambda one: one[0]):
            ordered = tuple(sorted(fields)) if WHOLE not in fields else (WHOLE,)
            here = self._mappings[mapping]
            found.append((mapping, item, here.whole(item), ordered, here.fields(item, ordered)))
        return found

    def changed(self, inputs: Inputs) -> str:
        """Name the first input that is not what it was; empty when all are the same."""
        for mapping, item, whole, fields, digest in inputs:
            here = self._mappings.get(mapping)
            if here is None:
                return mapping
            if here.whole(item) == whole or (
                item != WHOLE
                and bool(whole) == bool(here.whole(item))
                and here.fields(item, tuple(fields)) == digest
            ):
                continue
            return f"{mapping} {item}" + (f": {', '.join(fields)}" if fields and fields[0] != WHOLE else "")
        return ""
