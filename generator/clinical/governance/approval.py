"""What was approved, word for word, so that every edit since can be reported and nothing can vanish.

`approved.lock` in the content folder keeps every approved entry, translation, prose page and settings file as it was
approved: who approved it, its version, the day of its review, and every field as JSON on a line of its own. It is
written by `limberleaf review --record` and committed with the entries, so the history of the folder is the history of
approvals, and no build needs to ask a version control system. Its last line counts what it holds, so that a shortened
lock is seen. A change that one person agreed to and a second has still to confirm stands under its entry (waiting.py).
What was taken away for good stays in it as a line that says why and who decided it.

A change of a field listed as minor (data/edits.yml) keeps the review date. Any other change is major.
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from functools import cache
from importlib.resources import files
from typing import Any, Literal

from pydantic import BaseModel

from limberleaf.clinical.governance.waiting import Waiting, read_waiting, retirement
from limberleaf.data_files import safe_load
from limberleaf.library import Library, Loaded
from limberleaf.library.models.values import Band, Count, Duration, Span
from limberleaf.library.prose import ProsePage
from limberleaf.library.text import heard
from limberleaf.library.yaml.source import Source

LOCK = "approved.lock"
MOST_BAD_LINES = 20
"""A broken lock has one cause; a finding for each of its lines would hide the first."""
EMPTY: tuple[object, ...] = (None, [], False)
WEAKENED = "weakened"
WAITING, WAITS = "waiting", "waits"
"""The words before a reason, a change that waits for a second person, and the keys of all that wait; no fields."""
_HEAD = (
    "# What was approved: who, version, day of review, and every field as it was approved.\n"
    "# Written by `limberleaf review --record`; keep it with the entries and do not edit it by hand.\n"
)
_ENTRY = re.compile(r"(?P<name>[a-z]+/\S+) (?P<version>\d+) (?P<reviewed>\d{4}-\d\d-\d\d|-) (?P<by>\".*\"|-)")
_FIELD = re.compile(r" (?P<field>[a-z_]+) (?P<value>\S.*)")
_RETIRED = re.compile(
    r"retired (?P<name>[a-z]+/\S+) (?P<day>\d{4}-\d\d-\d\d) (?P<by>\".*?[^\\]\") (?P<because>\".*\")"
)
_END = re.compile(r"end (?P<count>\d+) (?P<names>[0-9a-f]{8})")

Level = Literal["none", "minor", "major"]


@dataclass(frozen=True)
class Reason:
    """Why a change that can take a safeguard away was approved: what changed, when, by whom (a role) and why."""

    says: str
    day: date
    by: str
    because: str


@dataclass(frozen=True)
class Approved:
    """An entry as it was approved; `fields` are plain values.

    `reasons` tell what was weakened on the way here, `waiting` what a second person has still to confirm.
    """

    version: int
    reviewed: date | None
    fields: Mapping[str, Any]
    approved_by: str | None = None
    reasons: tuple[Reason, ...] = ()
    waiting: tuple[Waiting, ...] = ()
    lost: tuple[str, ...] = ()
    """Keys of what should wait and is not in the lock as it was written."""

    @property
    def waits(self) -> list[str]:
        """Give the keys of all that should wait."""
        return sorted({*self.lost, *(one.key for one in self.waiting)})

    def lines(self, name: str) -> str:
        """Write it as lines of the lock."""
        head = f"{name} {self.version} {self.reviewed or '-'} {_json(self.approved_by) if self.approved_by else '-'}\n"
        fields = "".join(f" {key} {_json(value)}\n" for key, value in sorted(self.fields.items()))
        rows = ([str(one.day), one.by, one.says, one.because] for one in self.reasons)
        weakened = "".join(f" {WEAKENED} {_json(one)}\n" for one in rows)
        waiting = "".join(f" {WAITING} {one.row()}\n" for one in self.waiting)
        return head + fields + weakened + waiting + (f" {WAITS} {_json(self.waits)}\n" if self.waits else "")


@dataclass(frozen=True)
class Agreed:
    """What an approval adds to an entry: reasons, and all that now waits for a second person."""

    reasons: tuple[Reason, ...] = ()
    waiting: tuple[Waiting, ...] = ()


@dataclass(frozen=True)
class Retired:
    """What was taken away for good: when, by whom (a role) and why."""

    day: date
    by: str
    because: str

    def line(self, name: str) -> str:
        """Write it as a line of the lock."""
        return f"retired {name} {self.day} {_json(self.by)} {_json(self.because)}\n"


@dataclass(frozen=True)
class Edit:
    """What changed since the approval."""

    level: Level
    fields: tuple[str, ...]


@dataclass(frozen=True)
class Lock:
    """The lock as read: entries by name, what was retired, lines that cannot be read, and whether its end fits."""

    entries: Mapping[str, Approved]
    bad_lines: tuple[int, ...] = field(default=())
    retired: Mapping[str, Retired] = field(default_factory=dict)
    whole: bool = True


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


def read_lock(text: str) -> Lock:
    """Read `approved.lock`."""
    heads: dict[str, re.Match[str]] = {}
    fields: dict[str, dict[str, list[Any]]] = {}
    retired: dict[str, Retired] = {}
    bad: list[int] = []
    name, end = "", None
    for number, line in enumerate(text.splitlines(), 1):
        if not line or line.startswith("#"):
            continue
        if head := _ENTRY.fullmatch(line):
            name = head["name"]
            heads[name], fields[name] = head, {}
        elif (match := _FIELD.fullmatch(line)) and name and _is_json(match["value"]):
            fields[name].setdefault(match["field"], []).append(json.loads(match["value"]))
        elif (gone := _RETIRED.fullmatch(line)) and (was := _retired(gone)):
            retired[gone["name"]] = was
        elif found := _END.fullmatch(line):
            end = found
        else:
            bad.append(number)
            if len(bad) == MOST_BAD_LINES:
                break
    entries: dict[str, Approved] = {}
    for key, head in heads.items():
        try:
            reviewed = None if head["reviewed"] == "-" else date.fromisoformat(head["reviewed"])
            by = None if head["by"] == "-" else json.loads(head["by"])
            version = int(head["version"])
        except (ValueError, RecursionError):
            if len(bad) < MOST_BAD_LINES:
                bad.append(text[: text.index(head[0])].count("\n") + 1)
            continue
        reasons = tuple(filter(None, map(_reason, fields[key].pop(WEAKENED, []))))
        waiting = tuple(filter(None, map(read_waiting, fields[key].pop(WAITING, []))))
        listed = [
            one for keys in fields[key].pop(WAITS, []) for one in (keys if isinstance(keys, list) else ["?"])
        ]
        lost = sorted({str(one) for one in listed} - {one.key for one in waiting})
        last_values = {field_name: values[-1] for field_name, values in fields[key].items()}
        entries[key] = Approved(version, reviewed, last_values, by, reasons, waiting, tuple(lost))
    whole = end is not None and end[0] == _end(entries, retired).strip()
    return Lock(entries, tuple(sorted(bad)), retired, whole)


def _reason(value: Any) -> Reason | None:
    if not (isinstance(value, list) and len(value) == 4 and all(isinstance(part, str) for part in value)):
        return None
    try:
        return Reason(value[2], date.fromisoformat(value[0]), value[1], value[3])
    except ValueError:
        return None


def _retired(gone: re.Match[str]) -> Retired | None:
    try:
        return Retired(date.fromisoformat(gone["day"]), json.loads(gone["by"]), json.loads(gone["because"]))
    except (ValueError, RecursionError):
        return None


def _is_json(text: str) -> bool:
    try:
        json.loads(text)
    except (ValueError, RecursionError):
        return False
    return True


def _json(value: object) -> str:
    return json.dumps(value, ensure_ascii=False, sort_keys=True)


def _end(entries: Mapping[str, Approved], retired: Mapping[str, Retired]) -> str:
    waits = [f"{name} {' '.join(entries[name].waits)}" for name in sorted(entries) if entries[name].waits]
    names = [*sorted(entries), *sorted(retired)]
    digest = hashlib.blake2b("\n".join([*names, *waits]).encode(), digest_size=4).hexdigest()
    return f"end {len(names)} {digest}\n"


def empty_lock() -> str:
    """Give the lock of a library in which nothing has been approved yet."""
    return _HEAD + _end({}, {})


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


def approvable(library: Library) -> Iterator[tuple[str, Loaded[Any]]]:
    """Give the approved entries and translations with the names the lock knows them by."""
    for name, loaded in everything(library):
        if loaded.entry.status == "approved":
            yield name, loaded


def everything(library: Library) -> Iterator[tuple[str, Loaded[Any]]]:
    """Give every entry and translation, whatever its status, with the name the lock knows it by."""
    for kind in ("exercises", "ladders", "collections", "cautions"):
        for name, loaded in getattr(library, kind).items():
            yield f"{kind}/{name}", loaded
    for (code, language), translation in library.translations.items():
        yield f"translations/{code}.{language}", translation
    for (folder, name, language), words in library.group_translations.items():
        yield f"{folder}/{name}.{language}", words


def parts(library: Library) -> Iterator[Part]:
    """Give all that an approval covers: approved entries and translations, settings, and prose pages."""
    for name, loaded in approvable(library):
        yield Part(name, loaded.entry, loaded.source)
    yield from unreviewed(library)


def unreviewed(library: Library) -> Iterator[Part]:
    """Give the settings and prose pages, which carry no review of their own."""
    for name in ("clinic", "equipment", "plans", "media"):
        settings: Loaded[Any] | None = getattr(library, name)
        if settings:
            yield Part(f"settings/{name}", settings.entry, settings.source)
    for page in library.pages.values():
        name = f"pages/{page.name}" + (f".{page.language}" if page.language else "")
        yield Part(name, page, page.source)


def now(entry: Any) -> Approved:
    """Give an entry as it is now, in the form of the lock."""
    if isinstance(entry, ProsePage):
        lines = [line for line in entry.markdown.splitlines() if line.strip()]
        return Approved(1, None, {"title": entry.title, "description": entry.description, "markdown": lines})
    beside = _rules()["beside"] if hasattr(entry, "review") and hasattr(entry, "status") else []
    values = {name: plain(getattr(entry, name)) for name in type(entry).model_fields if name not in beside}
    fields = {name: value for name, value in values.items() if value not in EMPTY}
    review = getattr(entry, "review", None)
    if not beside:
        return Approved(1, None, fields)
    return (
        Approved(review.version, review.reviewed, fields, review.approved_by)
        if review
        else Approved(1, None, fields)
    )


def edit_since(entry: Any, approved: Approved) -> Edit:
    """Tell what changed since the approval, and whether it is minor or major.

    Wording that differs only in case, spacing or punctuation counts as no change, but for a stop inside a text:
    “No. Clicks are common.” is not “No clicks are common.”
    """
    present = now(entry).fields
    changed = tuple(
        name
        for name in sorted({*present, *approved.fields})
        if heard(present.get(name)) != heard(approved.fields.get(name))
    )
    if not changed:
        return Edit("none", ())
    return Edit("major" if any(not is_minor(name) for name in changed) else "minor", changed)


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
    was taken back, and goes.
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
            entries[part.name] = replace(kept, waiting=waiting)
    entries = {name: entry for name, entry in entries.items() if name not in gone}
    lines = [entries[name].lines(name) for name in sorted(entries)]
    lines += [gone[name].line(name) for name in sorted(gone)]
    return _HEAD + "".join(lines) + _end(entries, gone)


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
