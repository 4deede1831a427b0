"""Reads the data files that ship beside this package: word lists, counted words and YAML tables."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from limberleaf.data_files import safe_load

DATA = Path(__file__).parent / "data"


def load_lines(name: str) -> list[str]:
    """Lines of a text table, without comments (`#`) and empty lines."""
    text = (DATA / name).read_text(encoding="utf-8")
    return [line for line in text.splitlines() if line and not line.startswith("#")]


def load_grouped(name: str) -> dict[str, int]:
    """A table of `number: word word word` lines as word -> number."""
    table: dict[str, int] = {}
    for line in load_lines(name):
        number, _, words = line.partition(":")
        table.update(dict.fromkeys(words.split(), int(number)))
    return table


def load_words(name: str) -> frozenset[str]:
    """All the words of a list, any number a line."""
    return frozenset(word for line in load_lines(name) for word in line.split())


def load_yaml(name: str) -> Any:
    """A YAML table."""
    return safe_load((DATA / name).read_text(encoding="utf-8"))
