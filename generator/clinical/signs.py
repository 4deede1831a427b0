"""Warning signs by name: which pages must carry them, in which tier at least, and which texts speak of them."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from limberleaf.clinical.cautions import applies, published_cautions, rule_fits
from limberleaf.data_files import safe_load
from limberleaf.library import Library
from limberleaf.library.models.exercise import Exercise
from limberleaf.library.models.groups import TIERS, Caution, Rule, Tier


@dataclass(frozen=True)
class Sign:
    """One warning sign. `momentary`: felt for a moment while moving it means stop, not yet get help."""

    name: str
    tier: Tier
    pattern: re.Pattern[str]
    source: str
    momentary: bool


@cache
def _data() -> Mapping[str, Any]:
    return dict(safe_load(files(__package__).joinpath("data/signs.yml").read_text("utf-8")))


@cache
def signs() -> Mapping[str, Sign]:
    """Give every known sign by name."""
    return {
        name: Sign(
            name,
            row["tier"],
            re.compile(row["says"], re.IGNORECASE),
            row["source"],
            row.get("momentary", False),
        )
        for name, row in _data()["signs"].items()
    }


@cache
def _required() -> tuple[tuple[Rule | None, tuple[str, ...]], ...]:
    requirements = []
    for row in _data()["required"]:
        keys = {key: value for key, value in row.items() if key != "signs"}
        requirements.append((Rule(**keys) if keys else None, tuple(row["signs"])))
    return tuple(requirements)


def required_for(exercise: Exercise) -> dict[str, None]:
    """Give the names of the signs that an exercise's page must carry."""
    return dict.fromkeys(
        name for rule, names in _required() if rule is None or rule_fits(rule, exercise) for name in names
    )


def signs_in(text: str) -> Iterator[Sign]:
    """Give the signs an English text speaks of."""
    for sign in signs().values():
        if sign.pattern.search(text):
            yield sign


def at_least(tier: Tier, wanted: Tier) -> bool:
    """Tell whether a tier is as urgent as the wanted one, or more."""
    return TIERS.index(tier) <= TIERS.index(wanted)


def wanted_tier(library: Library, sign: Sign) -> Tier | None:
    """Give the lowest tier this clinic allows for a sign; None when it leaves the sign out, with its reason."""
    for lowered in library.settings.review.lowered:
        if lowered.sign == sign.name:
            return None if lowered.tier == "none" else lowered.tier
    return sign.tier


def carried(cautions: Iterable[Caution]) -> dict[str, Tier]:
    """Give the signs that cautions cover, each with its most urgent tier."""
    found: dict[str, Tier] = {}
    for caution in cautions:
        for name in caution.covers:
            if name not in found or at_least(caution.tier, found[name]):
                found[name] = caution.tier
    return found


def cautions_of(library: Library, exercise: Exercise) -> list[Caution]:
    """Give the approved cautions on an exercise's page."""
    return [caution for caution in published_cautions(library) if applies(caution, exercise)]


def declares_signs(library: Library) -> bool:
    """Tell whether the library's cautions say what they cover."""
    return any(caution.covers for caution in published_cautions(library))


@cache
def box_tier(text: str) -> Tier | None:
    """Give the most urgent tier of the signs an English line names, when it is more than a momentary feeling."""
    tiers = [sign.tier for sign in signs_in(text) if not sign.momentary and sign.tier != "ease_off"]
    return min(tiers, key=TIERS.index, default=None)
