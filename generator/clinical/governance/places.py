"""Places and values of an entry as a reader sees them: `steps.2`, the first exercise of a ready set, 3-5."""

from __future__ import annotations

from typing import Any

from limberleaf.library.yaml.source import Loc

NOTHING: tuple[Any, ...] = (None, [], {})
"""What a file may say where nothing is there."""
_THINGS = {
    "props": "thing",
    "contacts": "contact",
    "directions": "direction",
    "arrow": "arrow",
    "highlight": "felt place",
}
"""The lists of a picture and what one of them is called."""


def show(value: Any) -> str:
    """Write a plain value for a reader."""
    if value in NOTHING:
        return "nothing"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        if len(value) == 2 and all(isinstance(end, int) for end in value):
            return str(value[0]) if value[0] == value[1] else f"{value[0]}-{value[1]}"
        return ", ".join(show(item) for item in value)
    if isinstance(value, dict):
        return ", ".join(f"{key}: {show(item)}" for key, item in sorted(value.items()))
    return f"{value:g}" if isinstance(value, float) else str(value)


def name_of(loc: Loc) -> str:
    """Write a place for a reader, counted from 1: `steps.2` is the second step."""
    return ".".join(str(step + 1) if isinstance(step, int) else step for step in loc)


def place_in_words(loc: Loc) -> str:
    """Write a place for somebody who knows no files: of plans.yml or a picture in words, else as `name_of` does."""
    if loc[0] == "figure" and len(loc) > 1:
        return _part_of_picture(loc[1:])
    if loc[0] == "notes" and len(loc) > 1:
        return f"the note “{loc[1]}”" + (f" ({loc[2]})" if len(loc) > 2 else "")
    if loc[0] != "sets" or len(loc) < 2:
        return name_of(loc)
    whole, rest = f"the ready set “{loc[1]}”", loc[2:]
    if rest[:1] == ("exercises",):
        if len(rest) < 2:
            return f"the exercises of {whole}"
        which = f"exercise {int(rest[1]) + 1} of {whole}"
        return which if rest[2:] in ((), ("exercise",)) else f"`{name_of(rest[2:])}` of {which}"
    return f"`{name_of(rest)}` of {whole}" if rest else whole


def _part_of_picture(loc: Loc) -> str:
    """Write a place in a figure: `the flexion of the affected hip in panel 2`, `the view of the picture`."""
    where, rest = "the picture", loc
    if loc[0] == "poses" and len(loc) > 1:
        where, rest = f"panel {int(loc[1]) + 1}", loc[2:]
    if not rest:
        return where
    first, *more = (str(step + 1) if isinstance(step, int) else step.replace("_", " ") for step in rest)
    if first == "joints" and more:
        *joint, motion = more
        return f"the {motion} of the {' '.join(joint)} in {where}" if joint else f"the {motion} in {where}"
    thing = _THINGS.get(first)
    if thing and more:
        field = f" (`{' '.join(more[1:])}`)" if more[1:] else ""
        return f"{thing} {more[0]} in {where}{field}"
    return f"the {' '.join((first, *more))} of {where}"


def place_first(loc: Loc) -> str:
    """Write a place at the start of a sentence."""
    words = place_in_words(loc)
    return f"`{words}`" if words == name_of(loc) else words[0].upper() + words[1:]
