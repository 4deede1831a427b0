"""A library in pseudo-language: every text of every entry longer, accented and between brackets.

A page made of it shows at a glance what is cut off (no closing bracket), what does not come from an entry (no accents)
and what breaks when words grow. Texts grow as the usual table for translation says: short ones by half and more, long
ones by a third (W3C, "Text size in translation", after IBM's guidelines).
"""

from __future__ import annotations

import copy
import re
from collections.abc import Iterator
from typing import Any

from limberleaf.exchange.entries import Change, edited, plain_value
from limberleaf.exchange.translation.library_units import FOLDERS
from limberleaf.exchange.translation.units import LIST_SIGN, texts_of
from limberleaf.library import Library

_LETTERS = str.maketrans("aceilnorsuyzACEILNORSUYZ", "áçéíłñóřşúýžÁÇÉÍŁÑÓŘŞÚÝŽ")
_KEPT = re.compile(r"(\{[^{}]*\}|\[\[[^\]]*\]\])")
OPEN, CLOSE = "⟦", "⟧"


def pseudo_text(text: str) -> str:
    """Give a text in pseudo-language; blanks and links stay as they are."""
    parts = _KEPT.split(text)
    accented = "".join(part if _KEPT.fullmatch(part) else part.translate(_LETTERS) for part in parts)
    return f"{OPEN}{accented}{_filler(len(text))}{CLOSE}"


def _filler(length: int) -> str:
    more = 1.0 if length <= 10 else 0.6 if length <= 30 else 0.35
    return " " + " ".join("~" * min(6, left) for left in range(round(length * more), 0, -7)) if length else ""


def pseudo_changes(library: Library) -> Iterator[Change]:
    """Give every entry in pseudo-language, as changes to its file."""
    for folder in FOLDERS:
        for _, loaded in sorted(getattr(library, folder).items()):
            value = plain_value(loaded.source.text)
            changed = copy.deepcopy(value)
            for loc, text in texts_of(folder, value):
                _put(changed, loc, text)
            yield Change(loaded.source.path, loaded.source.text, edited(loaded.source.text, changed))


def _put(value: Any, loc: tuple[str | int, ...], text: str) -> None:
    for step in loc[:-1]:
        value = value[step]
    whole = loc[-1] == "synonyms"
    value[loc[-1]] = [pseudo_text(one) for one in text.split(LIST_SIGN)] if whole else pseudo_text(text)
