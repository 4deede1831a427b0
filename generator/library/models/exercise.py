"""An exercise as a typed entry, and its translation."""

from __future__ import annotations

from typing import Annotated, Any, Literal, Self

from pydantic import BeforeValidator, Field, model_validator

from limberleaf.diagrams.language.spec import FigureSpec
from limberleaf.library.models.record import Entry, Record, Review, Status, SwitchedOff
from limberleaf.library.models.values import Band, Code, Count, Duration, Ident, Name, Text, Texts

Region = Literal[
    "knee", "hip", "ankle", "foot", "low_back", "neck", "shoulder", "elbow", "wrist_hand", "whole_body"
]
Kind = Literal[
    "strength",
    "stretch",
    "mobility",
    "nerve_slider",
    "nerve_tensioner",
    "balance",
    "rest_position",
    "aerobic",
]
Sides = Literal["one", "each", "both"]


class Tempo(Record):
    """How long the movement out, the pause and the way back take."""

    out: Duration = Field(description="Seconds of the movement out: 2 s.")
    pause: Duration | None = Field(None, description="A wait at the end of the movement: 1 s.")
    back: Duration = Field(description="Seconds of the way back: 3 s.")


class AsComfortable(Record):
    """As many repetitions as feel comfortable, up to a ceiling."""

    as_many_as_comfortable: Literal[True] = Field(description="Always true; it marks this way of counting.")
    up_to: int = Field(ge=1, le=1000, strict=False, description="The most repetitions anybody should do.")


def _repetitions(value: object) -> object:
    return value if isinstance(value, dict | AsComfortable) else Count.read(value)


Repetitions = Annotated[
    Count | AsComfortable, BeforeValidator(_repetitions, json_schema_input_type=Count | AsComfortable)
]


class Dose(Record):
    """How much: counted (sets of repetitions) or timed (a duration), and how often."""

    sets: Count | None = Field(None, description="How many rounds: 3 or 2-3.")
    repetitions: Repetitions | None = Field(
        None, description="How many in a round: 10, 8-12, or {as_many_as_comfortable: true, up_to: 20}."
    )
    duration: Duration | None = Field(None, description="For a timed dose: 10 min.")
    hold: Duration | None = Field(None, description="How long to hold each one: 3 s.")
    tempo: Tempo | None = Field(None, description="{out: 2 s, back: 3 s}")
    rest: Duration | None = Field(None, description="Rest between sets: 60 s.")
    times_a_day: Count | None = Field(None, description="How often on a day: 1 or 2-3.")
    every: Duration | None = Field(None, description="Instead of times_a_day: 1 h means hourly while awake.")
    days_a_week: Count = Field(description="On how many days: 3, or 7 for every day.")

    @model_validator(mode="after")
    def _one_way_to_count(self) -> Self:
        if (self.repetitions is None) == (self.duration is None):
            raise ValueError("a dose has either repetitions or a duration")
        if (self.times_a_day is None) == (self.every is None):
            raise ValueError("a dose has either times_a_day or every")
        if self.days_a_week.high > 7 or self.days_a_week.low < 1:
            raise ValueError("days_a_week is between 1 and 7")
        return self


class Need(Record):
    """Something the exercise needs, and what does as well at home."""

    item: Name = Field(description="The name of a piece of equipment in equipment.yml.")
    instead: Text | None = Field(
        None, description="What does as well at home; without it, what equipment.yml says."
    )
    optional: bool = Field(False, description="True when the exercise can be done without it.")


class PainBands(Record):
    """The three bands of pain from 0 to 10."""

    carry_on: Band = Field(description="Pain from 0 at which one carries on: 0-3.")
    ease_off: Band = Field(description="Pain at which one does less: 4-5.")
    stop: Band = Field(description="Pain at which one stops, up to 10: 6-10.")

    def tile(self) -> bool:
        """Tell whether the bands cover 0 to 10 without gap or overlap."""
        return (
            self.carry_on.low == 0
            and self.ease_off.low == self.carry_on.high + 1
            and self.stop.low == self.ease_off.high + 1
            and self.stop.high == 10
        )


