"""The desk's own words about measures, counts and the questions of the sign-off sheet, from data files."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from typing import Any

from limberleaf.data_files import safe_load
from limberleaf.reading import Reading

LISTED = {"en"}
"""Languages with a list of easy words; in any other every word would count as hard."""


def hard_words_of(reading: Reading) -> int | None:
    """Count the words that are not on the list of easy words; None in a language without such a list."""
    return reading.counts.all.hard_words if reading.lang.code in LISTED else None


@cache
def load(name: str) -> Any:
    """Read a data file of this folder."""
    return safe_load(files("limberleaf.desk").joinpath("data", name).read_text("utf-8"))


def measure_labels() -> Mapping[str, tuple[str, str]]:
    """Give each measure's name and what it means."""
    return {name: (row["label"], row["about"]) for name, row in load("measures.yml")["measures"].items()}


def count_labels() -> Mapping[str, tuple[str, str]]:
    """Give each raw count's name and what is counted."""
    return {name: (row["label"], row["about"]) for name, row in load("measures.yml")["counts"].items()}


def level_of(reading: Reading) -> str:
    """Say how hard a passage too short to grade is, in a word; steps on the engine's own scale, which is stricter."""
    counts, listed = reading.counts.all, hard_words_of(reading)
    if not counts.words:
        return ""
    length, hard = counts.words / counts.sentences, 100 * (listed or 0) / counts.words
    rows = load("measures.yml")["short"]
    level: str = next(row["level"] for row in rows if length <= row["words"] and hard <= row["hard_percent"])
    in_steps = all(block.kind in ("step", "heading") for block in reading.blocks)
    if not in_steps or not reading.steps_headline.level or listed is None:
        return level
    strict, names = reading.steps_headline.level.capitalize(), [row["level"] for row in rows]
    if strict not in names or hard > rows[0]["hard_percent"]:
        return strict
    return min(strict, level, key=names.index)  # length alone never makes easy words hard
