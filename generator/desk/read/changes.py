"""What changed between two versions of an entry: the wording side by side, and the other fields."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher
from itertools import zip_longest
from typing import Any, Literal

from limberleaf.checks.wording import Wording
from limberleaf.clinical.governance.approval import now
from limberleaf.desk.read.sections import TITLES, section_title

_PARTS = re.compile(r"\s+|[^\s]+")
_MOST_LINES = 12


@dataclass(frozen=True)
class Part:
    """A run of words that stayed, went or came."""

    kind: Literal["same", "gone", "come"]
    text: str


@dataclass(frozen=True)
class Change:
    """One line of the comparison: its section, and the words before and now."""

    section: str
    before: tuple[Part, ...]
    after: tuple[Part, ...]


@dataclass(frozen=True)
class Field:
    """A field that is no wording, written as in the file, before and now."""

    name: str
    before: str
    after: str


def wording_changes(before: Wording, after: Wording) -> list[Change]:
    """Compare two wordings section by section; only what differs is given."""
    old, new = _by_section(before), _by_section(after)
    return [
        change
        for section in dict.fromkeys([*new, *old])
        for change in _compare(section, old.get(section, []), new.get(section, []))
    ]


def _by_section(wording: Wording) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for passage in wording.passages:
        found.setdefault(section_title(passage.loc), []).append(passage.text.plain)
    return found


def _compare(section: str, old: Sequence[str], new: Sequence[str]) -> Iterator[Change]:
    matcher = SequenceMatcher(None, old, new, autojunk=False)
    for tag, i1, i2, j1, j2 in matcher.get_opcodes():
        if tag != "equal":
            for was, now_is in zip_longest(old[i1:i2], new[j1:j2], fillvalue=""):
                yield Change(section, *word_parts(was, now_is))


def word_parts(before: str, after: str) -> tuple[tuple[Part, ...], tuple[Part, ...]]:
    """Compare two texts word by word."""
    old, new = _PARTS.findall(before), _PARTS.findall(after)
    left: list[Part] = []
    right: list[Part] = []
    for tag, i1, i2, j1, j2 in SequenceMatcher(None, old, new, autojunk=False).get_opcodes():
        was, now_is = "".join(old[i1:i2]), "".join(new[j1:j2])
        if was:
            left.append(Part("same" if tag == "equal" else "gone", was))
        if now_is:
            right.append(Part("same" if tag == "equal" else "come", now_is))
    return tuple(left), tuple(right)


def field_changes(before: Any, after: Any, texts: tuple[str, str]) -> list[Field]:
    """Compare the fields that hold more than wording (dose, figure, ways ...), as the lock of approvals does.

    `texts` are the two files; fields are shown as they are written there.
    """
    old, new = now(before).fields, now(after).fields
    was, is_now = (written_fields(text) for text in texts)
    return [
        Field(name.replace("_", " "), was.get(name, ""), is_now.get(name, ""))
        for name in type(after).model_fields
        if old.get(name) != new.get(name) and not _only_words(name, before, after)
    ]


def _only_words(name: str, *entries: Any) -> bool:
    """Tell whether a field is plain wording, which is compared word by word already."""
    values = [getattr(entry, name, None) for entry in entries]
    texts = [one for value in values for one in (value if isinstance(value, list) else [value])]
    return name in TITLES and all(isinstance(text, str | None) for text in texts)


def written_fields(text: str) -> dict[str, str]:
    """Cut the text of an entry at its top-level keys; long fields are cut short."""
    found: dict[str, str] = {}
    for field in re.split(r"^(?=[a-z_]+:)", text, flags=re.MULTILINE):
        name = field.partition(":")[0]
        lines = field.rstrip().splitlines()
        found[name] = "\n".join(lines if len(lines) <= _MOST_LINES else [*lines[:_MOST_LINES], "…"])
    return found
