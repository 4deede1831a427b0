"""The overview: one row a page, totals, the distribution of bands, and what is due."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from limberleaf.clinical.governance.review import DueState
from limberleaf.desk.read.charts import Distribution, distribution
from limberleaf.desk.read.entries import DeskEntry
from limberleaf.desk.read.readings import ReadingSummary
from limberleaf.findings import SEVERITIES, Finding, Severity
from limberleaf.library import Library

STATE_WORDS: dict[str, str] = {
    "overdue": "Overdue",
    "due_soon": "Due soon",
    "current": "Current",
    "unknown": "Never reviewed",
    "none": "No record",
}
AGAINST_WORDS = {
    "within": "Within the target",
    "around": "Around the target",
    "above": "Above the target",
    "unknown": "No band",
}


@dataclass(frozen=True)
class Row:
    """One page of the overview."""

    entry: DeskEntry
    sum: ReadingSummary
    errors: int
    warnings: int
    notes: int

    @property
    def findings(self) -> int:
        """Count what is open."""
        return self.errors + self.warnings + self.notes

    @property
    def state_words(self) -> str:
        """Say the state of its review."""
        return STATE_WORDS[self.entry.state]

    @property
    def band_key(self) -> int:
        """Give what the band sorts by: hardest first when turned round, pages without a band last of all."""
        return self.sum.grade[1] * 100 + self.sum.grade[0] if self.sum.grade else 0


@dataclass(frozen=True)
class Totals:
    """The library in a few numbers."""

    pages: int
    words: int
    above: int
    around: int
    no_band: int
    errors: int
    warnings: int
    notes: int
    overdue: int
    due_soon: int
    never: int
    retired: int


@dataclass(frozen=True)
class Choice:
    """A value of a filter and how it is called."""

    value: str
    label: str


@dataclass(frozen=True)
class Overview:
    """All that the overview shows; `unread` are findings on files that are no page (broken ones, settings)."""

    rows: tuple[Row, ...]
    totals: Totals
    chart: Distribution
    due: tuple[Row, ...]
    unread: tuple[Finding, ...]
    filters: dict[str, list[Choice]]
    reminder: str
    target: int

    @property
    def urgent(self) -> list[Row]:
        """Give the rows with what needs work first; equal ones in the order of the library."""
        return sorted(self.rows, key=_urgency)


def overview(
    library: Library,
    entries: Sequence[DeskEntry],
    sums: Sequence[ReadingSummary],
    findings: Sequence[Finding],
) -> Overview:
    """Make the overview of a library."""
    counts: Counter[tuple[str, Severity]] = Counter((one.place.path, one.severity) for one in findings)
    rows = tuple(
        Row(entry, total, *(counts[entry.path, severity] for severity in SEVERITIES))
        for entry, total in zip(entries, sums, strict=True)
    )
    pages = {entry.path for entry in entries}
    due = [row for row in rows if row.entry.state in ("overdue", "due_soon") and row.entry.status != "draft"]
    target, reminder = library.settings.reading.target_grade, library.settings.review.reminder
    return Overview(
        rows=rows,
        totals=_totals(library, rows),
        chart=distribution([row.sum.grade[1] if row.sum.grade else None for row in rows], target),
        due=tuple(sorted(due, key=lambda row: (row.entry.days_left or 0, row.entry.name))),
        unread=tuple(one for one in findings if one.place.path not in pages),
        filters=_filters(library, rows),
        reminder=f"{reminder.number} {reminder.unit}{'s' if reminder.number != 1 else ''}",
        target=target,
    )


def _urgency(row: Row) -> tuple[int, ...]:
    late = {"overdue": 2, "due_soon": 1}.get(row.entry.state, 0)
    return (-row.errors, -(row.sum.against == "above"), -row.warnings, -late, -row.notes, -row.band_key)


def _totals(library: Library, rows: Sequence[Row]) -> Totals:
    def state(name: DueState) -> int:
        return sum(row.entry.state == name for row in rows)

    return Totals(
        pages=len(rows),
        words=sum(row.sum.words for row in rows),
        above=sum(row.sum.against == "above" for row in rows),
        around=sum(row.sum.against == "around" for row in rows),
        no_band=sum(row.sum.grade is None and row.sum.level is None for row in rows),
        errors=sum(row.errors for row in rows),
        warnings=sum(row.warnings for row in rows),
        notes=sum(row.notes for row in rows),
        overdue=state("overdue"),
        due_soon=state("due_soon"),
        never=state("unknown"),
        retired=sum(loaded.entry.status == "retired" for loaded in library.exercises.values()),
    )


def _filters(library: Library, rows: Sequence[Row]) -> dict[str, list[Choice]]:
    used = {ident for row in rows for ident in row.entry.collections}
    collections = [
        Choice(ident, one.entry.title) for ident, one in library.collections.items() if ident in used
    ]
    return {
        "collection": collections,
        "kind": [Choice(kind, kind.capitalize()) for kind in dict.fromkeys(row.entry.kind for row in rows)],
        "language": [Choice(one, one) for one in dict.fromkeys(row.entry.language for row in rows)],
        "owner": [Choice(one, one) for one in sorted({row.entry.owner for row in rows if row.entry.owner})],
        "state": [
            Choice(one, STATE_WORDS[one])
            for one in STATE_WORDS
            if any(row.entry.state == one for row in rows)
        ],
        "band": [
            Choice(one, AGAINST_WORDS[one])
            for one in AGAINST_WORDS
            if any(row.sum.against == one for row in rows)
        ],
    }
