"""The list of equipment: nothing that tips, rolls or folds counts as a support, and no warning on it was lost.

The words are data (clinical/data/unsafe_supports.yml).
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from functools import cache
from typing import Any

from limberleaf.data_files import data_of
from limberleaf.findings import Finding
from limberleaf.library import Library
from limberleaf.library.models.clinic import Item
from limberleaf.library.models.values import ANY_LANGUAGE
from limberleaf.library.yaml.source import Source


@cache
def _data() -> Mapping[str, Any]:
    data: Mapping[str, Any] = data_of("limberleaf.clinical", "unsafe_supports.yml")
    return data


@cache
def _moves(language: str) -> re.Pattern[str] | None:
    names: list[str] = sorted(_data()["marked"].get(language, []), key=len, reverse=True)
    return (
        re.compile(rf"(?<!\w)(?:{'|'.join(map(re.escape, names))})(?!\w)", re.IGNORECASE) if names else None
    )


def check_equipment(library: Library) -> Iterator[Finding]:
    """Report things that move marked as a support, and things whose usual warning is gone."""
    if library.equipment is None:
        return
    first, source = library.settings.language, library.equipment.source
    for name, item in library.equipment.entry.items.items():
        if item.support:
            yield from _support(name, item, first, source)
        if first == "en":
            yield from _never(name, item, source)
        yield from _narrowed(name, item, first, source)


def _support(name: str, item: Item, first: str, source: Source) -> Iterator[Finding]:
    for language, called in item.name.items():
        spoken = first if language == ANY_LANGUAGE else language
        pattern = _moves(spoken)
        text = f"{name.replace('_', ' ')}, {called}" if spoken == "en" else called
        match = pattern.search(text) if pattern else None
        if match and not any(word in text.lower() for word in _data()["marked"]["fixed"]):
            yield Finding(
                "error",
                "support-that-moves",
                f"“{called}” is marked as safe to hold on to: it can tip, roll, fold or give way under a hand.",
                "Write `support: false`. A support is fixed: a worktop, a wall, a rail.",
                source.place(("items", name, "support")),
            )
            return


def _narrowed(name: str, item: Item, first: str, source: Source) -> Iterator[Finding]:
    """Report bans that name only one sort of what must not be used: a wobbly stool, an empty box."""
    for language, text in (item.never or {}).items():
        spoken = first if language == ANY_LANGUAGE else language
        pattern = _one_sort(spoken)
        match = pattern.search(text) if pattern else None
        if match:
            yield Finding(
                "warning",
                "ban-narrowed",
                f"“{match[0]}” reads as if any other sort of it were safe to use.",
                "Leave the thing out whatever sort it is: name it without that word.",
                source.place(("items", name, "never", language)),
            )


@cache
def _one_sort(language: str) -> re.Pattern[str] | None:
    """Give the pattern of a thing that moves with a word beside it that leaves some of its sort out."""
    data = _data()
    things = sorted({*data.get(language, []), *data["marked"].get(language, [])}, key=len, reverse=True)
    sorts = data["narrows"].get(language)
    if not sorts:
        return None
    thing, sort = ("|".join(map(re.escape, names)) for names in (things, sorts))
    if language == "ar":  # the word for the sort follows the thing
        return re.compile(rf"(?<!\w)(?:{thing})(?: [^\W\d]+)? (?:{sort})(?!\w)")
    return re.compile(rf"(?<!\w)(?:{sort}) (?:[^\W\d]+ )?(?:{thing})(?!\w)", re.IGNORECASE)


def _never(name: str, item: Item, source: Source) -> Iterator[Finding]:
    wanted = _data()["never"].get(name)
    text = " ".join((item.never or {}).values())
    if wanted and not re.search(wanted["says"], text, re.IGNORECASE):
        yield Finding(
            "warning",
            "never-line-lost",
            f"Nothing under `never:` of “{name.replace('_', ' ')}” warns of {wanted['means']}.",
            "Say it there. A warning may have been lost.",
            source.place(("items", name, "never" if item.never else "name"), key=True),
        )
