"""The tick chart is worked out from the dose. The counts are plain multiplication."""

from __future__ import annotations

import pytest

from limberleaf.handouts import tick_chart
from limberleaf.library import Dose


def dose(**parts):
    return Dose.model_validate({"repetitions": 10, "times_a_day": 1, "days_a_week": 7, **parts})


@pytest.mark.parametrize(
    ("parts", "unit", "rows", "days"),
    [
        ({"sets": 3, "days_a_week": 3}, "set", (3, 3), (3, 3)),
        ({"sets": "2-3", "days_a_week": "2-3"}, "set", (2, 3), (2, 3)),
        ({"times_a_day": 3}, "time", (3, 3), (7, 7)),
        ({"sets": 3, "times_a_day": 2}, "time", (2, 2), (7, 7)),
        ({"times_a_day": "2-4"}, "time", (2, 4), (7, 7)),
        ({}, "day", (1, 1), (7, 7)),
        ({"times_a_day": None, "every": "1 h"}, "tally", (1, 1), (7, 7)),
        ({"sets": 9}, "day", (1, 1), (7, 7)),
    ],
)
def test_rows_and_days_come_from_the_dose(parts, unit, rows, days):
    chart = tick_chart(dose(**parts))
    assert (chart.unit, (chart.rows.low, chart.rows.high), (chart.days.low, chart.days.high)) == (
        unit,
        rows,
        days,
    )
    assert chart.boxes == chart.weeks * rows[1] * days[1]
    assert chart.has_extras == (rows[0] != rows[1] or days[0] != days[1])


def test_boxes_for_some_weeks():
    assert tick_chart(dose(sets=3, days_a_week=3), weeks=6).boxes == 54
