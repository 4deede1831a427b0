"""What a clinician types: several codes with sides and doses, and what is for the whole plan.

`kn-03r 2x 5s kn-06l 3x8 2/day 3d 4w mon wed 2027-01-04 note-03`: behind a code its side (l, r, b for one side, then the
other), sets (2x), sets and repeats (3x8), repeats (x8), a time to hold or to go on for (10s, 5min), times a day
(2/day) and days a week (3d or 3/week); anywhere weeks (4w), days (mon), the day of the review and notes. A clear and
small grammar: what is not in it is refused, never guessed at, and so is a side or a number that was typed already. The
twin of `typed` in pages/assets/plan-rules.js; both are held to tests/plan/plan_cases.yml.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from limberleaf.library.models.exercise import Exercise
from limberleaf.library.models.values import Count
from limberleaf.plan.limits import limits
from limberleaf.plan.model import Pick, PickSide

LONGEST = 2000
"""Signs that can be typed; the longest plan needs about 1200."""
_SPACE = re.compile("[\t-\r \xa0\u1680\u2000-\u200a\u2028\u2029\u202f\u205f\u3000\ufeff]+")
"""What a script takes for a space (ECMA-262, white space and line terminators)."""
_NOT_OTHERS = r"(?![a-z0-9-]| ?x? ?/| (?:s|sec|m|min|d|days?|w|wk|weeks?)(?![a-z0-9]))"
"""Behind a number of repeats: it is not the beginning of 2/day or of 10 s."""
_PART = re.compile(
    r"(?P<area>[a-z]{2,4})[ -]?(?P<number>[0-9]{1,3})[ -]?(?P<side>left|right|both|[lrb])?(?![a-z0-9/×])"
    r"|(?P<review>20[0-9]{2}-[0-9]{2}-[0-9]{2})(?![0-9])"
    r"|(?P<often>[0-9]) ?x? ?/ ?(?P<per>d|w)[a-z]*"
    r"|(?P<sets>[0-9]{1,2}) ?[x×](?: ?(?P<low>[0-9]{1,3})(?:-(?P<high>[0-9]{1,3}))?"
    + _NOT_OTHERS
    + r")?(?![a-z0-9-])"
    r"|[x×] ?(?P<repeats>[0-9]{1,3})"
    + _NOT_OTHERS
    + r"|(?:(?P<minutes>[0-9]{1,3}) ?m(?:in)? ?(?=[0-9]{1,2} ?s))?"
    r"(?P<amount>[0-9]{1,4}) ?(?P<unit>s|sec|m|min|d|days?|w|wk|weeks?)(?![a-z0-9])"
    r"|(?P<alone>left|right|both|[lrb])(?![a-z0-9])"
    r"|[^\s,;،؛]+",
    re.IGNORECASE | re.ASCII,
)
_SIDES: dict[str, PickSide] = {"l": "left", "r": "right", "b": "turn"}
_LETTERS_OF_A_DAY = 3


@dataclass
class Typed:
    """One code that was typed, with its side and the numbers behind it; times in seconds."""

    code: str
    side: PickSide = "none"
    changes: dict[str, int] = field(default_factory=dict)
    range: tuple[int, int] | None = None
    """Repeats as a range, which a plan cannot hold unless it is the usual one."""
    typed: str = ""


@dataclass
class TypedPlan:
    """All that was typed: exercises, numbers without a code (`last`), what is for the whole plan, what is not read."""

    picks: list[Typed] = field(default_factory=list)
    last: Typed = field(default_factory=lambda: Typed(""))
    weeks: int = 0
    days: tuple[int, ...] = ()
    review: date | None = None
    notes: list[str] = field(default_factory=list)
    rest: list[str] = field(default_factory=list)


def read_typed(text: str, short_days: Sequence[str], days: Sequence[str]) -> TypedPlan:
    """Read what was typed; `short_days` and `days` name the days of the week in the reader's language, Monday first."""
    whole = TypedPlan()
    if len(text) > LONGEST:
        whole.rest.append(text)
        return whole
    text, at = _SPACE.sub(" ", text), 0
    while found := _PART.search(text, at):
        at = found.end()
        area = found["area"]
        if area and " " in found[0] and (day := _day(area, short_days, days)):
            at = found.start() + len(area)  # a day, with a number behind it
            whole.days = tuple(sorted({*whole.days, day}))
        elif found.lastgroup is None and (day := _day(found[0], short_days, days)):
            whole.days = tuple(sorted({*whole.days, day}))
        elif not _take(whole, found):
            whole.rest.append(found[0])
    return whole


