"""The record of an entry: what a program can check of published instruments, and what is left to a person.

The instruments (CERT, PEMAT-P, CCI) are named and their items numbered; the words are our own (data/instruments.yml).
`met` means that a field is there and says something, never that a person has judged it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any, Literal

from limberleaf.clinical.cautions import cautions_for
from limberleaf.clinical.ladders import Where, whereabouts
from limberleaf.data_files import safe_load
from limberleaf.library import Exercise, Library

CriterionState = Literal["met", "not_met", "person", "not_applicable"]
LONGEST_LIST = 8
"""Lines in one list before it is no short piece (common practice, no source)."""


@dataclass(frozen=True)
class RecordLine:
    """One item of one instrument: `because` says what was looked at, or what helps a person to judge."""

    instrument: str
    item: str
    says: str
    state: CriterionState
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
    return dict(safe_load(text))


def record(library: Library, exercise: Exercise, where: Where | None = None) -> list[RecordLine]:
    """Give the record of an exercise, by instrument and item; `where` is its place, when it is known already."""
    if where is None:
        where = whereabouts(library).get(exercise.code, Where())
    results = {name: test(library, exercise, where) for name, (test, _) in TESTS.items()}
    return [
        _line(instrument, number, item, results)
        for instrument, texts in instruments().items()
        for number, item in texts["items"].items()
    ]


def tally(lines: list[RecordLine], instrument: str) -> Tally:
    """Count the states of one instrument's items."""
    states = [line.state for line in lines if line.instrument == instrument]
    return Tally(*(states.count(state) for state in ("met", "not_met", "person", "not_applicable")))


def _line(instrument: str, number: str, item: Mapping[str, str], results: Mapping[str, bool]) -> RecordLine:
    how = item["how"]
    state: CriterionState
    if how == "field":
        because = TESTS[item["test"]][1]
        state = "met" if results[item["test"]] else "not_met"
    else:
        states: dict[str, tuple[CriterionState, str]] = {
            "template": ("met", "Every page has it."),
            "person": ("person", item.get("help", "")),
            "outside": ("not_applicable", "About a course of treatment, not about a page."),
        }
        state, because = states[how]
    return RecordLine(instrument, number, item["says"], state, item.get("test", ""), because)


# --- the tests -------------------------------------------------------------------------------------------------

Test = Callable[[Library, Exercise, Where], bool]


def _equipment(library: Library, exercise: Exercise, _: Where) -> bool:
    items = library.equipment.entry.items if library.equipment else {}
    return all(
        need.optional or need.instead or (need.item in items and items[need.item].instead)
        for need in exercise.equipment
    )


def _progress_rule(_: Library, exercise: Exercise, where: Where) -> bool:
    """Tell whether there is a rule to move on, or a ladder whose top this is."""
    return exercise.harder is not None or any(
        place.after is None or place.ladder.steps[place.index].move_on_when for place in where.places
    )


def _start_rule(_: Library, exercise: Exercise, where: Where) -> bool:
    return bool(exercise.suits or where.places)


def _stop_rules(library: Library, exercise: Exercise, _: Where) -> bool:
    return bool(exercise.feelings.stop) and bool(cautions_for(library, exercise))


def _described(_: Library, exercise: Exercise, __: Where) -> bool:
    moves = exercise.kind != "rest_position"
    return bool(exercise.setup and exercise.steps) and len(exercise.figure.poses) >= (2 if moves else 1)


def _short_lists(_: Library, exercise: Exercise, __: Where) -> bool:
    lists = (exercise.setup, exercise.steps, exercise.watch_for, *vars(exercise.feelings).values())
    return all(len(lines) <= LONGEST_LIST for lines in lists if isinstance(lines, list))


def _dose_sourced(_: Library, exercise: Exercise, __: Where) -> bool:
    return any("dose" in source.claim for source in exercise.sources)


TESTS: Mapping[str, tuple[Test, str]] = {
    "aim": (lambda _, one, __: bool(one.aim), "The aim is one sentence at the top."),
    "captions": (
        lambda _, one, __: all(pose.caption for pose in one.figure.poses),
        "Every pose has a caption.",
    ),
    "described": (_described, "Setup, steps, and a figure with start and finish."),
    "dose": (lambda _, one, __: bool(one.dose), "The dose is written in numbers with their units."),
    "equipment": (
        lambda _, one, __: (
            all(need.instead or need.optional for need in one.equipment)
            or all(need.item for need in one.equipment)
        ),
        "What is needed is listed, or nothing is needed.",
    ),
    "figure": (lambda _, one, __: bool(one.figure.poses), "There is a figure."),
    "gains_and_risks": (
        lambda _, one, __: bool(one.aim and one.feelings.stop and one.leave_out_if),
        "The aim, what means stop, and who should leave it out.",
    ),
    "in_collection": (
        lambda _, __, where: bool(where.collections),
        "A collection explains the problem and gives advice.",
    ),
    "in_short": (lambda _, one, __: len(one.in_short) == 3, "Three lines to remember."),
    "progress_rule": (_progress_rule, "A rule says when to move on, or it is the top of its ladder."),
    "roles": (
        lambda _, one, __: bool(one.review.owner and one.review.approved_by),
        "Owner and approver are named.",
    ),
    "setting": (lambda _, one, __: bool(one.position and one.setup), "Position and setup."),
    "short_lists": (_short_lists, f"No list is longer than {LONGEST_LIST} lines."),
    "sources": (_dose_sourced, "The dose names its source and how sure it is."),
    "start_rule": (_start_rule, "It says whom it suits, or its ladder says when to start here."),
    "steps": (lambda _, one, __: bool(one.steps), "The steps are a list."),
    "stop_rules": (_stop_rules, "What means stop, and the caution boxes."),
}
