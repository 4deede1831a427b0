"""The sentences of one entry beside those of its translation."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from limberleaf.library.yaml.source import Loc

LIST_SIGN = "; "
"""What parts the words of a list that is translated as a whole, such as everyday words."""
_EACH = "[]"
_TEXTS: Mapping[str, tuple[str, ...]] = {
    "exercises": (
        "title", "aim", "affected_word", "suits.[]", "leave_out_if.[]", "equipment.[].instead", "working_side",
        "base_side", "setup.[]", "steps.[]", "dose_reason", "feelings.fine.[]", "feelings.ease_off.[]",
        "feelings.stop.[]", "in_short.[]", "watch_for.[]", "easier.when", "harder.when", "instead.when", "synonyms",
        "figure.poses.[].caption",
    ),
    "ladders": (
        "title", "aim", "steps.[].start_here_if", "steps.[].move_on_when", "steps.[].step_back_when",
        "steps.[].same_or_less_because", "if_you_cannot.when", "synonyms",
    ),
    "collections": (
        "title", "summary", "about.[]", "before_you_start.[]", "questions.[].ask", "questions.[].answer",
        "come_back_when.[]", "synonyms",
    ),
    "cautions": ("title", "signs.[]", "action"),
}  # fmt: skip
"""What is translated of each kind, in the order in which it is read."""
WHOLE = ("synonyms",)
"""Lists whose items have no counterpart one by one."""


@dataclass(frozen=True)
class Unit:
    """One text to translate. `target` is empty where there is none yet.

    `state` tells how far the target can be trusted: `new` (none), `reused` (lent by another translation of the same or
    a like text), `stale` (the words it was made from changed) or `done`. `like` is the text that a lent target stood
    for.
    """

    folder: str
    name: str
    loc: Loc
    source: str
    target: str = ""
    state: str = "new"
    like: str = ""
    note: str = ""
    path: str = ""
    line: int = 0

    @property
    def key(self) -> str:
        """Give the place of the unit in its entry: `steps.2`, counted from 1."""
        return ".".join(str(step + 1) if isinstance(step, int) else step for step in self.loc)

    @property
    def id(self) -> str:
        """Give a name that is unique in the library and holds in XML (an NMTOKEN): `exercises.kn-03.steps.2`."""
        return f"{self.folder}.{self.name}.{self.key}"


def texts_of(folder: str, value: Mapping[str, Any]) -> Iterator[tuple[Loc, str]]:
    """Give every text of an entry that is translated, with its place."""
    for pattern in _TEXTS[folder]:
        yield from _at(value, tuple(pattern.split(".")), ())


def _at(value: Any, pattern: Sequence[str], loc: Loc) -> Iterator[tuple[Loc, str]]:
    if not pattern:
        if isinstance(value, list):
            yield loc, LIST_SIGN.join(map(str, value))
        elif value is not None:
            yield loc, str(value)
        return
    step, rest = pattern[0], pattern[1:]
    if step == _EACH:
        for index, item in enumerate(value if isinstance(value, list) else ()):
            yield from _at(item, rest, (*loc, index))
    elif isinstance(value, Mapping) and step in value:
        yield from _at(value[step], rest, (*loc, step))


def target_loc(loc: Loc, translation: Mapping[str, Any]) -> Loc:
    """Give the place of a text in its translation: captions stand in a list of their own."""
    if loc[:2] == ("figure", "poses"):
        return (
            ("figure", loc[2])
            if isinstance(translation.get("figure"), list)
            else ("figure", "captions", loc[2])
        )
    return loc


def target_of(loc: Loc, translation: Mapping[str, Any]) -> str:
    """Give the translated text, empty when there is none."""
    value: Any = translation
    for step in target_loc(loc, translation):
        if isinstance(step, int):
            value = value[step] if isinstance(value, list) and step < len(value) else None
        else:
            value = value.get(step) if isinstance(value, Mapping) else None
    if isinstance(value, list):
        return LIST_SIGN.join(map(str, value))
    return "" if value is None else str(value)


def put_target(loc: Loc, translation: dict[str, Any], text: str) -> None:
    """Put a translated text in its place; lists grow with empty items that must be filled before it is written."""
    steps = target_loc(loc, translation)
    value: Any = translation
    for step, after in pairwise(steps):
        value = _child(value, step, [] if isinstance(after, int) else {})
    last = steps[-1]
    item: Any = [one.strip() for one in text.split(";") if one.strip()] if last in WHOLE else text
    if isinstance(last, int):
        _grow(value, last)
    value[last] = item


def _child(value: Any, step: str | int, empty: Any) -> Any:
    if isinstance(step, int):
        _grow(value, step)
        if value[step] is None:
            value[step] = empty
        return value[step]
    return value.setdefault(step, empty)


def _grow(value: list[Any], index: int) -> None:
    value.extend([None] * (index + 1 - len(value)))
