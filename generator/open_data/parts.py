"""What one exercise, ladder or collection puts into the files of data.

Each file under `data/` holds a piece of every page. The pieces of a page are made together and kept as long as what
they say is the same; after an edit the files are put together of kept pieces and a few new ones.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import partial
from typing import Any

from limberleaf.ical import escaped
from limberleaf.open_data import fhir, tables
from limberleaf.open_data.model import (
    FOLDER,
    CollectionData,
    ExerciseData,
    LadderData,
    collection_data,
    exercise_data,
    ladder_data,
    library_head,
    plain,
    step_titles,
)
from limberleaf.pages.language_edition import LanguageEdition
from limberleaf.pages.views.exercise_view import SharedParts

PIECES = "pieces"
"""Beside the files of a part: its pieces of the files that hold every page, as JSON."""

Pieces = Mapping[str, Any]
"""By name of a file, as text to be put in as it is; by `atom` and `ics` the values of a row."""


@dataclass(frozen=True)
class DataPart:
    """The data of one page: a name that no other has, the item it is about, and its files."""

    name: str
    about: tuple[str, str]
    make: Callable[[], dict[str, str]]


def data_parts(edition: LanguageEdition) -> Iterator[DataPart]:
    """Give the part of every page of a language, in the order of the files: by kind, then by code or name."""
    makers = (("exercises", _exercise), ("ladders", _ladder), ("collections", _collection))
    for kind, make in makers:
        for name in sorted(getattr(edition, kind)):
            yield DataPart(
                f"data/{edition.language}/{kind}/{name}",
                (edition.traced_name(kind), name),
                partial(make, edition, name),
            )


def text_path(code: str, language: str) -> str:
    """Give the path of an exercise as plain text."""
    return f"{FOLDER}text/{code}.{language}.txt"


def as_json(value: Any) -> str:
    """Write values as the files do."""
    return json.dumps(value, ensure_ascii=False, indent=1)


def _exercise(edition: LanguageEdition, code: str) -> dict[str, str]:
    head = library_head(edition)
    one = exercise_data(SharedParts(edition, edition.exercises[code]))
    pieces = {
        **_common("exercises", one, one.aim, head.site),
        "csv": tables.csv_row(one),
        "search": as_json(tables.search_row(one)),
        "llms": f"- [{one.title}]({head.site}{text_path(code, head.language)}): {one.aim}",
    }
    for release in fhir.VERSIONS:
        pieces[release] = as_json(fhir.in_bundle(fhir.activity(one, head)))
    return {text_path(code, head.language): tables.plain_text(one, head), PIECES: json.dumps(pieces)}


def _ladder(edition: LanguageEdition, name: str) -> dict[str, str]:
    head, one = library_head(edition), ladder_data(edition, name, edition.renderer(""))
    pieces = {**_common("ladders", one, one.aim, head.site), "search": as_json(tables.search_row(one))}
    for release in fhir.VERSIONS:
        plan = fhir.plan(one, head, step_titles(edition, one), release)
        pieces[release] = as_json(fhir.in_bundle(plan))
    return {PIECES: json.dumps(pieces)}


def _collection(edition: LanguageEdition, name: str) -> dict[str, str]:
    site, one = edition.context.site, collection_data(edition, name, edition.renderer(""))
    pieces = {**_common("collections", one, one.summary, site), "search": as_json(tables.search_row(one))}
    return {PIECES: json.dumps(pieces)}


def _common(
    kind: str, one: ExerciseData | LadderData | CollectionData, summary: str, site: str
) -> dict[str, Any]:
    record = one.record
    pieces: dict[str, Any] = {
        "kind": kind,
        "library": as_json(plain(one)),
        "atom": [
            one.url,
            one.title,
            record.version,
            record.reviewed and record.reviewed.isoformat(),
            summary,
        ],
    }
    if record.due and record.reviewed:
        name = one.url.removeprefix(site).strip("/").replace("/", "-")
        pieces["ics"] = [
            "BEGIN:VEVENT",
            f"UID:{name}@limberleaf-data",
            f"DTSTAMP:{record.reviewed:%Y%m%d}T000000Z",
            f"DTSTART;VALUE=DATE:{record.due:%Y%m%d}",
            f"SUMMARY:{escaped(one.title)}",
            f"URL:{one.url}",
            "END:VEVENT",
        ]
    return pieces