def _take(whole: TypedPlan, part: re.Match[str]) -> bool:
    """Take one part; false when it cannot be read."""
    if part["area"]:
        return _code(whole, part)
    if part["review"]:
        try:
            day = date.fromisoformat(part["review"])
        except ValueError:
            return False
        whole.review = whole.review or day
        return whole.review == day
    if part["unit"] and part["unit"][0].lower() == "w":
        whole.weeks = whole.weeks or int(part["amount"])
        return whole.weeks == int(part["amount"]) > 0
    return _number(whole.picks[-1] if whole.picks else whole.last, part)


def _code(whole: TypedPlan, part: re.Match[str]) -> bool:
    area, number = part["area"].lower(), part["number"].zfill(2)
    if area == "note" and not part["side"]:
        whole.notes.append(f"note-{number}")
        return True
    whole.picks.append(Typed(f"{area}-{number}", _side(part["side"]), typed=part[0].strip()))
    return True


def _number(last: Typed, part: re.Match[str]) -> bool:
    """Take a side or numbers of the dose for an exercise; none of them when one was typed for it already."""
    if part["alone"]:
        if last.side != "none":
            return False
        last.side = _side(part["alone"])
    else:
        numbers = _numbers(part)
        spread = (int(part["low"]), int(part["high"])) if part["high"] else None
        typed = {*last.changes, *(["repetitions"] if last.range else [])}
        asked = {*numbers, *(["repetitions"] if spread else [])}
        if not asked or typed & asked:
            return False
        last.changes.update(numbers)
        last.range = last.range or spread
    last.typed = last.typed or part[0].strip()
    return True


def _numbers(part: re.Match[str]) -> dict[str, int]:
    unit = (part["unit"] or " ")[0].lower()
    if part["often"]:
        return {"times_a_day" if part["per"].lower() == "d" else "days_a_week": int(part["often"])}
    if part["sets"]:
        repeats = {"repetitions": int(part["low"])} if part["low"] and not part["high"] else {}
        return {"sets": int(part["sets"]), **repeats}
    if part["repeats"]:
        return {"repetitions": int(part["repeats"])}
    if unit == "d":
        return {"days_a_week": int(part["amount"])}
    if unit in "sm":
        return {"hold": int(part["minutes"] or 0) * 60 + int(part["amount"]) * (60 if unit == "m" else 1)}
    return {}


def _side(word: str | None) -> PickSide:
    return _SIDES.get((word or " ")[0].lower(), "none")


def _day(word: str, short_days: Sequence[str], days: Sequence[str]) -> int:
    """Give the day, 1 to 7, that a word names; 0 for none.

    It is its short name, or three letters or more with which no other day begins.
    """
    word = word.lower()
    short = [number for number, name in enumerate(short_days, 1) if name.lower() == word]
    begun = [number for number, name in enumerate(days, 1) if name.lower().startswith(word)]
    found = short or (begun if len(word) >= _LETTERS_OF_A_DAY else [])
    return found[0] if len(found) == 1 else 0


def numbers_of(typed: Typed, exercise: Exercise) -> tuple[dict[str, int], str]:
    """Give the numbers typed for an exercise by their names in its dose, and a range of repeats that no plan can hold.

    A time is its hold, or how long it takes where it has none.
    """
    own = dict(typed.changes)
    allowed = limits(exercise)
    if "hold" in own and "hold" not in allowed and "duration" in allowed:
        own["duration"] = own.pop("hold")
    usual = exercise.dose.repetitions
    if typed.range and not (isinstance(usual, Count) and (usual.low, usual.high) == typed.range):
        return own, f"{typed.range[0]}-{typed.range[1]}"
    return own, ""


def put(picks: Sequence[Pick], new: Pick) -> tuple[list[Pick], bool]:
    """Put an exercise into a plan, or change the entry that a code named again is for; true for a change.

    A side fills one that is not set and one side takes the place of both; left beside right is a second entry. The twin
    of `L.same` and `addPick` on the plan page.
    """
    at = same(picks, new.code, new.side)
    if not at:
        return [*picks, new], False
    joined = list(picks)
    for place in at:
        old = joined[place]
        side = new.side if new.side != "none" and len(at) == 1 else old.side
        joined[place] = replace(
            old, side=side, changes={**old.changes, **new.changes}, star=old.star or new.star
        )
    return joined, True


def same(picks: Sequence[Pick], code: str, side: PickSide) -> list[int]:
    """Give the places of the entries that a code named again is for; none when it is a new one."""
    own = [at for at, pick in enumerate(picks) if pick.code == code]
    if side == "none" or not own:
        return own
    for wanted in (side, "none"):
        if found := [at for at in own if picks[at].side == wanted]:
            return found
    return own if "turn" in (side, picks[own[0]].side) else []
