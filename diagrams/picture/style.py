"""Colours and line weights, for the screen and for black-and-white print: one set for the whole library."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cache
from typing import Any

from limberleaf.diagrams.adults import NEUTRAL, Adult, colours

OUTLINE = 2.7
"""Width of a body's outline in user units: 2.2 px on a figure 250 px high."""


@dataclass(frozen=True)
class Weights:
    """Line widths in user units (300 to a body's height)."""

    outer: float = OUTLINE
    inner: float = 2.1
    fold: float = 1.3
    hem: float = 1.2
    fine: float = 1.1
    far: float = 0.62
    """A far limb's share of the usual width."""

    def times(self, factor: float) -> Weights:
        """Return heavier or lighter lines, for a picture that is shown smaller or larger."""
        sizes = {name: value * factor for name, value in vars(self).items() if name != "far"}
        return Weights(**sizes, far=self.far)


@dataclass(frozen=True)
class Style:
    """Colours as hex.

    Each sign has its own kind of mark and then its own colour: `affected` is tinted bare skin, `arrow` a solid arrow,
    `felt` dots on the surface, `ghost` a dashed empty outline, `shadow` what is touched, `held` what is held or worn.
    """

    ink: str
    skin: str
    shirt: str
    shorts: str
    hair: str
    shoe: str
    affected: str
    held: str
    ghost: str
    shadow: str
    prop: str
    prop_dark: str
    prop_ink: str
    floor: str
    mat: str
    arrow: str
    felt: str
    frame: str
    paper: str = "#ffffff"
    weights: Weights = field(default_factory=Weights)

    def with_weights(self, factor: float) -> Style:
        """Return the style with all lines heavier or lighter."""
        return replace(self, weights=self.weights.times(factor))


SCREEN = Style(
    ink="#1f2a33",
    skin="#ffffff",
    shirt="#e4ebee",
    shorts="#c9d5da",
    hair="#37434b",
    shoe="#8d9ba3",
    affected="#ee9a5a",
    held="#a9dccb",
    ghost="#5a6872",
    shadow="#cdc6ba",
    prop="#f3efe7",
    prop_dark="#e6dfd2",
    prop_ink="#a59c8b",
    floor="#cfc8bb",
    mat="#f7f4ee",
    arrow="#0b4fa8",
    felt="#86197a",
    frame="#8a949a",
)

PRINT = Style(
    ink="#000000",
    skin="#ffffff",
    shirt="#f0f0f0",
    shorts="#dcdcdc",
    hair="#303030",
    shoe="#b0b0b0",
    affected="#777777",
    held="#ffffff",
    ghost="#555555",
    shadow="#c4c4c4",
    prop="#f2f2f2",
    prop_dark="#e2e2e2",
    prop_ink="#6e6e6e",
    floor="#8c8c8c",
    mat="#f8f8f8",
    arrow="#000000",
    felt="#000000",
    frame="#777777",
)

STYLES: Mapping[str, Style] = {"screen": SCREEN, "print": PRINT}


@cache
def style_of(name: str, adult: Adult = NEUTRAL) -> Style:
    """Return a style with the colours of one adult; KeyError for an unknown name."""
    own: dict[str, Any] = dict(colours(adult, name))
    return replace(STYLES[name], **own)
