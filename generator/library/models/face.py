"""The clinic's own face: logo, small icon, two colours, a font, a text at the foot, style sheets."""

from __future__ import annotations

from typing import Annotated

from pydantic import AfterValidator, Field

from limberleaf.library.models.record import Record
from limberleaf.library.models.values import LocalText, Text

Colour = Annotated[
    str,
    Field(pattern=r"^#([0-9a-fA-F]{3}|[0-9a-fA-F]{6})$", examples=["#0b5a5e"]),
    AfterValidator(str.lower),
]
"""A colour as `#rgb` or `#rrggbb`."""


class Logo(Record):
    """The clinic's logo, in the head of every page."""

    file: Text = Field(description="A file in content/face: face/logo.svg, or .png, .webp, .jpg.")
    dark: Text | None = Field(
        None, description="Another file for dark screens; without it the logo stands on white there."
    )
    alt: LocalText = Field(description="What the logo shows, in words, for people who do not see it.")
    holds_name: bool = Field(
        False, description="The clinic's name is part of the logo, so it is not written beside it."
    )


class Colours(Record):
    """Two colours; each must have the contrast of WCAG 2.2 wherever it stands."""

    main: Colour = Field(description="The colour of links, marks and buttons: #0b5a5e.")
    main_dark: Colour | None = Field(
        None,
        description="The same for dark screens; without it, the nearest of its hue that can be read there.",
    )
    band: Colour | None = Field(
        None,
        description="The ground of the head of each page; its letters become dark or white by themselves.",
    )


class Font(Record):
    """A font of your own, for pages."""

    file: Text = Field(description="A file in content/face: face/our-font.woff2, or .woff, .otf, .ttf.")
    bold: Text | None = Field(
        None, description="The file of the bold letters; without it browsers thicken them."
    )
    licence: Text = Field(
        description="The licence by which you may put it on a website: SIL Open Font License 1.1."
    )


class Face(Record):
    """What makes pages look like the clinic's own. Every file lies in content/face."""

    logo: Logo | None = Field(None, description="The logo, in the head of every page.")
    icon: Text | None = Field(
        None,
        description="The small picture of a browser's tab: face/icon.svg, or .png of 48 pixels or more, .ico.",
    )
    colours: Colours | None = Field(None, description="Two colours, refused when they cannot be read.")
    font: Font | None = Field(None, description="A font of your own, with its licence.")
    footer: LocalText | None = Field(
        None,
        description="A text at the foot of every page, in each language or once: who runs the service.",
    )
    styles: list[Text] = Field(
        default_factory=list,
        description="Style sheets of your own, read after ours: face/own.css. Never hide a caution box.",
    )
