"""Colours of screens: the contrast of WCAG 2.2, and the nearest colour that reaches one.

Distances and the way from one colour to another are those of OKLab (B. Ottosson 2020; CSS Color Module Level 4, 9.2),
in which equal steps look equal and a colour keeps its hue when only its lightness changes.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

TEXT = 4.5
"""Least contrast of text (WCAG 2.2, 1.4.3, level AA)."""

_STEPS = 500
_TO_LMS = (
    (0.4122214708, 0.5363325363, 0.0514459929),
    (0.2119034982, 0.6806995451, 0.1073969566),
    (0.0883024619, 0.2817188376, 0.6299787005),
)
_TO_LAB = (
    (0.2104542553, 0.7936177850, -0.0040720468),
    (1.9779984951, -2.4285922050, 0.4505937099),
    (0.0259040371, 0.7827717662, -0.8086757660),
)
_FROM_LAB = (
    (1, 0.3963377774, 0.2158037573),
    (1, -0.1055613458, -0.0638541728),
    (1, -0.0894841775, -1.2914855480),
)
_FROM_LMS = (
    (4.0767416621, -3.3077115913, 0.2309699292),
    (-1.2684380046, 2.6097574011, -0.3413193965),
    (-0.0041960863, -0.7034186147, 1.7076147010),
)

Triple = tuple[float, float, float]


def channels(colour: str) -> Triple:
    """Give red, green and blue from 0 to 1 of `#rgb` or `#rrggbb`."""
    digits = colour.removeprefix("#")
    digits = "".join(digit * 2 for digit in digits) if len(digits) == 3 else digits
    red, green, blue = (int(digits[at : at + 2], 16) / 255 for at in (0, 2, 4))
    return red, green, blue


def contrast(one: str, other: str) -> float:
    """Give the contrast ratio of two colours, from 1 to 21 (WCAG 2.2, definition of contrast ratio)."""
    low, high = sorted((_luminance(one), _luminance(other)))
    return (high + 0.05) / (low + 0.05)


def least_contrast(colour: str, others: Iterable[str]) -> float:
    """Give the lowest contrast of a colour with any of others."""
    return min(contrast(colour, other) for other in others)


def nearest(colour: str, others: Iterable[str], least: float = TEXT) -> str:
    """Give the nearest colour of the same hue that has at least this contrast with all of `others`.

    A colour that reaches it is given back in full form. Raises ValueError when no colour can.
    """
    others = tuple(others)
    if least_contrast(colour, others) >= least:
        return _hex(channels(colour))
    lightness, a, b = oklab(colour)
    found = []
    for step in range(_STEPS + 1):
        candidate = _in_gamut(step / _STEPS, a, b)
        if least_contrast(candidate, others) >= least:
            found.append((math.dist((lightness, a, b), oklab(candidate)), candidate))
    if not found:
        raise ValueError("no colour has this contrast with all of them")
    return min(found)[1]


def distance(one: str, other: str) -> float:
    """Give how far apart two colours look, in OKLab: 0 is the same, black and white are 1 apart."""
    return math.dist(oklab(one), oklab(other))


def _linear(part: float) -> float:
    return part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4


def _luminance(colour: str) -> float:
    red, green, blue = (_linear(part) for part in channels(colour))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def _times(matrix: tuple[Triple, Triple, Triple], values: Triple) -> Triple:
    one, two, three = (
        sum(factor * value for factor, value in zip(row, values, strict=True)) for row in matrix
    )
    return one, two, three


def oklab(colour: str) -> Triple:
    """Give lightness from 0 to 1, and the two axes green-red and blue-yellow, of a colour in OKLab."""
    red, green, blue = channels(colour)
    lms = _times(_TO_LMS, (_linear(red), _linear(green), _linear(blue)))
    return _times(_TO_LAB, (math.cbrt(lms[0]), math.cbrt(lms[1]), math.cbrt(lms[2])))


def _in_gamut(lightness: float, a: float, b: float) -> str:
    """Give the colour of this lightness and hue, as strong as `a` and `b` say or as a screen can."""
    for share in range(50, -1, -1):
        lms = _times(_FROM_LAB, (lightness, a * share / 50, b * share / 50))
        rgb = _times(_FROM_LMS, (lms[0] ** 3, lms[1] ** 3, lms[2] ** 3))
        if all(-1e-4 <= part <= 1 + 1e-4 for part in rgb):
            return _hex((_coded(rgb[0]), _coded(rgb[1]), _coded(rgb[2])))
    return "#000000" if lightness < 0.5 else "#ffffff"


def _coded(part: float) -> float:
    part = min(max(part, 0.0), 1.0)
    return part * 12.92 if part <= 0.0031308 else 1.055 * part ** (1 / 2.4) - 0.055


def _hex(rgb: Triple) -> str:
    return "#" + "".join(f"{round(part * 255):02x}" for part in rgb)
