"""On which days of a week an exercise falls: as the clinician chose, or spread by itself."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

SPREAD = {
    1: (0,),
    2: (0, 3),
    3: (0, 2, 4),
    4: (0, 2, 4, 6),
    5: (0, 1, 3, 4, 5),
    6: (0, 1, 2, 3, 4, 5),
    7: tuple(range(7)),
}
"""Days from the first on which exercise days fall; common practice, no source."""


def exercise_days(days_a_week: int, chosen: Sequence[int]) -> tuple[int, ...]:
    """Give the days, 0 to 6, for something done on so many days a week.

    Without `chosen` days they are counted from the first day of all. With them (1 Monday ... 7 Sunday) 0 is Monday:
    what is done every day stays so, and what is done on fewer days than were chosen is spread over them.
    """
    often = min(max(days_a_week, 1), 7)
    if often == 7 or not chosen:
        return SPREAD[often]
    room = len(chosen)
    if often >= room:
        return tuple(day - 1 for day in chosen)
    return tuple(chosen[at * room // often] - 1 for at in range(often))


def own_days(days_a_week: int, chosen: Sequence[int]) -> tuple[int, ...]:
    """Give the days, 1 Monday ... 7 Sunday, of something that is not for every day; none when nobody chose any."""
    if not chosen or days_a_week > 6:
        return ()
    return tuple(day + 1 for day in exercise_days(days_a_week, chosen))


def are_too_few(days_a_week: int, chosen: Sequence[int]) -> bool:
    """Tell whether the dose asks for more days than the clinician chose."""
    return bool(chosen) and len(chosen) < days_a_week < 7


def weeks_until(day: date, today: date) -> int:
    """Give for how many weeks a plan begun on `today` runs when it is to last until `day`; below 1 for a day past."""
    return -((today - day).days // 7)
