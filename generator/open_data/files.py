"""All files under `data/` of a site."""

from __future__ import annotations

import json
from typing import Any

from limberleaf.ical import calendar_file, escaped
from limberleaf.open_data import feed, fhir, tables
from limberleaf.open_data.model import (
    FOLDER,
    SCHEMA_PATH,
    CollectionData,
    ExerciseData,
    LadderData,
    LibraryData,
    library_data,
    plain,
    schema,
    schema_address,
)
from limberleaf.pages import SiteContext
from limberleaf.pages.site import editions
from limberleaf.words import InterfaceWords


def data_files(context: SiteContext) -> dict[str, str]:
    """Give every file by its path below the site: for each language the library in each form, one schema, one list."""
    files: dict[str, str] = {SCHEMA_PATH: _json(schema(context.site))}
    for edition in editions(context):
        data = library_data(edition)
        files.update(_of_language(data, context.site, edition.words))
    files[f"{FOLDER}README.txt"] = _about(sorted(files), context.site)
    return files


def _of_language(data: LibraryData, site: str, words: InterfaceWords) -> dict[str, str]:
    language = data.language
    texts = {one.code: f"{FOLDER}text/{one.code}.{language}.txt" for one in data.exercises}
    files = {
        f"{FOLDER}library.{language}.json": _json({"$schema": schema_address(site), **plain(data)}),
        f"{FOLDER}exercises.{language}.csv": tables.csv_text(data),
        f"{FOLDER}search.{language}.json": _json(tables.search_index(data)),
        f"{FOLDER}changes.{language}.atom": feed.atom(data, words, f"{site}{FOLDER}changes.{language}.atom"),
        f"{FOLDER}reviews.{language}.ics": _reviews(data),
        f"{FOLDER}llms.{language}.txt": tables.text_list(
            data, {code: site + path for code, path in texts.items()}
        ),
    }
    for release in fhir.VERSIONS:
        files[f"{FOLDER}fhir/{release.lower()}.{language}.json"] = _json(fhir.bundle(data, words, release))
    files |= {texts[one.code]: tables.plain_text(one, data) for one in data.exercises}
    return files


def _json(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, indent=1) + "\n"


def _reviews(data: LibraryData) -> str:
    """Give the days on which reviews are due, as all-day events (RFC 5545); their stamp is the last review."""
    events: list[list[str]] = []
    pages: list[ExerciseData | LadderData | CollectionData] = [
        *data.exercises,
        *data.ladders,
        *data.collections,
    ]
    for one in pages:
        if one.record.due and one.record.reviewed:
            name = one.url.removeprefix(data.site).strip("/").replace("/", "-")
            events.append(
                [
                    "BEGIN:VEVENT",
                    f"UID:{name}@limberleaf-data",
                    f"DTSTAMP:{one.record.reviewed:%Y%m%d}T000000Z",
                    f"DTSTART;VALUE=DATE:{one.record.due:%Y%m%d}",
                    f"SUMMARY:{escaped(one.title)}",
                    f"URL:{one.url}",
                    "END:VEVENT",
                ]
            )
    return calendar_file("Reviews", events)


def _about(paths: list[str], site: str) -> str:
    kinds = (
        (
            "library.LANGUAGE.json",
            f"the whole library; its form is {SCHEMA_PATH.removeprefix(FOLDER)} (JSON Schema 2020-12)",
        ),
        ("exercises.LANGUAGE.csv", "one row an exercise (RFC 4180)"),
        (
            "fhir/r4.LANGUAGE.json, fhir/r5.LANGUAGE.json",
            "HL7 FHIR: ActivityDefinition, PlanDefinition, Questionnaire",
        ),
        ("search.LANGUAGE.json", "address, title and words of each page, for a search of your own"),
        ("changes.LANGUAGE.atom", "what was reviewed last (Atom, RFC 4287)"),
        ("reviews.LANGUAGE.ics", "when reviews are due (iCalendar, RFC 5545)"),
        ("llms.LANGUAGE.txt, text/CODE.LANGUAGE.txt", "each exercise as plain text"),
    )
    lines = [
        "Data of this library. The addresses stay; a form that changes its meaning gets a new number.",
        "Nothing here is about a patient. Show no exercise without its cautions and the notice in the library file.",
        "",
        *(f"{name}: {what}" for name, what in kinds),
        "",
        *(site + path for path in paths if "/text/" not in path),
    ]
    return "\n".join(lines) + "\n"
