"""A rule as data: what it looks for, where, and what it says to the editor.

Rules live in `data/rules/*.yml`. Each names a `check` (a function registered by `@check`) and its settings,
and carries texts that it must mark (`hit`) and texts that it must leave alone (`pass`); the tests run them
all.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import Any, TypeAlias

from limberleaf.reading.blocks import KINDS, Kind
from limberleaf.reading.marks import Level
from limberleaf.reading.tables import DATA, load_yaml
from limberleaf.reading.words.text import Text


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule with everything that is data about it."""

    id: str
    title: str
    level: Level
    scope: frozenset[Kind]
    check: str
    message: str
    suggestion: str = ""
    source: str = ""
    settings: Mapping[str, Any] = field(default_factory=dict)
    hit: tuple[Any, ...] = ()
    passes: tuple[Any, ...] = ()
    langs: frozenset[str] = frozenset({"en"})


@dataclass(frozen=True, slots=True)
class Hit:
    """Where a check found something, with the values for the rule's message."""

    block: int
    start: int
    end: int
    values: Mapping[str, Any] = field(default_factory=dict)
    level: Level | None = None
    suggestion: str | None = None
    replacement: str | None = None
    reasons: tuple[str, ...] = ()


Check: TypeAlias = Callable[[Text, Rule], Iterator[Hit]]
CHECKS: dict[str, Check] = {}


def check(name: str) -> Callable[[Check], Check]:
    """Register a function as the check of that name."""

    def register(function: Check) -> Check:
        CHECKS[name] = function
        return function

    return register


@cache
def rules() -> tuple[Rule, ...]:
    """All shipped rules, in the order of their files."""
    found: list[Rule] = []
    for path in sorted((DATA / "rules").glob("*.yml")):
        found.extend(_rule(row) for row in load_yaml(f"rules/{path.name}"))
    return tuple(found)


def _rule(row: Mapping[str, Any]) -> Rule:
    values = dict(row)
    return Rule(
        scope=frozenset(values.pop("scope", KINDS)),
        hit=tuple(values.pop("hit")),
        passes=tuple(values.pop("pass")),
        langs=frozenset(values.pop("langs", ["en"])),
        **values,
    )
