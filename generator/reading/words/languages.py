"""The languages the engine knows, from `data/languages.yml`."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from limberleaf.reading.tables import load_yaml


@dataclass(frozen=True, slots=True)
class Language:
    """One language: its name, the measures it has, its vowel rules and the bands of its first measure."""

    code: str
    name: str
    measures: tuple[str, ...]
    vowels: Mapping[str, str] | None
    scale: Mapping[str, Any] | None
    note: str | None


@cache
def languages() -> Mapping[str, Language]:
    """All languages by code."""
    rows: Mapping[str, Mapping[str, Any]] = load_yaml("languages.yml")
    return {
        code: Language(
            code, row["name"], tuple(row["measures"]), row.get("vowels"), row.get("scale"), row.get("note")
        )
        for code, row in rows.items()
    }


def language(code: str) -> Language:
    """The language of a code such as `en` or `pt-BR`; an unknown one has counts but no formula."""
    known = languages()
    return known.get(code) or known.get(code.partition("-")[0]) or Language(code, code, (), None, None, None)
