"""The tick chart of a dose: how many boxes there are, and how many of them are extras.

A range in a dose leaves the reader a choice, so the boxes up to its low end are drawn solid and the rest dashed.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from limberleaf.clinical.dosage.dose import ONE, times_a_day
from limberleaf.library.models.exercise import Dose
from limberleaf.library.models.values import Count

WEEKS = 4
"""As many as the chart of the page; common practice, no source."""

MOST_ROWS = 6
"""Above so many goes a day nobody ticks one box for each; the reader writes a number instead."""

Unit = Literal["set", "time", "day", "tally"]


@dataclass(frozen=True)
class TickChart:
    """Boxes for some weeks: in each week `rows` times `days`. `unit` says what one box counts.

    `set`: one set of the one go a day. `time`: one go of several a day. `day`: the day's only go. `tally`: a day
    with many goes, where the reader writes how many were done.
    """

    weeks: int
    rows: Count
    days: Count
    unit: Unit

    @property
    def boxes(self) -> int:
        """Count the boxes, dashed ones included."""
        return self.weeks * self.rows.high * self.days.high

    @property
    def has_extras(self) -> bool:
        """Tell whether some boxes are dashed."""
        return self.rows.is_range or self.days.is_range


def tick_chart(dose: Dose, weeks: int = WEEKS) -> TickChart:
    """Work out the chart of a dose."""
    goes = times_a_day(dose)
    sets = dose.sets or ONE
    if goes.high > MOST_ROWS:
        return TickChart(weeks, ONE, dose.days_a_week, "tally")
    if goes.high > 1:
        return TickChart(weeks, goes, dose.days_a_week, "time")
    if 1 < sets.high <= MOST_ROWS:
        return TickChart(weeks, sets, dose.days_a_week, "set")
    return TickChart(weeks, ONE, dose.days_a_week, "day")
