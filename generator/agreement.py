"""How far two judges agree beyond chance, and how sure a share is: Cohen's kappa and Wilson's interval."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt

NORMAL_95 = 1.959964
"""The standard normal deviate that leaves 2.5 % on either side."""


@dataclass(frozen=True)
class Share:
    """A share of a number of cases with its 95 % interval, all from 0 to 1."""

    part: int
    whole: int
    low: float
    high: float

    @property
    def value(self) -> float:
        """The share itself."""
        return self.part / self.whole


def share(part: int, whole: int) -> Share:
    """A share with Wilson's score interval (Wilson 1927, J. Am. Stat. Assoc. 22:209-212); `whole` is at least 1."""
    p, z2 = part / whole, NORMAL_95**2
    middle = (p + z2 / (2 * whole)) / (1 + z2 / whole)
    half = NORMAL_95 / (1 + z2 / whole) * sqrt(p * (1 - p) / whole + z2 / (4 * whole**2))
    return Share(part, whole, max(middle - half, 0.0), min(middle + half, 1.0))


@dataclass(frozen=True)
class Agreement:
    """Agreement of two judges on the same cases.

    `observed` and `expected` are shares of agreement from 0 to 1. `kappa` runs from -1 to 1 with its standard error and
    95 % interval; all four are None where chance alone makes the judges agree on everything.
    """

    cases: int
    observed: float
    expected: float
    kappa: float | None
    error: float | None
    low: float | None
    high: float | None


def agreement(first: Sequence[str], second: Sequence[str]) -> Agreement:
    """Cohen's kappa (Cohen 1960, Educ. Psychol. Meas. 20:37-46) of two judgements of each case, in the same order.

    The standard error is that of Fleiss, Cohen and Everitt 1969, Psychol. Bull. 72:323-327. Raises ValueError where the
    numbers of judgements differ or there are none.
    """
    cases = len(first)
    if cases != len(second) or not cases:
        raise ValueError(f"{cases} judgements against {len(second)}: both must judge the same cases")
    pairs = Counter(zip(first, second, strict=True))
    kinds = sorted({*first, *second})
    rows = {kind: sum(one == kind for one in first) / cases for kind in kinds}
    columns = {kind: sum(one == kind for one in second) / cases for kind in kinds}
    observed = sum(pairs[kind, kind] for kind in kinds) / cases
    expected = sum(rows[kind] * columns[kind] for kind in kinds)
    if expected == 1:
        return Agreement(cases, observed, expected, None, None, None, None)
    kappa = (observed - expected) / (1 - expected)
    same = sum(
        pairs[kind, kind] / cases * (1 - (rows[kind] + columns[kind]) * (1 - kappa)) ** 2 for kind in kinds
    )
    other = (1 - kappa) ** 2 * sum(
        number / cases * (columns[one] + rows[two]) ** 2 for (one, two), number in pairs.items() if one != two
    )
    variance = same + other - (kappa - expected * (1 - kappa)) ** 2
    error = sqrt(max(variance, 0.0)) / ((1 - expected) * sqrt(cases))
    low, high = max(kappa - NORMAL_95 * error, -1.0), min(kappa + NORMAL_95 * error, 1.0)
    return Agreement(cases, observed, expected, kappa, error, low, high)


def difference(now: Share, before: Share) -> tuple[float, float, float]:
    """How much a share of other people differs from an earlier one: the difference and its 95 % interval.

    Method 10 of Newcombe 1998, Statistics in Medicine 17:873-890: the square-and-add interval of two Wilson scores.
    """
    moved = now.value - before.value
    below = sqrt((now.value - now.low) ** 2 + (before.high - before.value) ** 2)
    above = sqrt((now.high - now.value) ** 2 + (before.value - before.low) ** 2)
    return moved, moved - below, moved + above
