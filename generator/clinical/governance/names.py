"""Names for codes: a change is shown to who approves it by the title of an exercise, not by its code alone."""

from __future__ import annotations

import re
from dataclasses import replace

from limberleaf.clinical.governance.difference import Difference
from limberleaf.library import Library

_WORD = re.compile(r"(?<![\w(“./-])[a-z0-9]+(?:-[a-z0-9]+)+(?![\w/-]|\.\w)")


def with_titles(text: str, library: Library) -> str:
    """Put the title of each exercise before its code: `kn-05` is “Sit to stand” (kn-05)."""

    def title(found: re.Match[str]) -> str:
        exercise = library.exercises.get(found[0])
        return f"“{exercise.entry.title}” ({found[0]})" if exercise else found[0]

    return _WORD.sub(title, text)


def titled_differences(changes: list[Difference], library: Library) -> list[Difference]:
    """Give changes that name exercises by their titles."""
    return [replace(one, says=with_titles(one.says, library)) for one in changes]
