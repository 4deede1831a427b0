"""Values of the data files beside our code, kept in the store: YAML is read ten times as slowly as JSON."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from limberleaf import data_files
from limberleaf.store.keys import environment, text_key
from limberleaf.store.results import Store

KIND = "data"
LEAST = 500
"""Characters of a file that is worth keeping."""


def read_data_through(store: Store) -> None:
    """From now on give the values of data files that the store knows by their text, and keep the others."""
    rules = text_key(environment() + Path(data_files.__file__).read_text("utf-8"))

    def load(text: str) -> Any:
        if len(text) < LEAST:
            return data_files.load_now(text)
        key = text_key(f"{rules}\n{text}")
        found = store.read([key], KIND)
        if key in found:
            return found[key]
        value = data_files.load_now(text)
        if _survives(value):
            store.keep({key: value}, KIND)
        return value

    data_files.load_through(load)


def _survives(value: Any) -> bool:
    """Tell whether JSON gives a value back as it is; it turns keys that are numbers into texts."""
    try:
        return bool(json.loads(json.dumps(value)) == value)
    except (TypeError, ValueError):
        return False
