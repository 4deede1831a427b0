"""The place of an exercise in the ladders, and the graph of ways up, back and across."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from graphlib import CycleError, TopologicalSorter
from importlib.resources import files
from itertools import chain

from limberleaf.data_files import safe_load
from limberleaf.library import Library
from limberleaf.library.models.groups import Ladder


@dataclass(frozen=True)
class LadderPlace:
    """A place in a ladder: `index` counts from 0, `count` is the number of steps."""

    ladder: Ladder
    index: int
    count: int

    @property
    def before(self) -> str | None:
        """Give the code of the step before, None on the lowest."""
        return self.ladder.steps[self.index - 1].exercise if self.index else None

    @property
    def after(self) -> str | None:
        """Give the code of the step after, None on the highest."""
        return self.ladder.steps[self.index + 1].exercise if self.index + 1 < self.count else None


@dataclass(frozen=True)
class Where:
    """The place of an exercise: its steps in approved ladders and the approved collections that lead to it."""

    places: tuple[LadderPlace, ...] = ()
    collections: tuple[str, ...] = ()


def whereabouts(library: Library) -> Mapping[str, Where]:
    """Give the place of every exercise, in one pass; ask by code, with `Where()` for one that has none."""
    found: dict[str, list[LadderPlace]] = {}
    for loaded in library.ladders.values():
        if loaded.entry.is_published:
            steps = loaded.entry.steps
            for index, rung in enumerate(steps):
                found.setdefault(rung.exercise, []).append(LadderPlace(loaded.entry, index, len(steps)))
    named: dict[str, dict[str, None]] = {}
    for ident, collection in library.collections.items():
        if not collection.entry.is_published:
            continue
        codes = [*collection.entry.exercises]
        for ladder in collection.entry.ladders:
            if ladder in library.ladders:
                codes += [rung.exercise for rung in library.ladders[ladder].entry.steps]
        for code in codes:
            named.setdefault(code, {})[ident] = None
    return {
        code: Where(tuple(found.get(code, ())), tuple(named.get(code, ()))) for code in {**found, **named}
    }


class Whereabouts:
    """The places of exercises, one by one: only the ladders of the exercise that is asked for are read."""

    def __init__(self, library: Library) -> None:
        """Take in which ladders and collections there are."""
        self._library = library
        self._named: dict[str, dict[str, None]] = {}
        self._ladders: dict[str, dict[str, None]] = {}
        steps = {name: (loaded.is_published, loaded.step_codes) for name, loaded in library.ladders.items()}
        for name, (is_published, codes) in steps.items():
            for code in codes if is_published else ():
                self._ladders.setdefault(code, {})[name] = None
        for ident, collection in library.collections.items():
            entry = collection.entry
            named = (steps[one][1] for one in entry.ladders if one in steps)
            for code in chain(entry.exercises, *named) if entry.is_published else ():
                self._named.setdefault(code, {})[ident] = None

    def of(self, code: str) -> Where:
        """Give the place of an exercise."""
        ladders = (self._library.ladders[name].entry for name in self._ladders.get(code, ()))
        found = (
            LadderPlace(ladder, index, len(ladder.steps))
            for ladder in ladders
            for index, rung in enumerate(ladder.steps)
            if rung.exercise == code
        )
        return Where(tuple(found), tuple(self._named.get(code, ())))


def places(library: Library, code: str) -> list[LadderPlace]:
    """Give the places of an exercise in the approved ladders, in the order of their files."""
    return [
        LadderPlace(loaded.entry, index, len(loaded.entry.steps))
        for loaded in library.ladders.values()
        if loaded.entry.is_published
        for index, rung in enumerate(loaded.entry.steps)
        if rung.exercise == code
    ]


def progressions(library: Library) -> dict[str, set[str]]:
    """Give for each published exercise those that count as harder: by ladder, by its own way up or by a way down."""
    published = library.published()
    up: dict[str, set[str]] = {code: set() for code in published}
    where = whereabouts(library)
    for code, harder in up.items():
        exercise = published[code].entry
        named = [place.after for place in where.get(code, Where()).places]
        if exercise.harder:
            named.append(exercise.harder.exercise)
        harder.update(name for name in named if name in up)
        if exercise.easier and exercise.easier.exercise in up:
            up[exercise.easier.exercise].add(code)
    return up


def alternatives(library: Library) -> dict[str, set[str]]:
    """Give for each approved ladder the one to go to when it does not work."""
    ladders = {ident: one.entry for ident, one in library.ladders.items() if one.entry.is_published}
    return {
        ident: {ladder.if_you_cannot.go_to} & set(ladders) if ladder.if_you_cannot else set()
        for ident, ladder in ladders.items()
    }


def cycles(graph: Mapping[str, set[str]]) -> list[tuple[str, ...]]:
    """Give the cycles of a graph, each from its first name in order, until none is left."""
    left = {name: set(targets) for name, targets in graph.items()}
    found: list[tuple[str, ...]] = []
    while True:
        try:
            TopologicalSorter({name: sorted(left[name]) for name in sorted(left)}).prepare()
        except CycleError as error:
            # The sorter is given targets where it expects predecessors, so its circle runs backwards.
            circle: list[str] = error.args[1][:0:-1]
            first = circle.index(min(circle))
            circle = circle[first:] + circle[:first]
            found.append(tuple(circle))
            left[circle[0]].discard(circle[1 % len(circle)])
        else:
            return found


@cache
def _measures() -> Mapping[str, list[str]]:
    text = files(__package__).joinpath("data/measurable.yml").read_text("utf-8")
    return dict(safe_load(text))


def kept_beside(ladder: Ladder, index: int) -> list[str]:
    """Give the exercises of earlier steps that go on beside step `index`, because no step so far has replaced them."""
    going: list[str] = []
    for rung in ladder.steps[: index + 1]:
        going = [code for code in going if code not in rung.replaces]
        going.append(rung.exercise)
    return going[:-1]


def measured_by(rule: str) -> str | None:
    """Tell what makes a rule to move on measurable: `number`, `feeling` or `landmark`; None when nothing does.

    English. A blank such as {acceptable_pain} is a number.
    """
    measures = _measures()
    text = re.sub(r"\{acceptable_pain\}|\{settle_time\}", "0", rule.lower())
    for phrase in measures["vague"]:
        text = text.replace(phrase, " ")
    if re.search(r"\d", text) or _holds(text, measures["numbers"]):
        return "number"
    if _holds(text, measures["feelings"]):
        return "feeling"
    return "landmark" if _holds(text, measures["landmarks"]) else None


def names_alternative(rule: str) -> bool:
    """Tell whether a rule says to call, or leads to another page."""
    lower = rule.lower()
    return "[[" in rule or any(phrase in lower for phrase in _measures()["way_out"])


def _holds(text: str, phrases: Iterable[str]) -> bool:
    return any(re.search(rf"\b{re.escape(phrase)}\b", text) for phrase in phrases)
