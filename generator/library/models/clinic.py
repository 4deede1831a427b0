"""The clinic's settings, its equipment list and its own words."""

from __future__ import annotations

from typing import Annotated, Literal, Self
from urllib.parse import urlsplit

from pydantic import AfterValidator, BeforeValidator, Field, model_validator

from limberleaf.diagrams.adults import NEUTRAL, Adult, adult_for
from limberleaf.library.models.exercise import PainBands
from limberleaf.library.models.face import Face
from limberleaf.library.models.record import Record
from limberleaf.library.models.values import Ident, LocalText, Name, Span, Text

Language = Annotated[str, Field(pattern=r"^[a-z]{2}$")]


class Emergency(Record):
    """The number to call and the place to go to when life or limb is at stake."""

    number: Text = Field(description="The country's emergency number.")
    place: LocalText = Field(description="Where to go: the nearest emergency department, in words.")


class Urgent(Record):
    """Who to call the same day when the clinic is closed."""

    number: Text = Field(description="The number to call out of hours.")
    name: LocalText = Field(description="What that line is called.")


class TierActions(Record):
    """What to do, by tier, in the clinic's words."""

    emergency: LocalText = Field(description="What to do at a sign that cannot wait: stop, call, go.")
    same_day: LocalText = Field(description="What to do at a sign to be seen today.")
    ease_off: LocalText = Field(description="What to do at a sign to do less.")


class RuleOff(Record):
    """A reading rule that the clinic wants to hear of on no page, with its reason."""

    rule: Ident = Field(description="The code of the reading rule, as `limberleaf check` prints it.")
    reason: Text = Field(description="Why, for the colleague who reads it in a year.")


class ReadingTarget(Record):
    """The reading level the clinic wants its pages at or below, as a US school grade, and rules it does without."""

    target_grade: int = Field(
        6, ge=1, le=12, strict=False, description="The highest US school grade a page may ask for."
    )
    switched_off: list[RuleOff] = Field(
        default_factory=list,
        description="Reading rules switched off on every page; `limberleaf desk --agreement` tells which serve.",
    )


def _as_list(value: object) -> object:
    return [value] if isinstance(value, str) else value


Build = Literal["average", "smaller", "larger", "older"]
Skin = Literal["plain", "light", "medium", "dark"]


class DrawnAdults(Record):
    """Who the figures show: one adult for the whole library, or several that are spread over the exercises."""

    build: Annotated[list[Build], BeforeValidator(_as_list, json_schema_input_type=Build | list[Build])] = (
        Field(
            ["average"],
            min_length=1,
            description="The build: average, smaller, larger or older; of a list each exercise keeps one.",
        )
    )
    skin: Annotated[list[Skin], BeforeValidator(_as_list, json_schema_input_type=Skin | list[Skin])] = Field(
        ["plain"],
        min_length=1,
        description="The skin on screens: plain (white as paper), light, medium, dark; or a list. Paper stays plain.",
    )

    def adult_for(self, code: str) -> Adult:
        """Give the adult of an exercise: the same one on all its pages, whatever else is in the library."""
        return adult_for(code, self.build, self.skin)


class LowerTier(Record):
    """A warning sign that this clinic sends by another route than the published guidance: why, and who decided it."""

    sign: Ident = Field(description="The name of the sign, as `limberleaf check` prints it.")
    tier: Literal["same_day", "ease_off", "none"] = Field(description="The tier that carries the sign here.")
    because: Text = Field(description="Why, in a sentence that a colleague would accept.")
    by: Text = Field(description="The role that answers for it; one of `approvers`.")


class RoleReads(Record):
    """The languages that a role reads well enough to approve."""

    role: Text = Field(description="The role; one of `approvers`.")
    languages: list[Language] = Field(min_length=1, description="The languages it may approve: [en, nl].")


class ReviewCycle(Record):
    """How long a review lasts, how long before its end the editor is reminded, and who may approve."""

    interval: Span = Field(description="How long an approval lasts: 2 years.")
    reminder: Span = Field(description="How long before its end it is listed as due: 3 months.")
    approvers: list[Text] = Field(
        default_factory=list,
        description="The roles that may approve; with them, each approval must be recorded.",
    )
    reads: list[RoleReads] = Field(
        default_factory=list,
        description="Which role reads which languages; a role that is left out may approve all.",
    )
    two_people: bool = Field(
        False,
        description="True: an approval takes two people in two roles, one after the other, at the desk.",
    )
    lowered: list[LowerTier] = Field(
        default_factory=list, description="Signs that a lower tier may carry here, each with its reason."
    )