class Feelings(Record):
    """What the patient may feel, in three bands."""

    fine: Texts = Field(description="What it may feel like when all is well, one feeling a line.")
    ease_off: Texts = Field(description="Feelings that mean: do less, or go a step back.")
    stop: Texts = Field(description="Feelings that mean: stop, and get help where a box says so.")
    bands: PainBands | None = Field(None, description="Only to override the clinic's bands.")


class Step(Record):
    """A way to another exercise, and when to take it."""

    exercise: Code = Field(description="The code of the other exercise.")
    when: Text = Field(description="The sign by which the patient knows that it is time.")


def drawn_as(kind: str, figure: FigureSpec) -> FigureSpec:
    """Give the figure of an exercise of a kind: one pose of a rest position carries the sign of rest by itself."""
    says = figure.movement or any(pose.movement for pose in figure.poses)
    if kind != "rest_position" or len(figure.poses) > 1 or says:
        return figure
    return figure.model_copy(update={"movement": "rest"})


class Exercise(Entry):
    """One exercise: what it is for, how to do it, how much, what to feel, when to stop, and its figure."""

    code: Code = Field(description="The code is the address: kn-03. A new title never changes it.")
    title: Text = Field(description="What the patient calls it; begins with what one does.")
    replaced_by: Code | None = Field(None, description="With status retired: the exercise to go to.")
    retired_because: Text | None = Field(None, description="With status retired: why it was taken away.")
    region: Region = Field(description="The part of the body it is for.")
    kind: Kind = Field(description="What it trains; the usual doses and some cautions go by it.")
    tags: list[Name] = Field(
        default_factory=list, description="Marks that cautions go by, such as fall_risk."
    )
    aim: Text = Field(description="One sentence: what it does for the patient.")
    affected_word: Text = Field("sore", description="The neutral word for the side: sore, stiff, weak ...")
    suits: list[Text] = Field(
        default_factory=list, description='Who it is for, one line each, as "You can ...".'
    )
    leave_out_if: Texts = Field(description="When not to do it, one line each, in plain words.")
    position: Text = Field(description="The posture it starts in; see diagrams/postures.yml.")
    equipment: list[Need] = Field(
        default_factory=list, description="What is needed, with what does as well at home."
    )
    sides: Sides = Field(description="one: left and right pages; each: both in turn; both: at once.")
    working_side: Text | None = Field(None, description="Side lying, one leg, step: which side works.")
    base_side: Text | None = Field(None, description="Which side is down or stands.")
    needs_clearance: bool = Field(False, description="Only when the clinician says so.")
    setup: Texts = Field(description="How to get ready, one action a line.")
    steps: Texts = Field(description="What to do, one action a line, the verb first.")
    dose: Dose = Field(description="How much and how often.")
    dose_reason: Text | None = Field(None, description="Why the dose lies outside the usual range.")
    feelings: Feelings = Field(description="What one may feel: fine, ease off, stop.")
    in_short: list[Text] = Field(min_length=3, max_length=3, description="The three lines to remember.")
    watch_for: list[Text] = Field(default_factory=list, description="Common mistakes, one a line.")
    easier: Step | None = Field(None, description="The exercise to step back to, and when.")
    harder: Step | None = Field(None, description="The exercise to move on to, and when.")
    instead: Step | None = Field(None, description="Another way to the same aim.")
    cautions: list[Ident] = Field(default_factory=list, description="Extra ones; rules add the others.")
    synonyms: list[Text] = Field(default_factory=list, description="Everyday words for the finder.")
    figure: FigureSpec = Field(description="The drawing: poses in the words of the trade.")
    switched_off: list[SwitchedOff] = Field(
        default_factory=list, description="Checks switched off here, each with its reason."
    )

    @model_validator(mode="after")
    def _retired_says_where(self) -> Self:
        if self.status == "retired" and not (self.replaced_by or self.retired_because):
            raise ValueError(
                "a retired exercise says what replaces it (replaced_by) or why (retired_because)"
            )
        if self.status != "retired" and (self.replaced_by or self.retired_because):
            raise ValueError("replaced_by and retired_because go with status: retired")
        return self

    @property
    def drawn(self) -> FigureSpec:
        """Give the figure as it is drawn."""
        return drawn_as(self.kind, self.figure)

    @property
    def linked_steps(self) -> dict[str, Step]:
        """Give the ways to other exercises by name: easier, harder, instead."""
        named = {"easier": self.easier, "harder": self.harder, "instead": self.instead}
        return {name: step for name, step in named.items() if step}


