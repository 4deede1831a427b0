"""Keys of entries are tied to the version of the JSON Schemas: other keys, another version, and a note for clinics."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator
from importlib.resources import files
from pathlib import Path
from typing import Any

from limberleaf.data_files import safe_load
from limberleaf.library.schemas import SCHEMAS, VERSION, schema

KEPT = Path(__file__).with_name("schema_versions.yml")


def keys(part: Any, name: str) -> Iterator[str]:
    """Give every key that can be written, with what holds it and whether it must be there; never its description."""
    if isinstance(part, dict):
        must = part.get("required", [])
        for key, inner in part.get("properties", {}).items():
            yield f"{name}.{key}{' must' if key in must else ''}"
            yield from keys(inner, f"{name}.{key}")
        for key, inner in part.items():
            if key == "$defs":
                for model, shape in inner.items():
                    yield from keys(shape, model)
            elif key != "properties":
                yield from keys(inner, name)
    elif isinstance(part, list):
        for inner in part:
            yield from keys(inner, name)


def fingerprint() -> str:
    every = sorted({line for kind in SCHEMAS for line in keys(schema(kind), kind)})
    return hashlib.sha256(json.dumps(every).encode()).hexdigest()[:16]


def test_keys_never_change_without_a_new_version_and_a_note() -> None:
    versions = safe_load(KEPT.read_text("utf-8"))
    assert max(versions) == VERSION, "schemas.py and schema_versions.yml must name the same newest version"
    assert versions[VERSION] == fingerprint(), (
        f"Keys of an entry changed. Once version {VERSION} is released, raise VERSION in library/schemas.py, add a line"
        f" to {KEPT.name} and say in CHANGES.md what a library must change; before that, write the new fingerprint"
        f" {fingerprint()} into {KEPT.name} and add the key to the note."
    )
    notes = files("limberleaf").joinpath("CHANGES.md").read_text("utf-8")
    assert f"JSON Schemas, version {VERSION}" in notes


def test_each_version_had_keys_of_its_own() -> None:
    versions = safe_load(KEPT.read_text("utf-8"))
    assert len(set(versions.values())) == len(versions)


def test_the_fingerprint_sees_a_key_and_overlooks_a_description() -> None:
    plain = {
        "properties": {"title": {"type": "string", "description": "What it is called."}},
        "required": ["title"],
    }
    other = {"properties": {"title": {"type": "string", "description": "Its name."}}, "required": ["title"]}
    assert list(keys(plain, "exercise")) == list(keys(other, "exercise")) == ["exercise.title must"]
    assert list(keys({**plain, "required": []}, "exercise")) == ["exercise.title"]
