"""The sections of a page by the keys of its entry, in the words an editor sees on the page."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby

from limberleaf.checks.wording import Passage
from limberleaf.library.yaml.source import Loc

TITLES: Mapping[str, str] = {
    "title": "Title and aim",
    "aim": "Title and aim",
    "summary": "Title and aim",
    "in_short": "In short",
    "suits": "It suits you if",
    "leave_out_if": "Leave this one out if",
    "setup": "Get ready",
    "steps": "Do it",
    "dose_reason": "Why this dose",
    "easier": "Easier and harder",
    "harder": "Easier and harder",
    "instead": "Easier and harder",
    "watch_for": "Watch out for",
    "equipment": "What you need",
    "about": "What is going on",
    "before_you_start": "Before you start",
    "questions": "Questions",
    "come_back_when": "Come back when",
    "if_you_cannot": "If you cannot",
    "signs": "Signs",
    "action": "What to do",
    "words": "The page",
}
FEELINGS: Mapping[str, str] = {
    "fine": "Fine to feel",
    "ease_off": "Ease off",
    "stop": "Stop",
}


def section_title(loc: Loc) -> str:
    """Name the section of a passage."""
    head = str(loc[0])
    if head == "feelings":
        return FEELINGS[str(loc[1])]
    if head == "steps" and len(loc) > 2:
        return f"Step {int(loc[1]) + 1} of the ladder"
    return TITLES.get(head, head.replace("_", " ").capitalize())


def sections(passages: Sequence[Passage]) -> Iterator[tuple[str, list[int]]]:
    """Give the sections in order, each with the numbers of its passages."""
    for title, group in groupby(range(len(passages)), key=lambda index: section_title(passages[index].loc)):
        yield title, list(group)