class Translates(Record):
    """Which words a translation was made from."""

    code: Code = Field(description="The code of the exercise it translates.")
    version: int = Field(ge=1, strict=False, description="The version of the exercise it was made from.")
    fingerprint: Text = Field(
        description="Of the words it translates; `limberleaf check` prints the present one."
    )


class TranslatedFeelings(Record):
    """The three lists of feelings in another language."""

    fine: Texts = Field(description="The feelings that are fine, in the order of the original.")
    ease_off: Texts = Field(description="The feelings that mean ease off, in the order of the original.")
    stop: Texts = Field(description="The feelings that mean stop, in the order of the original.")


class TranslatedStep(Record):
    """When to take a way, in another language."""

    when: Text = Field(description="The sign by which the patient knows that it is time.")


class TranslatedNeed(Record):
    """A household substitute in another language."""

    instead: Text | None = Field(None, description="What does as well at home.")


class TranslatedFigure(Record):
    """The captions of the figure's poses, in order."""

    captions: Texts = Field(description="One caption a pose, in order.")


def _bare_captions(value: object) -> Any:
    return {"captions": value} if isinstance(value, list) else value


class Translation(Record):
    """The words of an exercise in another language; everything else stays with the original."""

    translates: Translates = Field(
        description="Which exercise, which version and which words were translated."
    )
    status: Status = Field("draft", description="Only `approved` is published.")
    review: Review = Field(description="Who owns the translation, who approved it and when.")
    title: Text = Field(description="The title.")
    aim: Text = Field(description="The aim, in one sentence.")
    affected_word: Text | None = Field(
        None, description="The neutral word for the side, in the form the language needs."
    )
    suits: list[Text] = Field(
        default_factory=list, description="Who it is for, in the order of the original."
    )
    leave_out_if: Texts = Field(description="When not to do it, in the order of the original.")
    equipment: list[TranslatedNeed] = Field(
        default_factory=list, description="The household substitutes, in the order of the original."
    )
    working_side: Text | None = Field(None, description="Which side works.")
    base_side: Text | None = Field(None, description="Which side is down or stands.")
    setup: Texts = Field(description="How to get ready, line by line.")
    steps: Texts = Field(description="What to do, line by line.")
    dose_reason: Text | None = Field(None, description="Why the dose lies outside the usual range.")
    feelings: TranslatedFeelings = Field(description="The three lists of feelings.")
    in_short: list[Text] = Field(min_length=3, max_length=3, description="The three lines to remember.")
    watch_for: list[Text] = Field(default_factory=list, description="Common mistakes, line by line.")
    easier: TranslatedStep | None = Field(None, description="When to step back.")
    harder: TranslatedStep | None = Field(None, description="When to move on.")
    instead: TranslatedStep | None = Field(None, description="When to take the other way.")
    synonyms: list[Text] = Field(
        default_factory=list, description="Everyday words for the finder, in this language."
    )
    figure: Annotated[
        TranslatedFigure, BeforeValidator(_bare_captions, json_schema_input_type=Texts | TranslatedFigure)
    ] = Field(description="The captions of the figure.")
    switched_off: list[SwitchedOff] = Field(
        default_factory=list, description="Checks switched off here, each with its reason."
    )
