"""Which words YAML takes for something else: entries and our own data follow YAML 1.2, only mkdocs.yml does not."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest
import yaml

from limberleaf.data_files import MkdocsLoader, safe_load

# yaml.org/spec/1.2.2, 10.3.2 (core schema). 0o14 and 0x3A are its own examples; the others are what people type.
CORE: list[tuple[str, Any]] = [
    ("on", "on"),
    ("no", "no"),
    ("Yes", "Yes"),
    ("true", True),
    ("012", 12),
    ("0o14", 12),
    ("0x3A", 58),
    ("1:30", "1:30"),
    ("1_000", "1_000"),
    ("2026-11-29", "2026-11-29"),
    ("+12e03", 12000.0),
    ("~", None),
]


@pytest.mark.parametrize(("written", "value"), CORE)
def test_plain_words_and_numbers_are_those_of_the_core_schema(written: str, value: Any) -> None:
    read = safe_load(f"key: {written}")["key"]
    assert read == value
    assert type(read) is type(value)


def test_mkdocs_file_is_read_as_mkdocs_reads_it() -> None:
    assert yaml.load("strict: on", MkdocsLoader) == {"strict": True}  # noqa: S506 - a safe loader


def test_no_key_or_word_of_our_data_became_a_truth_value() -> None:
    """A list of small words must hold “on” and “off”: PyYAML by itself reads True and False there."""
    facts = safe_load(files("limberleaf.clinical").joinpath("data/text_facts.yml").read_text("utf-8"))
    assert "on" in facts["en"]["small"]
    roots = [Path(str(files(name))) for name in ("limberleaf", "limberleaf.diagrams", "limberleaf.words")]
    data = {
        file
        for root in roots
        for file in root.glob("**/*.yml")
        if file.parent.name in ("data", "rules", "words")
    }
    assert len(data) > 50

    def keys(value: Any) -> list[object]:
        if isinstance(value, dict):
            return [*value, *(key for one in value.values() for key in keys(one))]
        return [key for one in value for key in keys(one)] if isinstance(value, list) else []

    odd = {
        file.name: [key for key in keys(safe_load(file.read_text("utf-8"))) if isinstance(key, bool)]
        for file in data
    }
    assert {name: found for name, found in odd.items() if found} == {}
