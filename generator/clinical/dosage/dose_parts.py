"""The numbers of a dose by name, for what compares texts or plans with them."""

from __future__ import annotations

from limberleaf.clinical.dosage.dose import times_a_day
from limberleaf.library.models.exercise import AsComfortable, Dose
from limberleaf.library.models.values import Count, Duration


def seconds_or_count(dose: Dose, part: str) -> Count | None:
    """Give a part of the dose as a count, times in seconds; None when the dose does not have it.

    Parts are the fields of a dose and, of its tempo, `out`, `pause` and `back`.
    """
    value: object
    if part in ("out", "pause", "back"):
        value = getattr(dose.tempo, part) if dose.tempo else None
    elif part == "times_a_day":
        value = times_a_day(dose) if dose.times_a_day else None
    else:
        value = getattr(dose, part)
    if isinstance(value, AsComfortable):
        return Count(value.up_to, value.up_to)
    if isinstance(value, Count | Duration) and value.high:
        return Count(value.low, value.high)
    return None
