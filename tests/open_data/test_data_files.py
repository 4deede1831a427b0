"""The library as data, held to the standards it claims, by readers of other makers.

Sources: HL7 FHIR R5 and R4B definitions as models (fhir.resources; R4B is R4 in the resources written here), JSON
Schema 2020-12 (jsonschema), RFC 5545 (icalendar), RFC 4180 (csv), RFC 4287 (what an Atom feed and entry must have,
section 4.1).
"""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Mapping
from typing import Any
from xml.etree import ElementTree

import pytest
from conftest import ROOT
from fhir.resources.activitydefinition import ActivityDefinition
from fhir.resources.bundle import Bundle as BundleR5
from fhir.resources.R4B.bundle import Bundle as BundleR4
from icalendar import Calendar
from jsonschema import Draft202012Validator

from limberleaf.figures import Figures
from limberleaf.library import load_library
from limberleaf.pages import SiteContext
from limberleaf.pages.page_figures import PageFigures
from limberleaf.publish.page_cache import PageCache
from limberleaf.store import Store

ATOM = "{http://www.w3.org/2005/Atom}"
Files = Mapping[str, str]


def _files() -> Files:
    context = SiteContext(load_library(ROOT / "content"), PageFigures(Figures()))
    return {path: text.text for path, text in PageCache(Store()).data(context).items()}


@pytest.fixture(scope="module")
def files() -> Files:
    return _files()


def test_the_library_fits_its_published_schema(files: Files) -> None:
    schema = json.loads(files["data/schema/library-1.schema.json"])
    Draft202012Validator.check_schema(schema)
    for language in ("en", "nl", "ar"):
        value = json.loads(files[f"data/library.{language}.json"])
        assert value.pop("$schema") == schema["$id"]
        Draft202012Validator(schema).validate(value)
    assert _undescribed(schema) == []


def _undescribed(schema: Any) -> list[str]:
    models = {"LibraryData": schema, **schema["$defs"]}
    return [
        f"{name}.{key}"
        for name, model in models.items()
        for key, value in model["properties"].items()
        if not value.get("description")
    ]


def test_every_published_exercise_is_there_with_its_boxes_and_without_notes(files: Files) -> None:
    library = load_library(ROOT / "content")
    data = json.loads(files["data/library.en.json"])
    by_code = {one["code"]: one for one in data["exercises"]}
    assert by_code.keys() == library.published().keys()
    assert all("emergency" in {box["tier"] for box in one["cautions"]} for one in by_code.values())
    text = files["data/library.en.json"]
    assert "switched_off" not in text
    assert "The traffic light was read in a stored copy" not in text
    one = by_code["kn-03"]
    assert one["dose"]["hold_seconds"] == {"low": 3, "high": 3}
    assert one["dose"]["repetitions"] == {"low": 8, "high": 12}
    assert one["steps"][1] == "Hold while you count to 3."
    assert "{" not in json.dumps([one["steps"], one["stop"], one["cautions"]]).replace('{"', "").replace(
        "{'", ""
    )


@pytest.mark.parametrize(("release", "model"), [("r4", BundleR4), ("r5", BundleR5)])
@pytest.mark.parametrize("language", ["en", "ar"])
def test_fhir_is_what_hl7_defines(files: Files, release: str, model: Any, language: str) -> None:
    value = json.loads(files[f"data/fhir/{release}.{language}.json"])
    bundle = model.model_validate(value)
    kinds = [entry.resource.__class__.__name__ for entry in bundle.entry]
    assert {"ActivityDefinition", "Questionnaire"} <= set(kinds)
    addresses = [entry["fullUrl"] for entry in value["entry"]]
    assert len(set(addresses)) == len(addresses)
    for entry in value["entry"]:
        for action in (entry["resource"].get("action") or [{}])[0].get("action", []):
            assert action["definitionCanonical"] in addresses


def test_a_wrong_resource_would_be_seen() -> None:
    with pytest.raises(ValueError, match="status"):
        ActivityDefinition.model_validate({"resourceType": "ActivityDefinition", "kind": "ServiceRequest"})


def test_atom_has_what_the_rfc_asks_for_and_the_newest_first(files: Files) -> None:
    for language in ("en", "ar"):
        root = ElementTree.fromstring(files[f"data/changes.{language}.atom"].encode())  # noqa: S314 - our own
        assert root.tag == f"{ATOM}feed"
        for element in (root, *root.findall(f"{ATOM}entry")):
            assert all(len(element.findall(f"{ATOM}{name}")) == 1 for name in ("id", "title", "updated"))
        assert root.find(f"{ATOM}author/{ATOM}name") is not None
        days = [one.findtext(f"{ATOM}updated", "") for one in root.findall(f"{ATOM}entry")]
        assert days == sorted(days, reverse=True)
        assert root.findtext(f"{ATOM}updated") == days[0]
        ids = [one.findtext(f"{ATOM}id") for one in root.findall(f"{ATOM}entry")]
        assert len(ids) == len(set(ids))


def test_tables_and_calendar_are_read_by_others(files: Files) -> None:
    rows = list(csv.DictReader(io.StringIO(files["data/exercises.en.csv"].lstrip("\ufeff"))))
    assert {row["code"] for row in rows} == {
        one["code"] for one in json.loads(files["data/library.en.json"])["exercises"]
    }
    events = Calendar.from_ical(files["data/reviews.en.ics"]).walk("VEVENT")
    assert len({str(event["UID"]) for event in events}) == len(events) > len(rows)


def test_plain_text_says_all_that_keeps_people_safe(files: Files) -> None:
    for one in json.loads(files["data/library.en.json"])["exercises"]:
        text = files[f"data/text/{one['code']}.en.txt"]
        for said in (*one["steps"], *one["stop"], *one["leave_out_if"]):
            assert said in text
        for box in one["cautions"]:
            assert box["action"] in text
        assert files["data/llms.en.txt"].count(f"/data/text/{one['code']}.en.txt)") == 1


def test_the_same_library_gives_the_same_bytes(files: Files) -> None:
    assert _files() == files


def test_the_list_of_files_names_each_kind(files: Files) -> None:
    about = files["data/README.txt"]
    for path in files:
        if "/text/" not in path and not path.endswith("README.txt"):
            assert f"/{path}\n" in about
