"""The versions of one entry: each as it was committed, how it read, and which of them was approved."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from limberleaf.checks.wording import Wording, filler, passages_of
from limberleaf.desk.git import Checkout, Revision
from limberleaf.desk.read.entries import DeskEntry
from limberleaf.desk.read.readings import Readings, ReadingSummary
from limberleaf.library import Exercise, Library
from limberleaf.library.shape import shape
from limberleaf.library.yaml.source import read_written
from limberleaf.reading.blocks import SwitchedOff


@dataclass(frozen=True)
class Version:
    """An entry as it was at one commit; `wording` and `sum` are None when it cannot be read as an entry today.

    `day` None and an empty `commit` mean: as it lies in the folder now, not committed.
    """

    commit: str
    day: date | None
    subject: str
    text: str
    entry: Any
    wording: Wording | None
    sum: ReadingSummary | None

    @property
    def version(self) -> int | None:
        """Give the number of its review."""
        return self.entry.review.version if self.entry else None

    @property
    def approved(self) -> bool:
        """Tell whether it was approved."""
        return bool(self.entry) and self.entry.status == "approved"


@dataclass(frozen=True)
class History:
    """All versions of an entry, the newest first; `missing` says why there are none."""

    versions: tuple[Version, ...]
    missing: str = ""
    shallow: bool = False

    @property
    def read(self) -> list[Version]:
        """Give the versions that can be read today and whose words differ from those of the one before."""
        found: list[Version] = []
        for version in reversed(self.versions):
            if version.wording and not (found and found[-1].wording and _words(found[-1]) == _words(version)):
                found.append(version)
        return found[::-1]

    def approvals(self) -> list[Version]:
        """Give for each approval the version that was approved: the first with that day of review and number."""
        found: dict[tuple[int, date | None], Version] = {}
        for version in reversed(self.versions):
            if version.approved and version.commit:
                review = version.entry.review
                found.setdefault((review.version, review.reviewed), version)
        return list(found.values())[::-1]


def _words(version: Version) -> list[str]:
    return [passage.text.plain for passage in version.wording.passages] if version.wording else []


def history_of(library: Library, entry: DeskEntry, checkout: Checkout, readings: Readings) -> History:
    """Give the history of an entry's words, filled with the clinic's numbers of today."""
    if entry.entry is None:
        return History((), "Prose pages have no review of their own; git has their history.")
    if checkout.missing:
        return History((), checkout.missing)
    revisions = checkout.revisions(entry.path)
    if not revisions:
        return History(
            (), "This file is not committed yet, so there is no history to show.", checkout.shallow
        )
    texts = checkout.texts(revision.blob for revision in revisions)
    versions = [_version(library, entry, one, texts.get(one.blob, ""), readings) for one in revisions]
    if texts.get(revisions[0].blob) != entry.wording.source.text:
        text = entry.wording.source.text
        now = Version(
            "", None, "Not committed yet", text, entry.entry, entry.wording, readings.sums([entry.wording])[0]
        )
        versions.insert(0, now)
    return History(tuple(versions), shallow=checkout.shallow)


def _version(
    library: Library, entry: DeskEntry, revision: Revision, text: str, readings: Readings
) -> Version:
    old = read_entry(text, entry.path, type(entry.entry))
    wording = worded(library, old, entry) if old else None
    total = readings.sums([wording])[0] if wording else None
    return Version(revision.commit, revision.day, revision.subject, text, old, wording, total)


def read_entry(text: str, path: str, model: type[Any]) -> Any:
    """Read the text of an entry; None when it is no entry by today's rules."""
    source, value, _ = read_written(path, text)
    return shape(model, value, source)[0] if value is not None else None


def worded(library: Library, old: Any, entry: DeskEntry) -> Wording:
    """Give the words of an earlier version as they would be printed on the page today."""
    fill = filler(library, old if isinstance(old, Exercise) else None, entry.language)
    switches: Sequence[Any] = getattr(old, "switched_off", ())
    return Wording(
        entry.wording.name,
        entry.wording.source,
        entry.language,
        tuple(passages_of(old, fill)),
        tuple(SwitchedOff(one.rule, one.reason, one.text) for one in switches),
    )
