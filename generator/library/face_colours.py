"""The clinic's two colours as pages use them, and what keeps them from being read."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from limberleaf.data_files import data_of
from limberleaf.library.colour import TEXT, contrast, distance, nearest
from limberleaf.library.models.face import Colours


@dataclass(frozen=True)
class PageColours:
    """Colours ready for a style sheet: links on light and dark screens; the ground of the head and its letters."""

    light: str
    dark: str
    band: str = ""
    letters: str = ""


@dataclass(frozen=True)
class Faint:
    """A colour that cannot be read: where it was written, on what, the contrast it has, and the nearest that passes."""

    key: str
    colour: str
    ground: str
    ratio: float
    instead: str


@cache
def face_data() -> Mapping[str, Any]:
    """Give what the clinic's colours stand on: names and colours of grounds, letters of a coloured head."""
    data: Mapping[str, Any] = data_of("limberleaf.library", "face.yml")
    return data


def page_colours(colours: Colours) -> PageColours:
    """Work out every colour of the pages; what was not written follows from what was."""
    dark = colours.main_dark or nearest(colours.main, face_data()["grounds"]["dark"].values())
    if colours.band is None:
        return PageColours(colours.main, dark)
    return PageColours(colours.main, dark, colours.band, _letters(colours.band))


def _letters(band: str) -> str:
    """Give the letters of a coloured head that are read best."""
    letters: list[str] = face_data()["letters"]
    return max(letters, key=lambda one: contrast(one, band))


def faint_colours(colours: Colours) -> Iterator[Faint]:
    """Give what does not reach the contrast of text, at its worst place: on light screens, dark ones and paper."""
    grounds = face_data()["grounds"]
    yield from _faint("main", colours.main, {**grounds["light"], **grounds["print"]})
    if colours.main_dark:
        yield from _faint("main_dark", colours.main_dark, grounds["dark"])
    if colours.band and contrast(colours.band, _letters(colours.band)) < TEXT:
        tried = [nearest(colours.band, (one,)) for one in face_data()["letters"]]
        instead = min(tried, key=lambda one: distance(colours.band or "", one))
        yield Faint(
            "band",
            colours.band,
            "its own letters, white or dark",
            contrast(colours.band, _letters(colours.band)),
            instead,
        )


def _faint(key: str, colour: str, grounds: Mapping[str, str]) -> Iterator[Faint]:
    name, worst = min(grounds.items(), key=lambda one: contrast(colour, one[1]))
    ratio = contrast(colour, worst)
    if ratio < TEXT:
        yield Faint(key, colour, name, ratio, nearest(colour, grounds.values()))


def like_a_warning(colours: Colours) -> bool:
    """Tell whether the main colour looks like that of the boxes that say stop."""
    near = face_data()["near"]
    pairs = ((colours.main, "light"), (colours.band, "dark"))
    return any(colour and distance(colour, face_data()["warnings"][mode]) < near for colour, mode in pairs)