def _web_address(text: str) -> str:
    """Refuse what no browser takes for an address (RFC 3986): a port past 65535, brackets without an IPv6 number."""
    try:
        parts = urlsplit(text)
        sound = bool(parts.hostname) and (parts.port or 1) > 0
    except ValueError:
        sound = False
    if not sound or parts.query or parts.fragment or not text.isprintable():
        raise ValueError(
            "the address must name a host as browsers read it, such as https://exercises.example.org/"
        )
    return text


class Clinic(Record):
    """The clinic's file: what pages take from it and never have built in."""

    name: LocalText = Field(description="The clinic's full name, in each language or once.")
    short_name: LocalText = Field(description="The name for small places, such as a card.")
    place: LocalText = Field(description="The address of the clinic.")
    country: Annotated[str, Field(pattern=r"^[A-Z]{2}$")] | None = Field(
        None, description="Two capital letters, GB: telephone numbers are checked against its numbering plan."
    )
    phone: Text = Field(description="The number patients call.")
    hours: LocalText = Field(description="When the phone is answered.")
    email: Text | None = Field(None, description="An address for questions that can wait.")
    site: Annotated[
        str,
        Field(
            max_length=400,
            pattern=r"^https?://[^\s]+/$",
            description="The address of the site, with its last /.",
        ),
        AfterValidator(_web_address),
    ]
    emergency: Emergency = Field(description="The emergency number and place of the country.")
    urgent: Urgent = Field(description="Who to call the same day when the clinic is closed.")
    actions: TierActions = Field(description="What to do, by tier, on every caution box.")
    languages: list[Language] = Field(
        default_factory=lambda: ["en"],
        min_length=1,
        description="The languages of the site; the first is at its root.",
    )
    paper: Literal["A4", "Letter"] = Field("A4", description="The paper handouts are set for.")
    share_pictures: bool = Field(
        False,
        description="Write a picture beside each page for links in messages; a first build takes longer.",
    )
    open_data: bool | None = Field(
        None,
        description="false: no files under data/. Without it the library is there as JSON, CSV, FHIR and text too.",
    )
    face: Face | None = Field(
        None, description="The clinic's own logo, colours, font, icon, text at the foot and style sheets."
    )
    handouts: bool = Field(
        False,
        description="Set the paper sheet of each page as PDF with the site and link it; a first build takes longer.",
    )
    figures: DrawnAdults | None = Field(
        None, description="Who the figures show: the build of the body and the tone of its skin."
    )
    frames: bool = Field(
        False,
        description="Write each page once more without head and foot, to be framed in another site, and oEmbed.",
    )
    feedback: bool = Field(
        False,
        description="Ask on each page whether it was clear; answers come by mail or phone, none by the site.",
    )
    reading: ReadingTarget = Field(ReadingTarget(), description="The reading level to stay at or below.")
    practitioner: LocalText | None = Field(
        None,
        description="Who teaches, as your law names them: a registered physiotherapist. Every page says it.",
    )
    pain_bands: PainBands = Field(description="The three bands of pain; together they cover 0 to 10.")
    settle_time: LocalText = Field(description="How soon pain after an exercise should settle.")
    review: ReviewCycle = Field(description="How long approvals last and who may give them.")

    @model_validator(mode="after")
    def _bands_tile(self) -> Self:
        if not self.pain_bands.tile():
            raise ValueError("pain_bands must cover 0 to 10 without a gap or an overlap")
        return self

    def adult_for(self, code: str) -> Adult:
        """Give the adult whom the figure of an exercise shows, by its code."""
        return self.figures.adult_for(code) if self.figures else NEUTRAL

    @property
    def language(self) -> str:
        """Give the library's first language, whose pages are at the root."""
        return self.languages[0]


class Item(Record):
    """A piece of equipment, what does as well at home and what must not be used."""

    name: LocalText = Field(description="What it is called, in each language or once.")
    instead: LocalText | None = Field(None, description="What does as well at home.")
    never: LocalText | None = Field(None, description="What must not be used in its place.")
    support: bool = Field(False, description="May it be held on to in balance work?")


class Equipment(Record):
    """All the equipment exercises may name."""

    items: dict[Name, Item] = Field(
        description="The pieces of equipment, each under the name that exercises use."
    )


class WordException(Record):
    """A long or rare word that is allowed, and why."""

    word: Text = Field(description="The word.")
    reason: Text = Field(description="Why it is allowed.")


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
    exceptions: list[WordException] = Field(
        default_factory=list, description="Long or rare words that are allowed, each with its reason."
    )
    syllables: dict[Text, int] = Field(
        default_factory=dict, description="Syllable counts of words that are counted wrong."
    )
    synonyms: dict[Text, list[Text]] = Field(
        default_factory=dict, description="Everyday words for the finder: {kneecap: [knee]}."
    )
