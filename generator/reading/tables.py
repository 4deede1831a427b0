"""Reads the data files that ship beside this package: word lists, counted words and YAML tables."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import yaml

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


class _Loader(getattr(yaml, "CSafeLoader", yaml.SafeLoader)):  # type: ignore[misc]
    """The fast safe loader under YAML 1.2 rules: `no`, `on` and `yes` are words."""


_Loader.yaml_implicit_resolvers = {
    first: [(tag, pattern) for tag, pattern in found if tag != "tag:yaml.org,2002:bool"]
    for first, found in _Loader.yaml_implicit_resolvers.items()
}
_Loader.add_implicit_resolver("tag:yaml.org,2002:bool", re.compile(r"^(?:true|false)$"), list("tf"))


def load_yaml(name: str) -> Any:
    """A YAML table."""
    with (DATA / name).open("rb") as file:
        return yaml.load(file, Loader=_Loader)  # noqa: S506 - a safe loader
