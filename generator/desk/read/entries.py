"""Every page of a library as the desk lists it: its words, its record, the collections that lead to it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any, Literal

from limberleaf.checks.wording import Wording, wordings
from limberleaf.clinical.cautions import cautions_for
from limberleaf.clinical.governance.approval import Edit, edit_since, lock_of
from limberleaf.clinical.governance.review import DueState, due_day, state
from limberleaf.desk.read.prose import prose_wordings
from limberleaf.library import Library, Loaded
from limberleaf.library.models.record import Review, Status

Kind = Literal["exercise", "ladder", "collection", "caution", "prose"]
KINDS: Mapping[str, Kind] = {
    "exercises": "exercise",
    "ladders": "ladder",
    "collections": "collection",
    "cautions": "caution",
    "pages": "prose",
}
"""Kinds of page by the folder their files lie in."""

STATUS_WORDS: Mapping[Status, str] = {
    "draft": "Draft",
    "in_review": "In review",
    "approved": "Approved",
    "retired": "Retired",
}


@dataclass(frozen=True)
class DeskEntry:
    """One page: `name` is its code or id, `language` that of its words. Prose pages have no record."""

    kind: Kind
    name: str
    language: str
    translated: bool
    title: str
    status: Status | None
    review: Review | None
    due: date | None
    state: DueState | Literal["none"]
    days_left: int | None
    collections: tuple[str, ...]
    wording: Wording
    entry: Any
    edit: Edit | None = None
    """What changed since the recorded approval; None when none is recorded."""

    @property
    def path(self) -> str:
        """Give the path of the file, relative to the content folder."""
        return self.wording.source.path

    @property
    def stem(self) -> str:
        """Give the address on the desk without its ending: `exercises/kn-03` or `exercises/kn-03.nl`."""
        folder = next(folder for folder, kind in KINDS.items() if kind == self.kind)
        return f"{folder}/{self.name}" + (f".{self.language}" if self.translated else "")

    @property
    def address(self) -> str:
        """Give the address of its page on the desk."""
        return f"{self.stem}.html"

    @property
    def sheet(self) -> str:
        """Give the address of its sign-off sheet."""
        return f"{self.stem}.sign-off.html"

    @property
    def owner(self) -> str:
        """Give the role that keeps it."""
        return self.review.owner if self.review else ""

    @property
    def status_words(self) -> str:
        """Say its status; what was approved and has a major edit since is not called approved."""
        if self.status == "approved" and self.edit and self.edit.level == "major":
            return "Changed since its approval"
        return STATUS_WORDS[self.status] if self.status else "No record"

    @property
    def due_words(self) -> str:
        """Say when its review is due, counted from the day the desk was asked."""
        if self.due is None or self.days_left is None:
            return "No review yet" if self.review else "Not reviewed on its own"
        if self.days_left < 0:
            return f"{_days(-self.days_left)} overdue"
        return "Due today" if not self.days_left else f"In {_days(self.days_left)}"


def _days(number: int) -> str:
    return f"{number} day{'s' if number != 1 else ''}"


def desk_entries(library: Library, today: date) -> tuple[DeskEntry, ...]:
    """Give every page that is not retired, in the order of the library, prose pages last."""
    loaded = {one.source.path: one.entry for one in _all_loaded(library)}
    groups = _collections(library)
    found = [
        _entry(library, wording, loaded[wording.source.path], groups, today)
        for wording in wordings(library)
        if wording.source.path in loaded
    ]
    return (*found, *(_prose(library, wording) for wording in prose_wordings(library)))


def _all_loaded(library: Library) -> Iterator[Loaded[Any]]:
    """Give all loaded entries and translations, of whatever kind."""
    for entries in vars(library).values():
        if isinstance(entries, dict):
            yield from (one for one in entries.values() if isinstance(one, Loaded))


def _entry(
    library: Library, wording: Wording, entry: Any, groups: Mapping[tuple[str, str], list[str]], today: date
) -> DeskEntry:
    folder = wording.source.path.partition("/")[0]
    name = wording.name.partition(" (")[0]
    review: Review = entry.review
    due = due_day(review, library.settings)
    return DeskEntry(
        kind=KINDS[folder],
        name=name,
        language=wording.language,
        translated=wording.name != name,
        title=wording.passages[0].text.plain,
        status=entry.status,
        review=review,
        due=due,
        state=state(review, library.settings, today),
        days_left=(due - today).days if due else None,
        collections=tuple(groups.get((folder, name), ())),
        wording=wording,
        entry=entry,
        edit=_edit(library, wording, name, entry),
    )


def _edit(library: Library, wording: Wording, name: str, entry: Any) -> Edit | None:
    lock = lock_of(library)
    folder = wording.source.path.partition("/")[0]
    translated = wording.name != name
    if translated:
        folder, name = ("translations" if folder == "exercises" else folder), f"{name}.{wording.language}"
    approved = lock.entries.get(f"{folder}/{name}") if lock else None
    return edit_since(entry, approved) if approved else None


def _prose(library: Library, wording: Wording) -> DeskEntry:
    first = library.settings.language
    return DeskEntry(
        kind="prose", name=wording.name, language=wording.language, translated=wording.language != first,
        title=wording.passages[0].text.plain, status=None, review=None, due=None, state="none", days_left=None,
        collections=(), wording=wording, entry=None,
    )  # fmt: skip


def _collections(library: Library) -> Mapping[tuple[str, str], list[str]]:
    """Give the collections that lead to an entry, by its folder and name; drafts count, the editor works on them."""
    found: dict[tuple[str, str], list[str]] = {}

    def add(folder: str, names: Iterable[str], collection: str) -> None:
        for name in dict.fromkeys(names):
            known = found.setdefault((folder, name), [])
            if collection not in known:
                known.append(collection)

    for ident, loaded in library.collections.items():
        one = loaded.entry
        add("collections", [ident], ident)
        add("ladders", one.ladders, ident)
        rungs = [
            rung.exercise
            for ladder in one.ladders
            if ladder in library.ladders
            for rung in library.ladders[ladder].entry.steps
        ]
        add("exercises", [*rungs, *one.exercises], ident)
        add("cautions", [caution.id for caution in cautions_for(library, one)], ident)
    return found
