"""The record: fields that published instruments ask for and an entry does not have."""

from __future__ import annotations

from collections.abc import Iterator

from limberleaf.clinical.ladders import Where, Whereabouts
from limberleaf.clinical.record import RecordLine, record
from limberleaf.findings import Finding
from limberleaf.library import Exercise, Library, Loaded
from limberleaf.store.nodes import each

FIELDS = {
    "captions": ("figure", "poses"),
    "described": ("figure", "poses"),
    "equipment": ("equipment",),
    "in_collection": ("code",),
    "progress_rule": ("harder",),
    "roles": ("review",),
    "short_lists": ("steps",),
    "sources": ("sources",),
    "start_rule": ("suits",),
    "stop_rules": ("feelings", "stop"),
}
"""Where to fix what a test of the record finds missing."""


def check_record(library: Library) -> Iterator[Finding]:
    """Say once for each missing field which items of which instruments ask for it."""
    where = Whereabouts(library)
    shared = (library.clinic, library.equipment, tuple(library.cautions.values()))
    for code, loaded in each(library.exercises):
        if not loaded.entry.is_published:
            continue
        here = where.of(code)
        stands = (tuple(place.ladder for place in here.places), here.collections)
        given = (loaded, *stands, *shared)
        yield from library.read_cache.cached(("record", code), given, _gaps, library, loaded, here)


def _gaps(library: Library, loaded: Loaded[Exercise], where: Where) -> Iterator[Finding]:
    gaps: dict[str, list[RecordLine]] = {}
    for line in record(library, loaded.entry, where):
        if line.state == "not_met":
            gaps.setdefault(line.test, []).append(line)
    for test, lines in gaps.items():
        items = ", ".join(f"{line.instrument} {line.item}" for line in lines)
        yield Finding(
            "note",
            "record-gap",
            f"Not said yet: {lines[0].says.lower()} ({items}).",
            f"What is looked for: {lines[0].because}",
            loaded.source.place(FIELDS.get(test, ()), key=True),
        )
