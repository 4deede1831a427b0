"""What plans may carry beside exercises: the clinic's notes to patients and its ready sets of exercises."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field, StringConstraints

from limberleaf.library.models.record import Record
from limberleaf.library.models.values import Code, Duration, Ident, LocalText, Text

NoteName = Annotated[str, StringConstraints(pattern=r"^note-[0-9]{2,3}$")]
"""A note's name: a link carries its number, so a number that was handed out keeps its meaning."""


class SetExercise(Record):
    """One exercise of a set, with the numbers of its dose that the set changes."""

    exercise: Code = Field(description="The code of the exercise.")
    one_side_then_the_other: bool = Field(
        False, description="True: done on both sides in turn, where the exercise is for one side."
    )
    sets: int | None = Field(None, ge=1, strict=False, description="Sets, where the set has its own number.")
    repetitions: int | None = Field(None, ge=1, strict=False, description="Repetitions in a set.")
    hold: Duration | None = Field(None, description="How long each one is held: 10 s.")
    rest: Duration | None = Field(None, description="Rest between sets: 60 s.")
    duration: Duration | None = Field(None, description="How long a timed exercise takes: 5 min.")
    times_a_day: int | None = Field(None, ge=1, strict=False, description="How often a day.")
    days_a_week: int | None = Field(None, ge=1, le=7, strict=False, description="On how many days a week.")


class ReadySet(Record):
    """Exercises that the clinic often hands out together, with an address of their own."""

    title: LocalText = Field(description="What clinicians call it.")
    for_whom: LocalText = Field(description="One sentence for clinicians: who it is for.")
    collection: Ident | None = Field(None, description="The collection on whose page it is offered.")
    weeks: int = Field(6, ge=1, le=52, strict=False, description="For how many weeks.")
    note_names: list[NoteName] = Field(default_factory=list, description="Notes that go with it.")
    exercises: list[SetExercise] = Field(
        min_length=1, description="The exercises, in the order they are done."
    )
    retired_because: Text | None = Field(
        None, description="Why it is no longer offered. Its address stays; take nothing out of this file."
    )


class Plans(Record):
    """The clinic's notes and sets."""

    notes: dict[NoteName, LocalText] = Field(
        default_factory=dict,
        description="Short texts that a plan can carry by their name. A name is never given to another text.",
    )
    sets: dict[Ident, ReadySet] = Field(
        default_factory=dict, description="Ready sets, each under the name that is its address."
    )
