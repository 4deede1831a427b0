"""The clinic's settings, its equipment list and its own words."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from limberleaf.library.exercise import PainBands
from limberleaf.library.record import Record
from limberleaf.library.values import Ident, LocalText, Name, Span, Text

Language = Annotated[str, Field(pattern=r"^[a-z]{2}$")]


class Emergency(Record):
    """The number to call and the place to go to when life or limb is at stake."""

    number: Text
    place: LocalText


class Urgent(Record):
    """Who to call the same day when the clinic is closed."""

    number: Text
    name: LocalText


class TierActions(Record):
    """What to do, by tier, in the clinic's words."""

    emergency: LocalText
    same_day: LocalText
    ease_off: LocalText


class ReadingTarget(Record):
    """The reading level the clinic wants its pages at or below, as a US school grade."""

    target_grade: int = Field(6, ge=1, le=12, strict=False)


class LowerTier(Record):
    """A warning sign that this clinic sends by another route than the published guidance: why, and who said so."""

    sign: Ident = Field(description="The name of the sign, as `limberleaf check` prints it.")
    tier: Literal["same_day", "ease_off", "none"]
    because: Text
    by: Text = Field(description="The role that answers for it; one of `approvers`.")


class ReviewCycle(Record):
    """How long a review lasts, how long before its end the editor is reminded, and who may approve."""

    interval: Span
    reminder: Span
    approvers: list[Text] = Field(
        default_factory=list,
        description="The roles that may approve; with them, each approval must be recorded.",
    )
    lowered: list[LowerTier] = Field(
        default_factory=list, description="Signs that a lower tier may carry here, each with its reason."
    )


class Clinic(Record):
    """The clinic's file: what pages take from it and never have built in."""

    name: LocalText
    short_name: LocalText
    place: LocalText
    phone: Text
    hours: LocalText
    email: Text | None = None
    site: Annotated[
        str,
        Field(pattern=r"^https?://[^\s]+/$", description="The address the site stands at, with its last /."),
    ]
    emergency: Emergency
    urgent: Urgent
    actions: TierActions
    languages: Annotated[list[Language], Field(min_length=1)] = Field(default_factory=lambda: ["en"])
    paper: Literal["A4", "Letter"] = "A4"
    share_pictures: bool = Field(
        False,
        description="Write a picture beside each page for links in messages; a first build takes longer.",
    )
    reading: ReadingTarget = ReadingTarget()
    pain_bands: PainBands
    settle_time: LocalText
    review: ReviewCycle

    @model_validator(mode="after")
    def _bands_tile(self) -> Self:
        if not self.pain_bands.tile():
            raise ValueError("pain_bands must cover 0 to 10 without a gap or an overlap")
        return self

    @property
    def language(self) -> str:
        """Give the library's first language, whose pages stand at the root."""
        return self.languages[0]


class Item(Record):
    """A piece of equipment, what does as well at home and what must not be used."""

    name: LocalText
    instead: LocalText | None = None
    never: LocalText | None = None
    support: bool = Field(False, description="May it be held on to in balance work?")


class Equipment(Record):
    """All the equipment exercises may name."""

    items: dict[Name, Item]


class WordException(Record):
    """A long or rare word that stands, and why."""

    word: Text
    reason: Text


class Words(Record):
    """The clinic's additions to the reading checks and the finder."""

    explained: dict[Text, Text] = Field(
        default_factory=dict, description="Words of the trade that pages explain, and what they mean."
    )
    preferred: dict[Text, Text] = Field(
        default_factory=dict, description="Words to avoid, and what to write."
    )
    names: list[Text] = Field(default_factory=list, description="Names left out of the scores.")
    easy: list[Text] = Field(default_factory=list, description="Words this clinic's readers know.")
    exceptions: list[WordException] = Field(default_factory=list)
    syllables: dict[Text, int] = Field(default_factory=dict)
    synonyms: dict[Text, list[Text]] = Field(
        default_factory=dict, description="Everyday words for the finder: {kneecap: [knee]}."
    )
