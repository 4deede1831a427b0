"""The desk's own words about measures, counts and the questions of the sign-off sheet, from data files."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from typing import Any

import yaml


@cache
def load(name: str) -> Any:
    """Read a data file of this folder."""
    return yaml.safe_load(files(__package__).joinpath("data", name).read_text("utf-8"))


def measure_labels() -> Mapping[str, tuple[str, str]]:
    """Give each measure's name and what it tells."""
    return {name: (row["label"], row["about"]) for name, row in load("measures.yml")["measures"].items()}


def count_labels() -> Mapping[str, tuple[str, str]]:
    """Give each raw count's name and what is counted."""
    return {name: (row["label"], row["about"]) for name, row in load("measures.yml")["counts"].items()}
