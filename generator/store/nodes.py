"""Work on a library item by item, so that after an edit only the items that an edit reaches are worked on again.

A *job* is a function from a library to results, such as a check. It goes through its items with `each`, and by that
says that what it finds for one item rests on that item and on what it looks up meanwhile, and on nothing it gathered
from other items. Each item of such a loop is a node; what a job does outside is its root. The results of a node and
of the root are kept, and what they read: an item that is looked up counts whole, and of items that are only gone
through every field that is read counts (trace.py).

`Jobs.run` compares the items with those of the last run. A job is not called when no node of it read what changed;
it is called with `each` giving the changed items alone when its root read nothing of it; else it is called as at
first. Where items came or went, or `beside` (all else a job may look at) changed, everything is worked out again.

Who read an item lies in a row of its own, so that an edit of one item writes few of them. The store may lose any row
(damage, its limit of size), and another program over the same folder may write others. So the state names the hash of
each row that goes with it: a row that is gone or another is unknown, and where an edit needs it, everything is
worked out again. What is found then never rests on a row of another run.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextvars import ContextVar
from dataclasses import dataclass, field
from typing import Any, Generic, TypeVar

from limberleaf.progress import counted
from limberleaf.store.kept import StoredForm
from limberleaf.store.keys import text_key
from limberleaf.store.results import Store
from limberleaf.store.trace import WHOLE, FieldView, Noted, TracedMapping, note, noting, recording, text_of

Item = TypeVar("Item")
Key = TypeVar("Key")
Result = TypeVar("Result")

KIND = "jobs"
READERS = "readers"
ROOT = ""
UNKNOWN = ""
"""In place of the hash of a row: it is gone or another, so nobody knows who reads the item."""

Rows = dict[str, dict[str, list[Any]]]
"""By job and node: what was found, as it is kept; or the fields of an item that were read, and their hash."""


@dataclass
class _Run:
    """One call of a job: the node it is at, and what each node found and read."""

    only: Mapping[str, set[str]] | None = None
    node: str = ROOT
    read: dict[str, Noted] = field(default_factory=dict)
    loops: set[str] = field(default_factory=set)

    def enter(self, node: str) -> None:
        self.node = node
        noting(self.read.setdefault(node, {}))


_run: ContextVar[_Run | None] = ContextVar("run", default=None)


class NodeMapping(TracedMapping[Item]):
    """A mapping whose items are seen whole when they are looked up, and field by field when it is gone through."""

    def __getitem__(self, key: Any) -> Item:
        """Give an item, whole."""
        item = self._items[key]
        note(self.name, text_of(key), WHOLE)
        return item

    def get(self, key: Any, default: Any = None) -> Any:
        """Give an item, whole; that there is none is known by the keys, which every run compares."""
        return self[key] if key in self._items else default

    def __contains__(self, key: object) -> bool:
        """Tell whether there is such an item: which there are, every run compares."""
        return key in self._items

    def __iter__(self) -> Iterator[Any]:
        """Go through the keys."""
        return iter(self._items)

    def __len__(self) -> int:
        """Count the items."""
        return len(self._items)

    def items(self) -> Any:
        """Go through keys and items; of an item, what is read of it counts."""
        return [(key, self._view(key)) for key in self._items]

    def values(self) -> Any:
        """Go through the items; of an item, what is read of it counts."""
        return [self._view(key) for key in self._items]

    def nodes(self, run: _Run) -> Iterator[tuple[Any, Item]]:
        """Go through the items that a run is about, each a node of its own."""
        run.loops.add(self.name)
        for key, item in self.coming(run):
            run.enter(f"{self.name} {text_of(key)}")
            yield key, item
            run.enter(ROOT)

    def coming(self, run: _Run) -> list[tuple[Any, Item]]:
        """Give the items that a run is about."""
        only = None if run.only is None else run.only.get(self.name, set())
        return [(key, item) for key, item in self._items.items() if only is None or text_of(key) in only]

    def seen(self, key: Any) -> Any:
        """Give an item of which only the fields that are read count."""
        return self._view(key) if key in self._items else None

    def _view(self, key: Any) -> Any:
        return FieldView(self._items[key], self.name, text_of(key))


def each(mapping: Mapping[Key, Item]) -> Iterator[tuple[Key, Item]]:
    """Go through items one by one, each on its own: see above. Any mapping will do; inside of a node it is a loop."""
    run = _run.get()
    if run is None or run.node != ROOT or not isinstance(mapping, NodeMapping):
        return iter(mapping.items())
    return mapping.nodes(run)


def seen(mapping: Mapping[Key, Item], key: Key) -> Item | None:
    """Look an item up of which only the fields that are read count, and not all of it."""
    return mapping.seen(key) if isinstance(mapping, NodeMapping) else mapping.get(key)


def coming(mapping: Mapping[Key, Item]) -> list[tuple[Key, Item]]:
    """Give the items that `each` will give, for what is best begun for all of them together."""
    run = _run.get()
    if run is None or run.node != ROOT or not isinstance(mapping, NodeMapping):
        return list(mapping.items())
    return mapping.coming(run)


@dataclass(frozen=True)
class Jobs(Generic[Item, Result]):
    """Some jobs over the same library, kept under a name; `beside` names all else they look at."""

    name: str
    jobs: Mapping[str, Callable[[Item], Iterable[Result]]]
    form: StoredForm[Result]
    store: Store
    mappings: Mapping[str, NodeMapping[Any]]

    def run(self, library: Item, beside: str) -> list[Result]:
        """Give what all jobs find, each job's results together."""
        now = {
            f"{name} {item}": mapping.whole(item)
            for name, mapping in self.mappings.items()
            for item in mapping.names()
        }
        state, changed, readers = self._begun(self._state(beside, now), now)
        read: dict[str, Rows] = {}
        for name, job in counted("Checking", list(self.jobs.items())):
            loops = state["loops"].get(name)
            only = None if loops is None else self._reached(name, changed, readers, loops)
            if only is not None and not only:
                continue
            run, results = _called(job, library, only)
            rows = {node: [self.form.write(one) for one in found] for node, found in results.items()}
            if only is None:
                state["found"][name], state["loops"][name] = rows, sorted(run.loops)
            else:
                kept = {node: one for node, one in state["found"][name].items() if not _is_in(node, only)}
                state["found"][name] = {**kept, **{node: one for node, one in rows.items() if node != ROOT}}
            self._forget(name, only, readers)
            self._note(name, run, only, read)
        if changed:
            state["readers"].update(self._keep(readers, read, state["readers"]))
            self.store.keep({self.name: {**state, "beside": beside, "items": now}}, KIND)
        rows_of = (rows for name in self.jobs for rows in state["found"][name].values())
        return [self.form.read(row) for rows in rows_of for row in rows]

    def _begun(
        self, state: dict[str, Any], now: Mapping[str, str]
    ) -> tuple[dict[str, Any], list[str], dict[str, Rows]]:
        """Give the state to begin with, what changed since, and who read that; nothing kept when that is unknown."""
        changed = [item for item in now if state["items"].get(item) != now[item]]
        wanted = [item for item in changed if item in state["readers"]]
        readers = self._readers(wanted, state["readers"])
        if len(readers) < len(wanted):
            return _nothing_kept(), list(now), {}
        return state, changed, readers

    def _state(self, beside: str, now: Mapping[str, str]) -> dict[str, Any]:
        """Give what the last run kept, where it was over the same items and all else is as it was."""
        state = self.store.read([self.name], KIND).get(self.name)
        if (
            isinstance(state, dict)
            and state["beside"] == beside
            and list(state["items"]) == list(now)
            and state["found"].keys() == self.jobs.keys()
        ):
            # copies: the store may lend the very object it will write, and a job may fail halfway
            return {**state, **{part: dict(state[part]) for part in _nothing_kept()}}
        return _nothing_kept()

    def _readers(self, items: Iterable[str], known: Mapping[str, str]) -> dict[str, Rows]:
        """Give which nodes of which jobs read an item, by item, where the row is the one that is known."""
        rows = self.store.read([f"{self.name} {item}" for item in items], READERS)
        named = ((key.removeprefix(f"{self.name} "), dict(row)) for key, row in rows.items())
        return {item: row for item, row in named if _row_key(row) == known[item]}

    def _reached(
        self, job: str, changed: Iterable[str], readers: Mapping[str, Rows], loops: Iterable[str]
    ) -> dict[str, set[str]] | None:
        """Give the items of a job's loops that changes reach; None when they reach its root."""
        only: dict[str, set[str]] = {}
        for item in changed:
            mapping, _, name = item.partition(" ")
            nodes = [
                node
                for node, (fields, digest) in readers.get(item, {}).get(job, {}).items()
                if self.mappings[mapping].fields(name, tuple(fields)) != digest
            ]
            if ROOT in nodes:
                return None
            for node in [*nodes, *([item] if mapping in loops else [])]:
                where, _, which = node.partition(" ")
                only.setdefault(where, set()).add(which)
        return only

    def _forget(self, job: str, only: Mapping[str, set[str]] | None, readers: Mapping[str, Rows]) -> None:
        """Take out what nodes read that were worked on again."""
        for row in readers.values():
            if job in row:
                row[job] = {
                    node: one for node, one in row[job].items() if only is not None and not _is_in(node, only)
                }

    def _note(self, job: str, run: _Run, only: Mapping[str, set[str]] | None, read: dict[str, Rows]) -> None:
        """Write down which items each node read, and what they said."""
        for node, noted in run.read.items():
            if node == ROOT and only is not None:
                continue
            for (mapping, item), fields in noted.items():
                ordered = (WHOLE,) if WHOLE in fields else tuple(sorted(fields))
                if ordered:
                    row = read.setdefault(f"{mapping} {item}", {}).setdefault(job, {})
                    row[node] = [ordered, self.mappings[mapping].fields(item, ordered)]

    def _keep(
        self, readers: Mapping[str, Rows], read: Mapping[str, Rows], known: Mapping[str, str]
    ) -> dict[str, str]:
        """Hand to the store who read what; give the hash of each row, or that it is unknown."""
        others = [item for item in read if item in known and item not in readers]
        rows = {**readers, **self._readers(others, known)}
        keys = {item: UNKNOWN for item in others if item not in rows}
        for item, jobs in read.items():
            if item not in keys:
                row = rows.setdefault(item, {})
                for job, nodes in jobs.items():
                    row[job] = {**row.get(job, {}), **nodes}
        self.store.keep({f"{self.name} {item}": row for item, row in rows.items()}, READERS)
        return {**keys, **{item: _row_key(row) for item, row in rows.items()}}


def _nothing_kept() -> dict[str, Any]:
    """Begin a state: hashes of items, what was found by job, the loops of jobs, and the hashes of rows of readers."""
    return {"items": {}, "found": {}, "loops": {}, "readers": {}}


def _row_key(row: Rows) -> str:
    """Hash who reads an item, the same before it is written and after it is read back."""
    return text_key(json.dumps(row, ensure_ascii=False))


def _is_in(node: str, only: Mapping[str, set[str]]) -> bool:
    mapping, _, item = node.partition(" ")
    return item in only.get(mapping, ())


def _called(
    job: Callable[[Item], Iterable[Result]], library: Item, only: Mapping[str, set[str]] | None
) -> tuple[_Run, dict[str, list[Result]]]:
    """Call a job; give what it read, and what it found node by node."""
    run = _Run(only)
    results: dict[str, list[Result]] = {}
    token = _run.set(run)
    try:
        with recording():
            run.enter(ROOT)
            for one in job(library):
                results.setdefault(run.node, []).append(one)
    finally:
        _run.reset(token)
    return run, results
