"""What was approved, field by field, so that an edit can be told minor or major.

`approved.lock` in the content folder keeps one line for each approved entry: its version, the day of its review and a
short fingerprint of every field. It is written when approvals are recorded and committed with the entries, so the
history of the folder is the history of approvals, and no build needs to ask a version control system.

A change of a field listed as minor (data/edits.yml) keeps the review date. Any other change is major: the entry needs
a new review, which shows as a new day of review and a new version.
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from functools import cache
from importlib.resources import files
from typing import Any, Literal

from pydantic import BaseModel

from limberleaf.data_files import safe_load
from limberleaf.library import Library, Loaded

LOCK = "approved.lock"
EMPTY: tuple[object, ...] = (None, [], False)
_HEAD = (
    "# What was approved: version, day of review, and a fingerprint of every field.\n"
    "# Written when approvals are recorded; keep it with the entries and do not edit it by hand.\n"
)
_LINE = re.compile(
    r"(?P<name>[a-z]+/\S+) (?P<version>\d+) (?P<reviewed>\d{4}-\d\d-\d\d|-)(?P<fields>(?: [a-z_]+=[0-9a-f]{8})*)"
)
_MARKS = r"[.,;:!?'\"“”‘’()\[\]–—-]"
_PUNCTUATION = re.compile(rf"(?<!\d){_MARKS}|{_MARKS}(?!\d)")

Level = Literal["none", "minor", "major"]


@dataclass(frozen=True)
class Approved:
    """An entry as it was approved."""

    version: int
    reviewed: date | None
    fields: Mapping[str, str]

    def line(self, name: str) -> str:
        """Write it as a line of the lock."""
        prints = "".join(f" {key}={value}" for key, value in sorted(self.fields.items()))
        return f"{name} {self.version} {self.reviewed or '-'}{prints}\n"


@dataclass(frozen=True)
class Edit:
    """What changed since the approval."""

    level: Level
    fields: tuple[str, ...]


@dataclass(frozen=True)
class Lock:
    """The lock as read: entries by name, and the numbers of lines that cannot be read."""

    entries: Mapping[str, Approved]
    bad_lines: tuple[int, ...] = field(default=())


@cache
def _rules() -> Mapping[str, list[str]]:
    text = files(__package__).joinpath("data/edits.yml").read_text("utf-8")
    return dict(safe_load(text))


def read_lock(text: str) -> Lock:
    """Read `approved.lock`."""
    entries: dict[str, Approved] = {}
    bad: list[int] = []
    for number, line in enumerate(text.splitlines(), 1):
        if not line or line.startswith("#"):
            continue
        match = _LINE.fullmatch(line)
        approved = _approved(match) if match else None
        if match is None or approved is None:
            bad.append(number)
        else:
            entries[match["name"]] = approved
    return Lock(entries, tuple(bad))


def _approved(match: re.Match[str]) -> Approved | None:
    try:
        reviewed = None if match["reviewed"] == "-" else date.fromisoformat(match["reviewed"])
    except ValueError:
        return None
    fields = dict(part.split("=") for part in match["fields"].split())
    return Approved(int(match["version"]), reviewed, fields)


def lock_of(library: Library) -> Lock | None:
    """Read the lock of a library; None when it has none."""
    file = library.root / LOCK
    if not file.is_file():
        return None
    return read_lock(file.read_text("utf-8", errors="replace"))


def approvable(library: Library) -> Iterator[tuple[str, Loaded[Any]]]:
    """Give the approved entries and translations with the names the lock knows them by."""
    for kind in ("exercises", "ladders", "collections", "cautions"):
        for name, loaded in getattr(library, kind).items():
            if loaded.entry.status == "approved":
                yield f"{kind}/{name}", loaded
    for (code, language), translation in library.translations.items():
        if translation.entry.status == "approved":
            yield f"translations/{code}.{language}", translation
    for (folder, name, language), words in library.group_translations.items():
        if words.entry.status == "approved":
            yield f"{folder}/{name}.{language}", words


def now(entry: Any) -> Approved:
    """Give an entry as it stands, in the form of the lock."""
    beside = _rules()["beside"]
    prints = {
        name: _fingerprint(getattr(entry, name)) for name in type(entry).model_fields if name not in beside
    }
    return Approved(entry.review.version, entry.review.reviewed, prints)


def edit_since(entry: Any, approved: Approved) -> Edit:
    """Tell what changed since the approval, and whether it is minor or major.

    A field that only one of the two knows has changed when the entry gives it a value.
    """
    present = now(entry).fields
    empty = {_fingerprint(nothing) for nothing in EMPTY}
    changed = tuple(
        name
        for name in sorted({*present, *approved.fields})
        if present.get(name) != approved.fields.get(name)
        and not (name not in approved.fields and present[name] in empty)
    )
    if not changed:
        return Edit("none", ())
    major = any(name not in _rules()["minor"] for name in changed)
    return Edit("major" if major else "minor", changed)


def reviewed_anew(entry: Any, approved: Approved) -> bool:
    """Tell whether the entry has a new review since: a later day and a higher version."""
    review = entry.review
    later = review.reviewed is not None and (approved.reviewed is None or review.reviewed > approved.reviewed)
    return later and review.version > approved.version


def lock_text(library: Library, before: Lock | None) -> str:
    """Write the lock anew: approvals and minor edits are taken in.

    A major edit without a new review keeps its old line, so that it is still found.
    """
    lines = []
    for name, loaded in sorted(approvable(library), key=lambda pair: pair[0]):
        old = before.entries.get(name) if before else None
        keep = (
            old is not None
            and not reviewed_anew(loaded.entry, old)
            and edit_since(loaded.entry, old).level == "major"
        )
        lines.append((old if keep and old else now(loaded.entry)).line(name))
    return _HEAD + "".join(lines)


def _fingerprint(value: object) -> str:
    text = json.dumps(_plain(value), ensure_ascii=False, sort_keys=True, default=str)
    return hashlib.blake2b(text.encode(), digest_size=4).hexdigest()


def _plain(value: object) -> object:
    if isinstance(value, str):
        return _wording(value)
    if isinstance(value, BaseModel):
        said = {name: getattr(value, name) for name in type(value).model_fields}
        return {name: _plain(item) for name, item in said.items() if item not in EMPTY}
    if isinstance(value, Mapping):
        return {str(key): _plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(item) for item in value]
    return value


def _wording(text: str) -> str:
    """Leave out what no reader would call a change: case, spacing, and punctuation that is not inside a number."""
    return " ".join(_PUNCTUATION.sub(" ", text.casefold()).split())
