"""Single vectors in space, written out: numpy's general functions take many times as long on three numbers."""

from __future__ import annotations

import math

import numpy as np

from limberleaf.diagrams.body.skeleton import Vec3


def norm(vector: Vec3) -> float:
    """Return the length of a vector."""
    return math.sqrt(float(vector @ vector))


def cross(one: Vec3, two: Vec3) -> Vec3:
    """Return the cross product of two vectors."""
    a, b, c = one.tolist()
    d, e, f = two.tolist()
    return np.array([b * f - c * e, c * d - a * f, a * e - b * d])
