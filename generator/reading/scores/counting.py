"""The counting rules in plain words, to be printed beside the counts."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from limberleaf.reading.tables import load_yaml


@dataclass(frozen=True, slots=True)
class CountingRule:
    """One rule with an example and what the example counts as; the tests hold the engine to it."""

    rule: str
    example: str
    counts: Mapping[str, int]


def counting_rules() -> tuple[CountingRule, ...]:
    """All counting rules, in the order to print them."""
    rows: list[Mapping[str, Any]] = load_yaml("counting_rules.yml")
    return tuple(CountingRule(row["rule"], row["example"], row["counts"]) for row in rows)
