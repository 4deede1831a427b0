"""The solver's weights and tolerances, read from `data/solver.yml`, where each has its reason."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any

from limberleaf.diagrams.body.skeleton import load_data


@cache
def _table() -> Mapping[str, Any]:
    return load_data("solver")


def weight(name: str) -> float:
    """Return what a kind of residual counts for, per H or per sine; KeyError for an unknown name."""
    return float(_table()["weights"][name]["value"])


def tolerance(name: str) -> float:
    """Return how far off a kind of quantity may be (H or degrees); KeyError for an unknown name."""
    return float(_table()["tolerances"][name]["value"])


def stiffness(joint: str) -> float:
    """Return how firmly the prior holds a joint, relative to the others; KeyError for an unknown joint."""
    return float(_table()["stiffness"][joint])


def factor(name: str) -> float:
    """Return a factor on the stiffness of joints; KeyError for an unknown name."""
    return float(_table()["stiffness_factors"][name]["value"])


def prior() -> float:
    """Return the weight of the prior, in H per radian, that stiffness 1 means."""
    return float(_table()["prior"]["value"])
