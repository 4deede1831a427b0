"""What every entry carries besides its words: its state, its sources and its review."""

from __future__ import annotations

from datetime import date
from typing import Annotated, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, model_validator

from limberleaf.library.models.values import Text

Status = Literal["draft", "in_review", "approved", "retired"]
Side = Literal["left", "right"]


def _calendar_day(value: object) -> object:
    """Read only `2026-09-14`; a bare number or a time of day is a mistake, not a date."""
    if isinstance(value, date):
        return value
    try:
        return date.fromisoformat(value) if isinstance(value, str) and len(value) == 10 else value
    except ValueError:
        raise ValueError("there is no such day; write year-month-day, such as 2026-09-14") from None


Day = Annotated[
    date, BeforeValidator(_calendar_day), Field(strict=True, description="Year-month-day: 2026-09-14.")
]


class Record(BaseModel):
    """A mapping of an entry file: unknown keys are findings, values are frozen."""

    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True)


class Citation(Record):
    """Where a claim comes from. Sources stay in the record; the patient's page does not print them."""

    claim: Text = Field(description="What the source is for: dose, steps, cautions ...")
    cite: Text = Field(description="Author, year, title; or `common practice`, `from memory`.")
    status: Literal["published", "common_practice", "memory"] = Field(
        "published", description="How it was checked: published, common_practice or memory."
    )
    doi: Text | None = Field(None, description="The DOI of a published source.")
    url: Text | None = Field(None, description="The address of a source without a DOI.")
    note: Text | None = Field(None, description="What the source says, or how it was read.")


class Review(Record):
    """Who owns the entry, who approved it, when it was last reviewed and when it is due."""

    owner: Text = Field(description="The role that keeps the entry, not a person's name.")
    approved_by: Text | None = Field(None, description="The role that approved it.")
    reviewed: Day | None = Field(None, description="The day of the last full review.")
    due: Day | None = Field(None, description="The day the next review is due.")
    version: int = Field(1, ge=1, strict=False, description="Counts up with every major edit.")

    @model_validator(mode="after")
    def _due_follows_reviewed(self) -> Review:
        if self.reviewed and self.due and self.due <= self.reviewed:
            raise ValueError("due must be later than reviewed")
        return self


class Entry(Record):
    """What exercises, ladders, collections and cautions share."""

    status: Status = Field("draft", description="Only `approved` (and redirects of `retired`) are published.")
    sources: list[Citation] = Field(
        default_factory=list, description="Where the claims of the entry come from; patients do not see them."
    )
    review: Review = Field(description="Who owns the entry, who approved it and when it is due.")

    @property
    def is_published(self) -> bool:
        """Tell whether the entry's page goes out."""
        return self.status == "approved"


class SwitchedOff(Record):
    """A rule switched off in one entry, with its reason; the desk lists them."""

    rule: Text = Field(description="The code of the finding to switch off.")
    text: Text | None = Field(
        None, description="Only where this wording is used; without it, in the whole entry."
    )
    reason: Text = Field(description="Why, for the colleague who reads it in a year.")
