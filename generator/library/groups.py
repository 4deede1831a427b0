"""Ladders, collections and cautions as typed entries."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from limberleaf.library.exercise import Kind, Region
from limberleaf.library.record import Entry, Record
from limberleaf.library.values import Code, Ident, Name, Span, Text, Texts

Tier = Literal["emergency", "same_day", "ease_off"]
TIERS: tuple[Tier, ...] = ("emergency", "same_day", "ease_off")


class Rung(Record):
    """One step of a ladder, with its rules to start, to move on and to step back."""

    exercise: Code
    start_here_if: Text
    move_on_when: Text | None = Field(
        None, description="Measurable: a number or a named feeling. Not on the last."
    )
    step_back_when: Text
    replaces: list[Code] = Field(default_factory=list, description="What to stop doing from here on.")
    same_or_less_because: Text | None = Field(
        None, description="Why this step asks no more than the one before."
    )


class WayAcross(Record):
    """Where to go when this ladder does not work."""

    go_to: Ident
    when: Text


class Retirable(Entry):
    """An entry that says why it is taken away."""

    retired_because: Text | None = Field(None, description="With status retired: why it was taken away.")

    @model_validator(mode="after")
    def _retired_says_why(self) -> Self:
        if (self.status == "retired") != (self.retired_because is not None):
            raise ValueError("status: retired and retired_because (the reason) go together")
        return self


class Ladder(Retirable):
    """An ordered progression of exercises."""

    id: Ident
    title: Text
    aim: Text
    region: Region
    steps: Annotated[list[Rung], Field(min_length=2)]
    if_you_cannot: WayAcross | None = None
    synonyms: list[Text] = Field(default_factory=list)


class Question(Record):
    """A question people ask, and its answer."""

    ask: Text
    answer: Text


class Collection(Retirable):
    """A page for a problem area: what is going on, its ladders and its cautions."""

    id: Ident
    title: Text
    region: Region
    summary: Text
    about: Texts
    before_you_start: list[Text] = Field(default_factory=list)
    ladders: Annotated[list[Ident], Field(min_length=1)]
    exercises: list[Code] = Field(default_factory=list)
    questions: list[Question] = Field(default_factory=list)
    come_back_when: list[Text] = Field(default_factory=list)
    cautions: list[Ident] = Field(default_factory=list)
    synonyms: list[Text] = Field(default_factory=list)


class Rule(Record):
    """Where a caution applies: all the keys given must fit, any of the values of a key will do."""

    region: list[Region] = Field(default_factory=list)
    kind: list[Kind] = Field(default_factory=list)
    position: list[Text] = Field(default_factory=list)
    equipment: list[Name] = Field(default_factory=list)
    tag: list[Text] = Field(default_factory=list)

    @model_validator(mode="after")
    def _says_something(self) -> Self:
        if not any((self.region, self.kind, self.position, self.equipment, self.tag)):
            raise ValueError("a rule names at least one region, kind, position, equipment or tag")
        return self


class Caution(Retirable):
    """A box of one of three tiers, shown wherever its rules apply, in the same words everywhere."""

    id: Ident
    tier: Tier
    title: Text
    signs: Texts
    action: Text | None = Field(None, description="Only when the clinic's words for the tier do not fit.")
    covers: list[Ident] = Field(
        default_factory=list,
        description="The warning signs it covers, by name; `limberleaf check` knows them.",
    )
    applies_to: list[Rule] = Field(default_factory=list)
    everywhere: bool = False
    within: Span | None = Field(None, description="A time window where the source has one: 14 days.")

    @model_validator(mode="after")
    def _applies_somewhere(self) -> Self:
        if self.everywhere and self.applies_to:
            raise ValueError("everywhere: true needs no rules beside it")
        return self
