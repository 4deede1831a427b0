"""Photos and clips of the clinic's own, beside the figures of exercises: `media.yml`."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from limberleaf.library.models.record import Record
from limberleaf.library.models.values import Code, LocalText, Text

Print = Annotated[str, Field(pattern=r"^[0-9a-f]{12}$", examples=["3fa91c0d27be"])]
"""The first 12 digits of the hash of a file."""

SideShown = Literal["left", "right", "both"]


class Photo(Record):
    """A photo beside the figure."""

    file: Text = Field(description="A file in content/media: media/kn-03.jpg, or .webp, .png.")
    alt: LocalText = Field(description="What the photo shows, in words, for people who do not see it.")
    side: SideShown = Field(description="The side that works in it; the page for the other side says so.")
    fingerprint: Print = Field(
        description="Of the file, so that another photo is noticed; `limberleaf check` prints the present one."
    )


class Clip(Record):
    """A short film beside the figure. It plays when it is asked to, from the clinic's own file."""

    file: Text = Field(description="A file in content/media: media/kn-03.mp4 (H.264), or .webm.")
    poster: Text = Field(description="The picture shown before it plays: media/kn-03-poster.jpg.")
    alt: LocalText = Field(description="What the clip shows, in a few words.")
    captions: dict[str, Text] = Field(
        min_length=1, description="A WebVTT file for each language: {en: media/kn-03.en.vtt}."
    )
    transcript: LocalText = Field(
        description="All that is said and shown, as a text, in each language: for people who neither see nor hear it."
    )
    side: SideShown = Field(description="The side that works in it; the page for the other side says so.")
    fingerprint: Print = Field(
        description="Of the clip, so that another one is noticed; `limberleaf check` prints the present one."
    )


class MediaItem(Record):
    """The photo and the clip of one exercise."""

    photo: Photo | None = Field(None, description="A photo.")
    clip: Clip | None = Field(None, description="A clip, with poster, captions and transcript.")


class Media(Record):
    """All photos and clips, each under the code of its exercise."""

    items: dict[Code, MediaItem] = Field(description="Photos and clips by the code of the exercise: kn-03.")
