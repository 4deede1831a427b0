"""What was approved, word for word, so that every edit since can be reported and nothing can vanish.

`approved.lock` (lock.py) in the content folder keeps every approved entry, translation, prose page and settings file as
it was approved. It is written by `limberleaf review --record` and committed with the entries, so the history of the
folder is the history of approvals, and no build needs to ask a version control system.

A change of a field listed as minor (data/edits.yml) keeps the review date. Any other change is major.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files
from typing import Any, Literal

from pydantic import BaseModel

from limberleaf.clinical.governance.change_kinds import KEPT_BY, UNORDERED
from limberleaf.clinical.governance.lock import LOCK, Agreed, Approved, Lock, Retired, lock_lines, read_lock
from limberleaf.clinical.governance.waiting import keeper_before, retirement
from limberleaf.data_files import safe_load
from limberleaf.library import Library, Loaded
from limberleaf.library.models.clinic import Words
from limberleaf.library.models.values import Band, Count, Duration, Span
from limberleaf.library.prose import ProsePage
from limberleaf.library.text import heard
from limberleaf.library.yaml.source import Loc, Source
from limberleaf.store.trace import whole_of

EMPTY: tuple[object, ...] = (None, [], False)

Level = Literal["none", "minor", "major"]


@dataclass(frozen=True)
class Edit:
    """What changed since the approval."""

    level: Level
    fields: tuple[str, ...]


@dataclass(frozen=True)
class Part:
    """One thing an approval covers: its name in the lock, its entry and its file. Settings and pages have no review."""

    name: str
    entry: Any
    source: Source


@cache
def _rules() -> Mapping[str, list[str]]:
    text = files("limberleaf.clinical").joinpath("data/edits.yml").read_text("utf-8")
    return dict(safe_load(text))


def is_minor(name: str) -> bool:
    """Tell whether a field may change without a new review."""
    return name in _rules()["minor"]


def lock_of(library: Library) -> Lock | None:
    """Read the lock of a library; None when it has none."""
    file = library.root / LOCK
    if not file.is_file():
        return None
    state = file.stat()
    stamp = (state.st_mtime_ns, state.st_size, state.st_ino)

    def read() -> list[Lock]:
        return [read_lock(file.read_text("utf-8", errors="replace"))]

    return library.read_cache.cached(("approved.lock", file), stamp, read)[0]


Walk = Callable[[Mapping[Any, Any]], Iterable[tuple[Any, Loaded[Any]]]]
"""How items are gone through: all together (`all_items`), or each on its own (store/nodes.py: `each`)."""


def all_items(mapping: Mapping[Any, Any]) -> Iterable[tuple[Any, Loaded[Any]]]:
    """Go through items together."""
    return mapping.items()


def approvable(library: Library, walk: Walk = all_items) -> Iterator[tuple[str, Loaded[Any]]]:
    """Give the approved entries and translations with the names the lock knows them by."""
    for name, loaded in everything(library, walk):
        if loaded.entry.status == "approved":
            yield name, loaded


def everything(library: Library, walk: Walk = all_items) -> Iterator[tuple[str, Loaded[Any]]]:
    """Give every entry and translation, whatever its status, with the name the lock knows it by."""
    for kind in ("exercises", "ladders", "collections", "cautions"):
        for name, loaded in walk(getattr(library, kind)):
            yield f"{kind}/{name}", loaded
    for (code, language), translation in walk(library.translations):
        yield f"translations/{code}.{language}", translation
    for (folder, name, language), words in walk(library.group_translations):
        yield f"{folder}/{name}.{language}", words


def parts(library: Library, walk: Walk = all_items) -> Iterator[Part]:
    """Give all that an approval covers: approved entries and translations, settings, and prose pages."""
    for name, loaded in approvable(library, walk):
        yield Part(name, loaded.entry, loaded.source)
    yield from unreviewed(library)


def unreviewed(library: Library) -> Iterator[Part]:
    """Give the settings and prose pages, which carry no review of their own; of words.yml only its search words."""
    for name in ("clinic", "equipment", "plans", "media", "words"):
        settings: Loaded[Any] | None = getattr(library, name)
        if settings and (name != "words" or settings.entry.synonyms):
            yield Part(f"settings/{name}", settings.entry, settings.source)
    for page in library.pages.values():
        name = f"pages/{page.name}" + (f".{page.language}" if page.language else "")
        yield Part(name, page, page.source)


def now(entry: Any) -> Approved:
    """Give an entry as it is now, in the form of the lock."""
    if isinstance(entry, ProsePage):
        lines = [line for line in entry.markdown.splitlines() if line.strip()]
        return Approved(1, None, {"title": entry.title, "description": entry.description, "markdown": lines})
    if isinstance(entry, Words):
        return Approved(1, None, {"synonyms": plain(entry.synonyms)})
    beside = _rules()["beside"] if hasattr(entry, "review") and hasattr(entry, "status") else []
    entry = whole_of(entry)
    values = {name: plain(getattr(entry, name)) for name in type(entry).model_fields if name not in beside}
    fields = {name: value for name, value in values.items() if value not in EMPTY}
    review = getattr(entry, "review", None)
    if not beside:
        return Approved(1, None, fields)
    if review is None:
        return Approved(1, None, fields)
    return Approved(review.version, review.reviewed, {**fields, KEPT_BY: review.owner}, review.approved_by)


def edit_since(entry: Any, approved: Approved) -> Edit:
    """Tell what changed since the approval, and whether it is minor or major.

    Wording that differs only in case, spacing or punctuation counts as no change, but for a stop inside a text:
    “No. Clicks are common.” is not “No clicks are common.”
    """
    present = now(entry).fields
    changed = tuple(
        name
        for name in sorted({*present, *approved.fields})
        if (name != KEPT_BY or name in approved.fields)  # locks of before say no keepers
        and heard(_orderless(present.get(name), (name,)))
        != heard(_orderless(approved.fields.get(name), (name,)))
    )
    if not changed:
        return Edit("none", ())
    return Edit("major" if any(not is_minor(name) for name in changed) else "minor", changed)


def handed_over_with_more(entry: Any, approved: Approved, role: str) -> bool:
    """Tell whether a role gave an entry that it kept to another, and more changed.

    It kept it when it was approved, or still counts as keeper: nobody has confirmed the new one yet.
    """
    kept = (approved.fields.get(KEPT_BY), keeper_before(approved.waiting))
    return role.casefold() in {str(one).casefold() for one in kept if one} and edit_since(
        entry, approved
    ).fields != (KEPT_BY,)


def _orderless(value: Any, loc: Loc) -> Any:
    """Give a value with the lists sorted whose order nobody sees."""
    if isinstance(value, dict):
        return {key: _orderless(item, (*loc, key)) for key, item in value.items()}
    return sorted(value, key=str) if loc in UNORDERED and isinstance(value, list) else value


def recorded(entry: Any, approved: Approved) -> bool:
    """Tell whether the review the entry states is the one that was recorded."""
    stated = now(entry)
    return (stated.version, stated.reviewed, stated.approved_by) == (
        approved.version,
        approved.reviewed,
        approved.approved_by,
    )


def lock_text(
    library: Library,
    before: Lock | None,
    *,
    confirmed: frozenset[str] | None = None,
    retired: Mapping[str, Retired] | None = None,
    agreed: Mapping[str, Agreed] | None = None,
) -> str:
    """Write the lock with what was `confirmed` (None: all) as it is now.

    Everything else keeps its old lines, also what has gone, so that it is still found. New reasons in `agreed` come
    after those that are there; what waits is what `agreed` says. A first yes to take away what is there and approved
    was taken back, and goes. What a lock of before does not say, who keeps an entry, is added.
    """
    entries = dict(before.entries) if before else {}
    gone = {**(before.retired if before else {}), **(retired or {})}
    for part in parts(library):
        if confirmed is None or part.name in confirmed:
            old = entries.get(part.name)
            new = (agreed or {}).get(part.name) or Agreed((), old.waiting if old else ())
            reasons = (*(old.reasons if old else ()), *new.reasons)
            lost = old.lost if old else ()
            entries[part.name] = replace(now(part.entry), reasons=reasons, waiting=new.waiting, lost=lost)
        if (kept := entries.get(part.name)) and (taken_back := retirement(kept.waiting)):
            waiting = tuple(one for one in kept.waiting if one != taken_back)
            entries[part.name] = kept = replace(kept, waiting=waiting)
        if kept and KEPT_BY not in kept.fields and (keeper := now(part.entry).fields.get(KEPT_BY)):
            entries[part.name] = replace(kept, fields={**kept.fields, KEPT_BY: keeper})
    entries = {name: entry for name, entry in entries.items() if name not in gone}
    return lock_lines(entries, gone)


def plain(value: object) -> Any:
    """Give a value as JSON can hold it, without what says nothing."""
    if isinstance(value, BaseModel):
        fields = {name: plain(getattr(value, name)) for name in type(value).model_fields}
        return {name: item for name, item in fields.items() if item not in EMPTY}
    if isinstance(value, Mapping):
        return {str(key): plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [plain(item) for item in value]
    if value is None or isinstance(value, bool | float):
        return value
    if isinstance(value, int):
        return int(value)
    if isinstance(value, Count | Duration | Band):
        return [value.low, value.high]
    if isinstance(value, Span):
        return f"{value.number} {value.unit}"
    return str(value)
