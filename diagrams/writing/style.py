"""Colours and line weights, for the screen and for black-and-white print."""

from __future__ import annotations

from dataclasses import dataclass

OUTLINE = 2.6
"""Width of a body's outline in user units: 2.2 px on a figure 250 px high."""


@dataclass(frozen=True)
class Style:
    """Colours as hex; widths in user units (300 to a body's height)."""

    ink: str
    skin: str
    shirt: str
    shorts: str
    hair: str
    far_ink: str
    far_skin: str
    far_shirt: str
    far_shorts: str
    affected_ink: str
    affected_fill: str
    affected_cloth: str
    ghost_ink: str
    ghost_fill: str
    ghost_plain_ink: str
    ghost_plain_fill: str
    prop: str
    prop_dark: str
    prop_ink: str
    held: str
    held_fill: str
    floor: str
    mat: str
    arrow: str
    highlight: str
    highlight_ink: str
    paper: str = "#ffffff"
    outline: float = OUTLINE
    thin: float = 1.3


SCREEN = Style(
    ink="#1d2b33",
    skin="#ffffff",
    shirt="#dfe8ea",
    shorts="#b4c4ca",
    hair="#37474f",
    far_ink="#55646c",
    far_skin="#d9e0e3",
    far_shirt="#c6d1d5",
    far_shorts="#a3b3b9",
    affected_ink="#b3441a",
    affected_fill="#ffe6d6",
    affected_cloth="#f7c9ad",
    ghost_ink="#d9b3a1",
    ghost_fill="#fdf5f0",
    ghost_plain_ink="#b9c3c8",
    ghost_plain_fill="#f6f8f9",
    prop="#e9e4da",
    prop_dark="#d8d0c1",
    prop_ink="#b9b0a0",
    held="#0b5a5e",
    held_fill="#cfe3e2",
    floor="#c9c3b6",
    mat="#f1ede4",
    arrow="#b3441a",
    highlight="#ef9f7a",
    highlight_ink="#8f3210",
)

PRINT = Style(
    ink="#000000",
    skin="#ffffff",
    shirt="#efefef",
    shorts="#dadada",
    hair="#3a3a3a",
    far_ink="#333333",
    far_skin="#e0e0e0",
    far_shirt="#d6d6d6",
    far_shorts="#cccccc",
    affected_ink="#000000",
    affected_fill="#6a6a6a",
    affected_cloth="#555555",
    ghost_ink="#a8a8a8",
    ghost_fill="#f6f6f6",
    ghost_plain_ink="#b4b4b4",
    ghost_plain_fill="#fafafa",
    prop="#ececec",
    prop_dark="#dcdcdc",
    prop_ink="#5c5c5c",
    held="#222222",
    held_fill="#ffffff",
    floor="#6e6e6e",
    mat="#f4f4f4",
    arrow="#000000",
    highlight="#ffffff",
    highlight_ink="#000000",
)

STYLES = {"screen": SCREEN, "print": PRINT}
