"""The desk's own words about measures, counts and the questions of the sign-off sheet, from data files."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from typing import Any

from limberleaf.data_files import safe_load
from limberleaf.desk.readings import hard_words_of
from limberleaf.reading import Reading


@cache
def load(name: str) -> Any:
    """Read a data file of this folder."""
    return safe_load(files(__package__).joinpath("data", name).read_text("utf-8"))


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
    in_steps = all(block.kind in ("step", "heading") for block in reading.blocks)
    if in_steps and reading.steps_headline.level and listed is not None:
        return reading.steps_headline.level.capitalize()
    length, hard = counts.words / counts.sentences, 100 * (listed or 0) / counts.words
    rows = load("measures.yml")["short"]
    level: str = next(row["level"] for row in rows if length <= row["words"] and hard <= row["hard_percent"])
    return level
