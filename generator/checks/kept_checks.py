"""Checks as jobs of the build graph (store/nodes.py): after an edit of an entry only what reads that entry is checked.

Exercises, ladders, collections and translations are its items. Everything else a check may look at (settings, boxes,
pages, locks, the clinic's own files, the day, the program, what reading the folder found) stands beside them: when
any of it differs, everything is checked again.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import fields
from datetime import date
from typing import Any

from limberleaf.findings import Finding
from limberleaf.library import Library, Loaded
from limberleaf.library.load import FINDING_FORM, SETTINGS
from limberleaf.progress import counted
from limberleaf.store import Store, code_key, content_key
from limberleaf.store.nodes import Jobs, NodeMapping
from limberleaf.store.stamps import files_below, stamped
from limberleaf.store.trace import text_of

Job = Callable[[Library], Iterable[Finding]]

KIND = "files"
ITEMS = ("exercises", "ladders", "collections", "translations", "group_translations")


class _NodeLibrary(Library):
    """The same library, on mappings whose items are nodes."""

    def __init__(self, library: Library, mappings: Mapping[str, NodeMapping[Any]]) -> None:
        for one in fields(library):
            setattr(self, one.name, mappings.get(one.name) or getattr(library, one.name))


def findings_of(
    library: Library, name: str, jobs: Mapping[str, Job], today: date | None, store: Store
) -> list[Finding]:
    """Give what checks find, kept in the store under a name; without a store that lasts, all are simply asked."""
    if not store.outlives_the_run:
        return [found for job in counted("Checking", list(jobs.values())) for found in job(library)]
    mappings = {one: NodeMapping(one, getattr(library, one), _key) for one in ITEMS}
    work = Jobs(f"{name} {library.root.absolute()}", jobs, FINDING_FORM, store, mappings)
    return work.run(_NodeLibrary(library, mappings), content_key(beside(library, store), today))


def _key(_: object, loaded: Loaded[Any]) -> str:
    return loaded.content_key


def beside(library: Library, store: Store) -> str:
    """Name all that is not an item: the rest of the folder by its hashes, and what was read of it before.

    A file that was changed after the library was read has the new hash while the checks see what it said then.
    """
    items = {
        str(library.root / loaded.source.path) for one in ITEMS for loaded in getattr(library, one).values()
    }
    name = f"beside {library.root.absolute()}"
    known = store.read([name], KIND).get(name, {})
    now = stamped((file for file in files_below(library.root) if file not in items), known)
    if now != known:
        store.keep({name: now}, KIND)
    found = [FINDING_FORM.write(one) for one in library.findings]
    rest = [(file, digest) for file, (_, digest) in now.items()]
    alone = (getattr(library, name.removesuffix(".yml")) for name in SETTINGS)
    read = [one.content_key for one in (*alone, *library.cautions.values(), *library.pages.values()) if one]
    return content_key(code_key("limberleaf", "limberleaf.diagrams"), found, rest, read)


def changed_exercises(library: Library, store: Store) -> set[str] | None:
    """Name the exercises that changed since this was asked last, in any language; None: all of them may have."""
    row = f"changed {library.root.absolute()}"
    shared = beside(library, store)
    items = {
        f"{name} {text_of(key)}": loaded.content_key
        for name in ITEMS
        for key, loaded in getattr(library, name).items()
    }
    before = store.read([row], KIND).get(row)
    if before == [shared, items]:
        return set()
    store.keep({row: [shared, items]}, KIND)
    if not isinstance(before, list) or before[0] != shared:
        return None
    changed = (item.partition(" ")[2] for item, key in items.items() if before[1].get(item) != key)
    return {name.partition("/")[0] for name in changed}
