"""The two sides of a body, and the data files beside the drawing code: all that its words need of it.

Nothing heavy is imported here: an entry is read, and most checks run, without a body.
"""

from __future__ import annotations

from importlib.resources import files
from typing import Any, Literal

from limberleaf.data_files import safe_load

Side = Literal["left", "right"]
SIDES: tuple[Side, Side] = ("left", "right")


def load_data(name: str) -> dict[str, Any]:
    """Return the mapping in `diagrams/data/<name>.yml`."""
    text = files("limberleaf.diagrams").joinpath("data", f"{name}.yml").read_text(encoding="utf-8")
    data = safe_load(text)
    if not isinstance(data, dict):
        raise TypeError(f"data file {name}.yml does not hold a mapping")
    return data


def languages() -> tuple[str, ...]:
    """Return the languages with figure words."""
    folder = files("limberleaf.diagrams").joinpath("data", "words")
    return tuple(
        sorted(item.name.removesuffix(".yml") for item in folder.iterdir() if item.name.endswith(".yml"))
    )
