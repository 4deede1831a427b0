"""Ladders, collections and cautions as typed entries."""

from __future__ import annotations

from typing import Literal, Self

from pydantic import Field, model_validator

from limberleaf.library.models.exercise import Kind, Region
from limberleaf.library.models.record import Entry, Record
from limberleaf.library.models.values import Code, Ident, Name, Span, Text, Texts

Tier = Literal["emergency", "same_day", "ease_off"]
TIERS: tuple[Tier, ...] = ("emergency", "same_day", "ease_off")


class Rung(Record):
    """One step of a ladder, with its rules to start, to move on and to step back."""

    exercise: Code = Field(description="The code of the exercise.")
    start_here_if: Text = Field(description="Who begins at this step.")
    move_on_when: Text | None = Field(
        None, description="Measurable: a number or a named feeling. Not on the last."
    )
    step_back_when: Text = Field(description="When to go one step back.")
    replaces: list[Code] = Field(default_factory=list, description="What to stop doing from here on.")
    same_or_less_because: Text | None = Field(
        None, description="Why this step asks no more than the one before."
    )


class WayAcross(Record):
    """Where to go when this ladder does not work."""

    go_to: Ident = Field(description="The name of the other ladder.")
    when: Text = Field(description="The sign that this ladder is the wrong one.")


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

    id: Ident = Field(description="The name of the ladder, as in its file name; it is the address.")
    title: Text = Field(description="What the patient calls it.")
    aim: Text = Field(description="One sentence: where it leads.")
    region: Region = Field(description="The part of the body it is for.")
    steps: list[Rung] = Field(
        min_length=2, description="The exercises from the easiest to the hardest, at least two."
    )
    if_you_cannot: WayAcross | None = Field(
        None, description="Another ladder for whom this one does not work."
    )
    synonyms: list[Text] = Field(default_factory=list, description="Everyday words for the finder.")


class Question(Record):
    """A question people ask, and its answer."""

    ask: Text = Field(description="The question, in the words of a patient.")
    answer: Text = Field(description="The answer, short and plain.")


class Collection(Retirable):
    """A page for a problem area: what is going on, its ladders and its cautions."""

    id: Ident = Field(description="The name of the collection, as in its file name; it is the address.")
    title: Text = Field(description="The problem, in the words of a patient.")
    region: Region = Field(description="The part of the body it is for.")
    summary: Text = Field(description="One or two sentences for the finder and the head of the page.")
    about: Texts = Field(description="What is going on, one paragraph a line.")
    before_you_start: list[Text] = Field(
        default_factory=list, description="What to know before the first exercise."
    )
    ladders: list[Ident] = Field(min_length=1, description="The ladders of the page, in order.")
    exercises: list[Code] = Field(default_factory=list, description="Exercises beside the ladders.")
    questions: list[Question] = Field(default_factory=list, description="Questions people ask, with answers.")
    come_back_when: list[Text] = Field(default_factory=list, description="When to see the clinic again.")
    cautions: list[Ident] = Field(default_factory=list, description="Boxes beside those that come by rule.")
    synonyms: list[Text] = Field(default_factory=list, description="Everyday words for the finder.")


class Rule(Record):
    """Where a caution applies: all the keys given must fit, any of the values of a key will do."""

    region: list[Region] = Field(default_factory=list, description="Parts of the body.")
    kind: list[Kind] = Field(default_factory=list, description="Kinds of exercise.")
    position: list[Text] = Field(default_factory=list, description="Starting postures.")
    equipment: list[Name] = Field(default_factory=list, description="Pieces of equipment.")
    tag: list[Text] = Field(default_factory=list, description="Tags of exercises.")

    @model_validator(mode="after")
    def _says_something(self) -> Self:
        if not any((self.region, self.kind, self.position, self.equipment, self.tag)):
            raise ValueError("a rule names at least one region, kind, position, equipment or tag")
        return self


class Caution(Retirable):
    """A box of one of three tiers, shown wherever its rules apply, in the same words everywhere."""

    id: Ident = Field(description="The name of the box, as in its file name.")
    tier: Tier = Field(description="How urgent: emergency, same_day or ease_off.")
    title: Text = Field(description="The heading of the box.")
    signs: Texts = Field(description="The warning signs, one a line.")
    action: Text | None = Field(None, description="Only when the clinic's words for the tier do not fit.")
    covers: list[Ident] = Field(
        default_factory=list,
        description="The warning signs it covers, by name; `limberleaf check` knows them.",
    )
    applies_to: list[Rule] = Field(
        default_factory=list, description="Where it applies; any one rule is enough."
    )
    everywhere: bool = Field(False, description="True: on every page.")
    within: Span | None = Field(None, description="A time window where the source has one: 14 days.")

    @model_validator(mode="after")
    def _applies_somewhere(self) -> Self:
        if self.everywhere and self.applies_to:
            raise ValueError("everywhere: true needs no rules beside it")
        return self
