"""The one place that decides how YAML is read, with the quick loader where libyaml is there.

Entries and the data files beside our code follow the core schema of YAML 1.2 (yaml.org/spec/1.2.2, 10.3.2): `no`, `on`
and `yes` are words, `012` is twelve and a day is a text. PyYAML by itself follows YAML 1.1, under which a list of small
words holds True where somebody wrote `on`. Only `mkdocs.yml` is read that way, because MkDocs does so.

`reading` and `diagrams` import this module and nothing else of the package.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import cache
from importlib.resources import files
from typing import Any

import yaml

CORE_SCHEMA = {
    "null": re.compile(r"^(?:~|null|Null|NULL|)$"),
    "bool": re.compile(r"^(?:true|True|TRUE|false|False|FALSE)$"),
    "int": re.compile(r"^(?:[-+]?[0-9]+|0o[0-7]+|0x[0-9a-fA-F]+)$"),
    "float": re.compile(r"^[-+]?(?:\.[0-9]+|[0-9]+(?:\.[0-9]*)?)(?:[eE][-+]?[0-9]+)?$"),
}
"""How a plain scalar of each kind is written; what matches none is a text. Infinity and NaN are left out on purpose."""
_FIRST = {"null": ["~", "n", "N", ""], "bool": "tTfF", "int": "-+0123456789", "float": "-+.0123456789"}
_BASES = {"0o": 8, "0x": 16}


class MkdocsLoader(yaml.CSafeLoader if yaml.__with_libyaml__ else yaml.SafeLoader):  # type: ignore[misc]
    """The quick safe loader under YAML 1.1, for `mkdocs.yml` alone."""


class Yaml12Loader(MkdocsLoader):
    """The quick safe loader under the core schema of YAML 1.2."""

    yaml_implicit_resolvers: dict[str, list[tuple[str, re.Pattern[str]]]] = {}  # noqa: RUF012 - as PyYAML declares it


def whole_number(written: str) -> int:
    """Read a whole number as YAML 1.2 does: decimal, 0o octal or 0x hexadecimal."""
    return int(written, _BASES.get(written[:2], 10))


for _kind, _pattern in CORE_SCHEMA.items():
    Yaml12Loader.add_implicit_resolver(f"tag:yaml.org,2002:{_kind}", _pattern, list(_FIRST[_kind]))
Yaml12Loader.add_constructor(
    "tag:yaml.org,2002:int", lambda loader, node: whole_number(loader.construct_scalar(node))
)


def load_now(text: str) -> Any:
    """Give the plain values of a YAML text; 12 times as quick as the loader written in Python."""
    return yaml.load(text, Yaml12Loader)  # noqa: S506 - a safe loader


_through: list[Callable[[str], Any]] = [load_now]


def load_through(load: Callable[[str], Any]) -> None:
    """Have `safe_load` ask another function, which may know the values of a text already."""
    _through[:] = [load]


def safe_load(text: str) -> Any:
    """Give the plain values of a YAML text; nobody else holds them, so they may be changed."""
    return _through[0](text)


@cache
def data_of(package: str, name: str) -> Any:
    """Give the values of `data/NAME` beside the modules of a package; read once, so nobody may change them."""
    return safe_load(files(package).joinpath("data", name).read_text("utf-8"))
