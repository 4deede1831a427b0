"""Who is drawn: the build of the body and the tone of its skin.

A build is a table of factors (`data/adults.yml`) on the girths of the neutral adult and on the places of hips and
shoulders. It is chosen for a stretch of work (`with_build`), since solving, checking and drawing all ask for the body
they work on; what depends on the body is worked out once for each build (`per_build`). A tone only colours the picture.

Nothing heavy is imported here: settings are read without a body.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from functools import cache, wraps
from typing import Any, ParamSpec, TypeVar
from zlib import crc32

from limberleaf.diagrams.sides import load_data

AVERAGE, PLAIN = "average", "plain"
"""The build and the tone where nothing else is asked for; plain skin is left as white as the paper."""

P = ParamSpec("P")
R = TypeVar("R")

_BUILD: ContextVar[str] = ContextVar("build", default=AVERAGE)


@dataclass(frozen=True)
class Adult:
    """One of the neutral adults by the names of `data/adults.yml`."""

    build: str = AVERAGE
    skin: str = PLAIN


NEUTRAL = Adult()
"""The adult that is drawn where a clinic asks for no other."""


@cache
def _table() -> Mapping[str, Any]:
    return load_data("adults")


def build_names() -> tuple[str, ...]:
    """Return the names of the builds."""
    return tuple(_table()["builds"])


def skin_names() -> tuple[str, ...]:
    """Return the names of the skin tones."""
    return tuple(_table()["skins"])


def colours(adult: Adult, style: str) -> Mapping[str, str]:
    """Return the colours (hex by name) in which an adult differs from the style; KeyError for an unknown name.

    On paper no skin is toned, since a photocopy must tell the affected limb from all others.
    """
    hair = _table()["builds"][adult.build].get("hair", {}).get(style, {})
    tone = _table()["skins"][adult.skin]
    return {**(tone if style == "screen" else {}), **hair}


def adult_for(code: str, builds: Sequence[str], skins: Sequence[str]) -> Adult:
    """Choose the adult of an exercise among builds and tones, always the same one for the same code.

    Both are chosen apart, so that all combinations come up; a new exercise changes no other.
    """
    number = crc32(code.encode())
    return Adult(builds[number % len(builds)], skins[number // len(builds) % len(skins)])


@contextmanager
def with_build(name: str) -> Iterator[None]:
    """Let everything inside work on a body of this build; KeyError for an unknown name."""
    token = _BUILD.set(name if name in _table()["builds"] else _unknown(name))
    try:
        yield
    finally:
        _BUILD.reset(token)


def _unknown(name: str) -> str:
    raise KeyError(name)


def per_build(make: Callable[P, R]) -> Callable[P, R]:
    """Keep what a function returns, for each build of its own: `functools.cache` for what depends on the body."""
    kept: dict[tuple[object, ...], R] = {}

    @wraps(make)
    def once(*args: P.args, **kwargs: P.kwargs) -> R:
        key = (_BUILD.get(), *args, *kwargs.items())
        if key not in kept:
            kept[key] = make(*args, **kwargs)
        return kept[key]

    return once


_EVEN = (0.0, 0.5, 1.0)
_ONE = (1.0, 1.0, 1.0)


def _row() -> Mapping[str, Any]:
    row: Mapping[str, Any] = _table()["builds"][_BUILD.get()]
    return row


def limb_girths(segment: str) -> tuple[Sequence[float], Sequence[float]]:
    """Return places along a segment of a limb (0 near, 1 far) and the factors on its girth there."""
    return _EVEN, _row().get(segment, _ONE)


def trunk_girths() -> tuple[Sequence[float], Mapping[str, Sequence[float]]]:
    """Return heights (H, upright) and the factors there on how far the trunk reaches back, forward and aside."""
    rows = _row().get("trunk", [[0.5, *_ONE]])
    heights, *factors = zip(*rows, strict=True)
    return heights, dict(zip(("back", "front", "side"), factors, strict=True))


def neck_girth() -> float:
    """Return the factor on the neck's girth."""
    return float(_row().get("neck", 1.0))


def outward(segment: str) -> float:
    """Return how much further out (H) a segment is hung than in the average adult."""
    return float(_row().get("outward", {}).get(segment, 0.0))


def girth_at(segment: str, along: float = 0.0, *, height: float = 0.0, front: bool = False) -> float:
    """Return the factor on the body's radius at a place of a segment (without its side).

    `along`: share of the way down a limb. `height` (H, upright) and `front` (else the back) say where on the trunk.
    """
    if segment in ("thigh", "shank", "upper_arm", "forearm"):
        return _between(*limb_girths(segment), along)
    if segment == "neck":
        return neck_girth()
    if segment in ("pelvis", "lumbar_low", "lumbar", "thorax_low", "thorax_mid", "thorax"):
        heights, factors = trunk_girths()
        return _between(heights, factors["front" if front else "back"], height)
    return 1.0


def _between(places: Sequence[float], values: Sequence[float], at: float) -> float:
    """Return the value at a place, on straight lines between the given ones and level beyond them."""
    number = bisect_right(places, at)
    if number in (0, len(places)):
        return float(values[max(number - 1, 0)])
    low, high = places[number - 1], places[number]
    share = (at - low) / (high - low)
    return float(values[number - 1] + (values[number] - values[number - 1]) * share)
