"""An entry as plain data: its texts with their places, and copies of it in which one place is changed."""

from __future__ import annotations

import copy
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import yaml

Data = dict[str, Any]
Loc = tuple[str | int, ...]


def read(file: Path) -> Data:
    data: Data = yaml.load(file.read_text("utf-8"), Loader=yaml.CSafeLoader)
    return data


def written(data: Data) -> str:
    return str(yaml.dump(data, Dumper=yaml.CSafeDumper, sort_keys=False, allow_unicode=True, width=1_000_000))


def texts(value: object, loc: Loc = ()) -> Iterator[tuple[Loc, str]]:
    """Give the texts below a value that a patient reads."""
    skipped = (
        "sources",
        "review",
        "translates",
        "switched_off",
        "synonyms",
        "cautions",
        "applies_to",
        "tags",
    )
    if isinstance(value, str):
        if loc[-1] == "caption" or loc[0] != "figure" or "captions" in loc:
            yield loc, value
    elif isinstance(value, dict):
        for key, item in value.items():
            if key not in skipped:
                yield from texts(item, (*loc, key))
    elif isinstance(value, list):
        for index, item in enumerate(value):
            yield from texts(item, (*loc, index))


def put(data: Data, loc: Loc, value: object) -> Data:
    """Give a copy with another value at `loc`; None takes it away."""
    new = copy.deepcopy(data)
    here: Any = new
    for step in loc[:-1]:
        here = here[step]
    if value is None:
        del here[loc[-1]]
    else:
        here[loc[-1]] = value
    return new


def get(data: Any, loc: Loc) -> Any:
    for step in loc:
        data = data[step]
    return data


def has(data: Any, *loc: str | int) -> bool:
    try:
        get(data, loc)
    except (KeyError, IndexError, TypeError):
        return False
    return True


def sentences(data: Data) -> Iterator[tuple[Loc, str]]:
    """Give the texts that are sentences."""
    for loc, text in texts(data):
        if " " in text and loc[0] not in ("title", "position", "name"):
            yield loc, text
