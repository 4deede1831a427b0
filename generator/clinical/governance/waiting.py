"""Changes that one person agreed to and a second one has still to confirm.

Who wrote or approved a line reads what was meant. Medication safety therefore asks for an independent double check: a
second person who compares old and new without being told that it is right (ISMP, "Independent double checks: worth the
effort if used judiciously and properly", 2019; from memory). The lock keeps each such change under its entry, word for
word, until then. The keys of all that wait stand on a line of their own, so that one taken out by hand is missed.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from limberleaf.clinical.governance.change_kinds import KEPT_BY
from limberleaf.clinical.governance.difference import Difference
from limberleaf.clinical.governance.places import place_in_words, show
from limberleaf.library.yaml.source import Loc

_FIELDS_OF_A_ROW = 7
_STATUS: Loc = ("status",)
_REVIEW: Loc = ("review",)
"""Never changes of words: who approved an entry, and whether it is approved, is no part of them."""


@dataclass(frozen=True)
class Waiting:
    """One change: its place, the plain values before and after (None: nothing there), who agreed to it when and why.

    `because` is empty where no reason was asked for.
    """

    loc: Loc
    old: Any
    new: Any
    says: str
    day: date
    by: str
    because: str = ""

    def row(self) -> str:
        """Write it as the value of a line of the lock."""
        row = [str(self.day), self.by, list(self.loc), self.old, self.new, self.says, self.because]
        return json.dumps(row, ensure_ascii=False, sort_keys=True)

    @property
    def key(self) -> str:
        """Name it by all it says."""
        return hashlib.blake2b(self.row().encode(), digest_size=4).hexdigest()

    @property
    def agreed(self) -> str:
        """Say who agreed, when and why."""
        return f"{self.by}, {self.day}" + (f", because “{self.because}”" if self.because else "")


def read_waiting(row: Any) -> Waiting | None:
    """Read a row of the lock; None when it is none."""
    if (
        not isinstance(row, list)
        or len(row) != _FIELDS_OF_A_ROW
        or not isinstance(row[2], list)
        or not row[2]
    ):
        return None
    day, by, loc, old, new, says, because = row
    if not all(isinstance(one, str) for one in (day, by, says, because)):
        return None
    if not all(isinstance(step, str | int) for step in loc):
        return None
    try:
        return Waiting(tuple(loc), old, new, says, date.fromisoformat(day), by, because)
    except ValueError:
        return None


def retirement(waiting: Iterable[Waiting]) -> Waiting | None:
    """Give the one that waits for a second person to take the whole entry away; None when there is none."""
    return next((one for one in waiting if one.loc == _STATUS), None)


def waits_to_go(role: str, day: date, because: str) -> Waiting:
    """Give what waits once one person agreed to take an entry away for good."""
    return Waiting(_STATUS, "approved", "retired", "It is to be taken away for good.", day, role, because)


def first_approval(role: str, day: date) -> Waiting:
    """Give what waits once one person approved an entry that nobody had approved before."""
    return Waiting(_REVIEW, None, "the whole of it", "It was approved for the first time.", day, role)


def is_first(one: Waiting) -> bool:
    """Tell whether the whole entry waits, and not a change of it."""
    return one.loc == _REVIEW


def keeper_before(waiting: Iterable[Waiting]) -> str | None:
    """Give the role that still counts as keeper, as nobody has confirmed the new one; None when none waits."""
    return next((str(one.old) for one in waiting if one.loc == (KEPT_BY,) and one.old), None)


def waits(change: Difference) -> bool:
    """Tell whether a change needs a second person: all that are marked as safety do."""
    return change.safety


def carried(
    before: Iterable[Waiting], changes: Iterable[Difference], fresh: Mapping[Difference, Waiting]
) -> tuple[Waiting, ...]:
    """Give what waits after a new approval: the `fresh` ones, and the old ones that still hold.

    A waiting line that was changed again waits with its oldest words against its newest; one put back as it was no
    longer waits. Lines of a list are found by what they say and not by their number.
    """
    left = list(before)
    found = []
    for change in changes:
        earlier = next((one for one in left if _leads_to(one, change)), None)
        undone = next((one for one in left if _undoes(change, one)), None)
        if earlier is not None:
            left.remove(earlier)
            now = fresh.get(change) or replace(earlier, loc=change.loc)
            if earlier.old != change.new:
                says = (
                    now.says
                    if earlier.old is None
                    else f"{now.says} Before that it was “{show(earlier.old)}”."
                )
                found.append(replace(now, old=earlier.old, new=change.new, says=says))
        elif undone is not None:
            left.remove(undone)
        elif change in fresh:
            found.append(fresh[change])
    return (*left, *found)


def _leads_to(one: Waiting, change: Difference) -> bool:
    return one.new is not None and one.new == change.old and same_list(one.loc, change.loc)


def _undoes(change: Difference, one: Waiting) -> bool:
    """Tell whether a change puts back what a waiting one took away."""
    return one.new is None and change.old is None and one.old == change.new and same_list(one.loc, change.loc)


def same_list(one: Loc, two: Loc) -> bool:
    """Tell whether two places are the same, whatever the numbers of lines on the way."""
    return [step for step in one if isinstance(step, str)] == [step for step in two if isinstance(step, str)]


def place_now(one: Waiting, fields: Mapping[str, Any]) -> Loc:
    """Give where the new words stand in the present fields: at their old place, or where their list has them now."""
    if one.new is None or _at(fields, one.loc) == one.new:
        return one.loc
    for depth, step in enumerate(one.loc):
        if isinstance(step, int):
            items = _at(fields, one.loc[:depth])
            for number, _ in enumerate(items if isinstance(items, list) else []):
                there = (*one.loc[:depth], number, *one.loc[depth + 1 :])
                if _at(fields, there) == one.new:
                    return there
    return one.loc


def _at(value: Any, loc: Loc) -> Any:
    for step in loc:
        if isinstance(value, Mapping) and isinstance(step, str):
            value = value.get(step)
        elif isinstance(value, list) and isinstance(step, int) and step < len(value):
            value = value[step]
        else:
            return None
    return value


def caption_beside(one: Waiting, fields: Mapping[str, Any]) -> str:
    """Give the caption of the pose that a change of a figure is about; empty for any other change."""
    caption = _at(fields, (*one.loc[:3], "caption")) if one.loc[:2] == ("figure", "poses") else ""
    return str(caption or "")


def titled(one: Waiting) -> str:
    """Name its place for a reader."""
    return place_in_words(one.loc)
