"""All files under `data/` of a site."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from limberleaf.ical import calendar_file
from limberleaf.open_data import feed, fhir
from limberleaf.open_data.model import (
    FOLDER,
    SCHEMA_PATH,
    library_head,
    plain,
    schema,
    schema_address,
)
from limberleaf.open_data.parts import Pieces, as_json
from limberleaf.open_data.tables import csv_head, text_list
from limberleaf.pages.language_edition import LanguageEdition


def schema_file(site: str) -> dict[str, str]:
    """Give the JSON Schema of the library, by its path."""
    return {SCHEMA_PATH: f"{as_json(schema(site))}\n"}


def library_files(edition: LanguageEdition, parts: Sequence[Pieces]) -> dict[str, str]:
    """Give the files that hold every page of a language, by path, of the pieces of its parts in order."""
    head, words, language = library_head(edition), edition.words, edition.language
    form = {key: value for key, value in plain(head).items() if value != []}
    kinds = ("exercises", "ladders", "collections")
    by_kind = {kind: [one["library"] for one in parts if one["kind"] == kind] for kind in kinds}
    files = {
        f"{FOLDER}library.{language}.json": _with_lists(
            {"$schema": schema_address(head.site), **form}, by_kind
        ),
        f"{FOLDER}exercises.{language}.csv": csv_head()
        + "".join(one["csv"] for one in parts if "csv" in one),
        f"{FOLDER}search.{language}.json": f"{_list([one['search'] for one in parts], 1)}\n",
        f"{FOLDER}changes.{language}.atom": feed.atom(
            (one["atom"] for one in parts), head, words, f"{head.site}{FOLDER}changes.{language}.atom"
        ),
        f"{FOLDER}reviews.{language}.ics": calendar_file(
            "Reviews", (one["ics"] for one in parts if "ics" in one)
        ),
        f"{FOLDER}llms.{language}.txt": text_list(head, [one["llms"] for one in parts if "llms" in one]),
    }
    for release in fhir.VERSIONS:
        last = as_json(fhir.in_bundle(fhir.questionnaire(head, words, release)))
        resources = [*(one[release] for one in parts if release in one), last]
        path = f"{FOLDER}fhir/{release.lower()}.{language}.json"
        files[path] = _with_lists(fhir.bundle_head(head), {"entry": resources})
    return files


def _with_lists(head: Mapping[str, Any], lists: Mapping[str, Sequence[str]]) -> str:
    """Write an object as JSON whose last values are lists of objects that are written already."""
    begun = as_json(head).removesuffix("\n}")
    return begun + "".join(f',\n "{name}": {_list(pieces, 2)}' for name, pieces in lists.items()) + "\n}\n"


def _list(pieces: Sequence[str], depth: int) -> str:
    if not pieces:
        return "[]"
    start = "\n" + " " * depth
    inside = ",".join(start + piece.replace("\n", start) for piece in pieces)
    return f"[{inside}\n{' ' * (depth - 1)}]"


def about_file(paths: Iterable[str], site: str) -> dict[str, str]:
    """Give the list of the files, by its path."""
    return {f"{FOLDER}README.txt": _about(sorted(paths), site)}


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
