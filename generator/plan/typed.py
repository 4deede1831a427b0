"""What a clinician types: several codes with sides and doses, as in `kn-03L kn-06L 3x8 10s 2/day 3/week`.

The twin of `typed` in pages/assets/plan-rules.js; both are held to tests/plan/plan_cases.yml.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from limberleaf.plan.model import PickSide

LONGEST = 400
_PART = re.compile(
    r"([a-z]{2,4})[ -]?([0-9]{1,3})[ -]?(left|right|both|[lrb])?(?![a-z0-9])"
    r"|([0-9]{1,2})[x×]([0-9]{1,3})(?![0-9])"
    r"|([0-9]{1,4}) ?s(?:ec)?(?![a-z])"
    r"|([0-9])/d(?:ay)?(?![a-z])"
    r"|([0-9])/w(?:eek)?(?![a-z])"
    r"|[^\s,;]+",
    re.IGNORECASE | re.ASCII,
)
_SIDES: dict[str, PickSide] = {"l": "left", "r": "right", "b": "turn"}


@dataclass
class Typed:
    """One code that was typed, with its side and the numbers behind it; times in seconds."""

    code: str
    side: PickSide = "none"
    changes: dict[str, int] = field(default_factory=dict)


def read_typed(text: str) -> tuple[list[Typed], list[str]]:
    """Give what was typed and what could not be read; a dose belongs to the code before it."""
    found: list[Typed] = []
    rest: list[str] = []
    for part in _PART.finditer(text[:LONGEST]):
        area, number, side, sets, repeats, hold, a_day, a_week = part.groups()
        if area:
            found.append(
                Typed(f"{area.lower()}-{number.zfill(2)}", _SIDES.get((side or " ")[0].lower(), "none"))
            )
        elif not found or part.lastindex is None:
            rest.append(part[0])
        elif sets:
            found[-1].changes |= {"sets": int(sets), "repetitions": int(repeats)}
        elif hold:
            found[-1].changes["hold"] = int(hold)
        elif a_day:
            found[-1].changes["times_a_day"] = int(a_day)
        else:
            found[-1].changes["days_a_week"] = int(a_week)
    return found, rest
