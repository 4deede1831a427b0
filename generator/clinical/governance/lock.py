"""The file `approved.lock`: one line for each entry, one for each of its fields, and how it is read and written.

After the line of an entry (its name, version, day of review and who approved it) each field stands as JSON on a line of
its own, then why what was weakened was approved, and what waits for a second person (waiting.py). What was taken away
for good stays as a line that says why and who decided it. The last line counts what the file holds, so that a shortened
one is seen.
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from limberleaf.clinical.governance.waiting import Waiting, read_waiting

LOCK = "approved.lock"
MOST_BAD_LINES = 20
"""A broken lock has one cause; a finding for each of its lines would hide the first."""
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
class Lock:
    """The lock as read: entries by name, what was retired, lines that cannot be read, and whether its end fits."""

    entries: Mapping[str, Approved]
    bad_lines: tuple[int, ...] = field(default=())
    retired: Mapping[str, Retired] = field(default_factory=dict)
    whole: bool = True


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


def lock_lines(entries: Mapping[str, Approved], retired: Mapping[str, Retired]) -> str:
    """Write the whole file."""
    lines = [entries[name].lines(name) for name in sorted(entries)]
    lines += [retired[name].line(name) for name in sorted(retired)]
    return _HEAD + "".join(lines) + _end(entries, retired)


def empty_lock() -> str:
    """Give the lock of a library in which nothing has been approved yet."""
    return lock_lines({}, {})
