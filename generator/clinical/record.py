"""The record of an entry: what a program can tell about published instruments, and what is left to a person.

The instruments (CERT, PEMAT-P, CCI) are named and their items numbered; the words are our own (data/instruments.yml).
`met` means that a field is there and says something, never that a person has judged it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any, Literal

import yaml

from generator.clinical.cautions import cautions_for
from generator.clinical.ladders import places
from generator.library import Exercise, Library

State = Literal["met", "not_met", "person", "not_applicable"]
LONGEST_LIST = 8
"""Lines in one list before it is no short piece (common practice, no source)."""


@dataclass(frozen=True)
class RecordLine:
    """One item of one instrument: `because` says what was looked at, or what helps a person to judge."""

    instrument: str
    item: str
    says: str
    state: State
    test: str
    because: str


@dataclass(frozen=True)
class Tally:
    """How many items of an instrument are met, not met, left to a person, and outside a page."""

    met: int
    not_met: int
    person: int
    not_applicable: int


@cache
def instruments() -> Mapping[str, Any]:
    """Read the instruments."""
    text = files(__package__).joinpath("data/instruments.yml").read_text("utf-8")
    return dict(yaml.safe_load(text))


def record(library: Library, exercise: Exercise) -> list[RecordLine]:
    """Give the record of an exercise, by instrument and item."""
    return [
        _line(library, exercise, instrument, number, item)
        for instrument, told in instruments().items()
        for number, item in told["items"].items()
    ]


def tally(lines: list[RecordLine], instrument: str) -> Tally:
    """Count the states of one instrument's items."""
    states = [line.state for line in lines if line.instrument == instrument]
    return Tally(*(states.count(state) for state in ("met", "not_met", "person", "not_applicable")))


def _line(
    library: Library, exercise: Exercise, instrument: str, number: str, item: Mapping[str, str]
) -> RecordLine:
    how = item["how"]
    state: State
    if how == "field":
        test, because = TESTS[item["test"]]
        state = "met" if test(library, exercise) else "not_met"
    else:
        states: dict[str, tuple[State, str]] = {
            "template": ("met", "Every page has it."),
            "person": ("person", item.get("help", "")),
            "outside": ("not_applicable", "About a course of treatment, not about a page."),
        }
        state, because = states[how]
    return RecordLine(instrument, number, item["says"], state, item.get("test", ""), because)


# --- the tests -------------------------------------------------------------------------------------------------

Test = Callable[[Library, Exercise], bool]


def _equipment(library: Library, exercise: Exercise) -> bool:
    items = library.equipment.entry.items if library.equipment else {}
    return all(
        need.optional or need.instead or (need.item in items and items[need.item].instead)
        for need in exercise.equipment
    )


def _progress_rule(library: Library, exercise: Exercise) -> bool:
    """Tell whether there is a rule to move on, or a ladder whose top this is."""
    return exercise.harder is not None or any(
        place.after is None or place.ladder.steps[place.index].move_on_when
        for place in places(library, exercise.code)
    )


def _start_rule(library: Library, exercise: Exercise) -> bool:
    return bool(exercise.suits) or bool(places(library, exercise.code))


def _in_collection(library: Library, exercise: Exercise) -> bool:
    ladders = {place.ladder.id for place in places(library, exercise.code)}
    return any(
        exercise.code in one.entry.exercises or ladders & set(one.entry.ladders)
        for one in library.collections.values()
        if one.entry.is_published
    )


def _stop_rules(library: Library, exercise: Exercise) -> bool:
    return bool(exercise.feelings.stop) and bool(cautions_for(library, exercise))


def _described(_: Library, exercise: Exercise) -> bool:
    moves = exercise.kind != "rest_position"
    return bool(exercise.setup and exercise.steps) and len(exercise.figure.poses) >= (2 if moves else 1)


def _short_lists(_: Library, exercise: Exercise) -> bool:
    lists = (exercise.setup, exercise.steps, exercise.watch_for, *vars(exercise.feelings).values())
    return all(len(lines) <= LONGEST_LIST for lines in lists if isinstance(lines, list))


def _dose_sourced(_: Library, exercise: Exercise) -> bool:
    return any("dose" in source.claim for source in exercise.sources)


TESTS: Mapping[str, tuple[Test, str]] = {
    "aim": (lambda _, one: bool(one.aim), "The aim is one sentence at the top."),
    "captions": (lambda _, one: all(pose.caption for pose in one.figure.poses), "Every pose has a caption."),
    "described": (_described, "Setup, steps, and a figure with start and finish."),
    "dose": (lambda _, one: bool(one.dose), "The dose is written in numbers with their units."),
    "equipment": (
        lambda _, one: (
            all(need.instead or need.optional for need in one.equipment)
            or all(need.item for need in one.equipment)
        ),
        "What is needed is listed, or nothing is needed.",
    ),
    "figure": (lambda _, one: bool(one.figure.poses), "There is a figure."),
    "gains_and_risks": (
        lambda _, one: bool(one.aim and one.feelings.stop and one.leave_out_if),
        "The aim, what means stop, and who should leave it out.",
    ),
    "in_collection": (_in_collection, "A collection explains the problem and gives advice."),
    "in_short": (lambda _, one: len(one.in_short) == 3, "Three lines to remember."),
    "progress_rule": (_progress_rule, "A rule says when to move on, or it is the top of its ladder."),
    "roles": (
        lambda _, one: bool(one.review.owner and one.review.approved_by),
        "Owner and approver are named.",
    ),
    "setting": (lambda _, one: bool(one.position and one.setup), "Position and setup."),
    "short_lists": (_short_lists, f"No list is longer than {LONGEST_LIST} lines."),
    "sources": (_dose_sourced, "The dose names its source and how sure it is."),
    "start_rule": (_start_rule, "It says whom it suits, or its ladder says when to start here."),
    "steps": (lambda _, one: bool(one.steps), "The steps are a list."),
    "stop_rules": (_stop_rules, "What means stop, and the caution boxes."),
}
