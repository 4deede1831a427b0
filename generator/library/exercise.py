"""An exercise as a typed entry, and its translation."""

from __future__ import annotations

from typing import Annotated, Any, Literal, Self

from pydantic import BeforeValidator, Field, model_validator

from limberleaf.diagrams.language.spec import FigureSpec
from limberleaf.library.record import Entry, Record, Review, Status, SwitchedOff
from limberleaf.library.values import Band, Code, Count, Duration, Ident, Name, Text, Texts

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

    out: Duration
    pause: Duration | None = None
    back: Duration


class AsComfortable(Record):
    """As many repetitions as feel comfortable, up to a ceiling."""

    as_many_as_comfortable: Literal[True]
    up_to: int = Field(ge=1, le=1000, strict=False)


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
    times_a_day: Count | None = None
    every: Duration | None = Field(None, description="Instead of times_a_day: 1 h means hourly while awake.")
    days_a_week: Count = Field(description="On how many days: 3, or 7 for every day.")

    @model_validator(mode="after")
    def _one_way_to_count(self) -> Self:
        if (self.repetitions is None) == (self.duration is None):
            raise ValueError("a dose has either repetitions or a duration")
        if (self.times_a_day is None) == (self.every is None):
            raise ValueError("a dose has either times_a_day or every")
        if self.days_a_week.high > 7 or self.days_a_week.low < 1:
            raise ValueError("days_a_week lies between 1 and 7")
        return self


class Need(Record):
    """Something the exercise needs, and what does as well at home."""

    item: Name
    instead: Text | None = None
    optional: bool = False


class PainBands(Record):
    """The three bands of pain from 0 to 10."""

    carry_on: Band
    ease_off: Band
    stop: Band

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

    fine: Texts
    ease_off: Texts
    stop: Texts
    bands: PainBands | None = Field(None, description="Only to override the clinic's bands.")


class Step(Record):
    """A way to another exercise, and when to take it."""

    exercise: Code
    when: Text


class Exercise(Entry):
    """One exercise: what it is for, how to do it, how much, what to feel, when to stop, and its figure."""

    code: Code = Field(description="The code is the address: kn-03. A new title never changes it.")
    title: Text
    replaced_by: Code | None = Field(None, description="With status retired: the exercise to go to.")
    retired_because: Text | None = Field(None, description="With status retired: why it was taken away.")
    region: Region
    kind: Kind
    tags: list[Name] = Field(default_factory=list)
    aim: Text = Field(description="One sentence: what it does for the patient.")
    affected_word: Text = Field("sore", description="The neutral word for the side: sore, stiff, weak ...")
    suits: list[Text] = Field(default_factory=list)
    leave_out_if: Texts
    position: Text = Field(description="The posture it starts in; see diagrams/postures.yml.")
    equipment: list[Need] = Field(default_factory=list)
    sides: Sides = Field(description="one: left and right pages; each: both in turn; both: at once.")
    working_side: Text | None = Field(None, description="Side lying, one leg, step: which side works.")
    base_side: Text | None = Field(None, description="Which side is down or stands.")
    needs_clearance: bool = Field(False, description="Only when the clinician says so.")
    setup: Texts
    steps: Texts
    dose: Dose
    dose_reason: Text | None = Field(None, description="Why the dose lies outside the usual range.")
    feelings: Feelings
    in_short: Annotated[list[Text], Field(min_length=3, max_length=3)]
    watch_for: list[Text] = Field(default_factory=list)
    easier: Step | None = None
    harder: Step | None = None
    instead: Step | None = Field(None, description="Another way to the same aim.")
    cautions: list[Ident] = Field(default_factory=list, description="Extra ones; rules add the others.")
    synonyms: list[Text] = Field(default_factory=list, description="Everyday words for the finder.")
    figure: FigureSpec
    switched_off: list[SwitchedOff] = Field(default_factory=list)

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
    def linked_steps(self) -> dict[str, Step]:
        """Give the ways to other exercises by name: easier, harder, instead."""
        named = {"easier": self.easier, "harder": self.harder, "instead": self.instead}
        return {name: step for name, step in named.items() if step}


class Translates(Record):
    """Which words a translation was made from."""

    code: Code
    version: int = Field(ge=1, strict=False)
    fingerprint: Text = Field(
        description="Of the words it translates; `limberleaf check` prints the present one."
    )


class TranslatedFeelings(Record):
    """The three lists of feelings in another language."""

    fine: Texts
    ease_off: Texts
    stop: Texts


class TranslatedStep(Record):
    """When to take a way, in another language."""

    when: Text


class TranslatedNeed(Record):
    """A household substitute in another language."""

    instead: Text | None = None


class TranslatedFigure(Record):
    """The captions of the figure's poses, in order."""

    captions: Texts


def _bare_captions(value: object) -> Any:
    return {"captions": value} if isinstance(value, list) else value


class Translation(Record):
    """The words of an exercise in another language; everything else stays with the original."""

    translates: Translates
    status: Status = "draft"
    review: Review
    title: Text
    aim: Text
    affected_word: Text | None = None
    suits: list[Text] = Field(default_factory=list)
    leave_out_if: Texts
    equipment: list[TranslatedNeed] = Field(default_factory=list)
    working_side: Text | None = None
    base_side: Text | None = None
    setup: Texts
    steps: Texts
    dose_reason: Text | None = None
    feelings: TranslatedFeelings
    in_short: Annotated[list[Text], Field(min_length=3, max_length=3)]
    watch_for: list[Text] = Field(default_factory=list)
    easier: TranslatedStep | None = None
    harder: TranslatedStep | None = None
    instead: TranslatedStep | None = None
    synonyms: list[Text] = Field(default_factory=list)
    figure: Annotated[
        TranslatedFigure, BeforeValidator(_bare_captions, json_schema_input_type=Texts | TranslatedFigure)
    ]
    switched_off: list[SwitchedOff] = Field(default_factory=list)
