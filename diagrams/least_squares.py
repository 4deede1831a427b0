"""Damped least squares for one pose: soft wishes as residual rows, joint limits as a box.

Every wish about places and directions is one row `w (n . (A - B) - d)`: A and B are points fixed to segments (B may be
missing, then it is the world's origin), n a world direction, d a number. "Heel on the floor", "palm on the shin",
"thigh level" are all such rows. A one-sided row counts only while it is below d ("stay above the floor").

The minimiser is Levenberg-Marquardt with the analytic Jacobian of `body.py`, step acceptance and an active set for the
limits. Frozen motions are left out of the unknowns, so that a stated angle cannot move. No random restarts: the same
input gives the same result.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cache

import numpy as np
from numpy.typing import NDArray

from diagrams.body import Array, Kinematics, forward, skeleton

WORLD = -1
MOST_STEPS = 60
LEAST_GAIN = 1e-4  # relative; below it another step would not be seen


@dataclass
class Rows:
    """Residual rows, collected one by one; `pack` makes arrays of them."""

    near: list[int] = field(default_factory=list)
    near_at: list[Array] = field(default_factory=list)
    far: list[int] = field(default_factory=list)
    far_at: list[Array] = field(default_factory=list)
    normal: list[Array] = field(default_factory=list)
    value: list[float] = field(default_factory=list)
    weight: list[float] = field(default_factory=list)
    one_sided: list[bool] = field(default_factory=list)

    def add(
        self,
        near: tuple[int, Array],
        normal: Array,
        value: float,
        *,
        far: tuple[int, Array] | None = None,
        weight: float = 1.0,
        one_sided: bool = False,
    ) -> None:
        """Wish that `normal . (near - far)` equals `value` (or, one-sided, is at least that)."""
        self.near.append(near[0])
        self.near_at.append(near[1])
        self.far.append(far[0] if far else WORLD)
        self.far_at.append(far[1] if far else np.zeros(3))
        self.normal.append(normal)
        self.value.append(value)
        self.weight.append(weight)
        self.one_sided.append(one_sided)

    def extend(self, other: Rows) -> None:
        """Append all rows of another collection."""
        for mine, theirs in zip(vars(self).values(), vars(other).values(), strict=True):
            mine.extend(theirs)

    def pack(self) -> PackedRows:
        """Return the rows as arrays."""
        k = len(self.near)
        return PackedRows(
            near=np.array(self.near, dtype=np.intp),
            near_at=np.array(self.near_at, dtype=float).reshape(k, 3),
            far=np.array(self.far, dtype=np.intp),
            far_at=np.array(self.far_at, dtype=float).reshape(k, 3),
            normal=np.array(self.normal, dtype=float).reshape(k, 3),
            value=np.array(self.value, dtype=float),
            weight=np.array(self.weight, dtype=float),
            one_sided=np.array(self.one_sided, dtype=bool),
        )


@dataclass(frozen=True)
class PackedRows:
    """Residual rows as arrays of k entries."""

    near: NDArray[np.intp]
    near_at: Array
    far: NDArray[np.intp]
    far_at: Array
    normal: Array
    value: Array
    weight: Array
    one_sided: NDArray[np.bool_]

    def places(self, kin: Kinematics) -> tuple[Array, Array]:
        """Return the world places of both ends of every row, (k, 3) each; the world's origin is 0."""
        near = kin.origin[self.near] + np.einsum("kij,kj->ki", kin.rotation[self.near], self.near_at)
        far = kin.origin[self.far] + np.einsum("kij,kj->ki", kin.rotation[self.far], self.far_at)
        far[self.far == WORLD] = 0.0
        return near, far

    def residual(self, kin: Kinematics) -> Array:
        """Return the weighted residuals (k,); a satisfied one-sided row is 0."""
        near, far = self.places(kin)
        off = np.einsum("ki,ki->k", self.normal, near - far) - self.value
        off[self.one_sided & (off > 0)] = 0.0
        out: Array = self.weight * off
        return out

    def jacobian(self, kin: Kinematics, residual: Array) -> Array:
        """Return the derivative of `residual` by all motions, (k, m)."""
        near, far = self.places(kin)
        out = kin.along(self.near, near, self.normal)
        tied = np.flatnonzero(self.far != WORLD)
        if len(tied):
            out[tied] -= kin.along(self.far[tied], far[tied], self.normal[tied])
        out *= self.weight[:, None]
        out[self.one_sided & (residual == 0)] = 0.0
        return out


@dataclass(frozen=True)
class Balance:
    """Wish that the mass centre stays inside an outline: `inward . (x, z) >= value` for every edge, (k, 2) and (k,)."""

    inward: Array
    value: Array
    weight: float


@dataclass(frozen=True)
class Task:
    """One pose to solve. Angles in radians, places in H; `pull` is the weight towards `wanted`, per unit."""

    base: Array
    rows: PackedRows
    wanted: Array
    pull: Array
    low: Array
    high: Array
    frozen: NDArray[np.bool_]
    balance: Balance | None = None


@dataclass(frozen=True)
class Answer:
    """The motions that fit best, with the number of steps and the remaining cost (half sum of squares)."""

    q: Array
    steps: int
    cost: float


@cache
def _centre_weights() -> Array:
    """Return the weight of every named point in the whole-body mass centre, (p,)."""
    body = skeleton()
    out = np.zeros(len(body.points))
    for (near, far), mass, share in zip(body.mass_ends, body.mass, body.mass_centre, strict=True):
        out[near] += mass * (1 - share)
        out[far] += mass * share
    return out


def _balance_rows(task: Task, kin: Kinematics) -> tuple[Array, Array]:
    """Return residuals (k,) and Jacobian (k, m) of the balance wish."""
    balance, body = task.balance, skeleton()
    count = len(body.motions)
    if balance is None:
        return np.zeros(0), np.zeros((0, count))
    weights = _centre_weights()
    points = kin.named_points()
    centre = (weights @ points)[[0, 2]]
    off = np.minimum(balance.inward @ centre - balance.value, 0.0)
    rows = np.zeros((len(off), count))
    out = np.flatnonzero(off < 0)
    if len(out):
        moved = np.einsum("p,pim->im", weights, kin.jacobian(body.point_segment, points))[[0, 2]]
        rows[out] = balance.weight * balance.inward[out] @ moved
    return balance.weight * off, rows


def _evaluate(task: Task, q: Array) -> tuple[Kinematics, Array, Array, Array, float]:
    kin = forward(q, task.base)
    rows = task.rows.residual(kin)
    balance, balance_jacobian = _balance_rows(task, kin)
    away = task.pull * (q - task.wanted)
    cost = 0.5 * float(rows @ rows + balance @ balance + away @ away)
    return kin, rows, balance, balance_jacobian, cost


def minimise(task: Task, start: Array) -> Answer:
    """Return the motions that fit the task's wishes best, searching from `start`."""
    q = np.clip(start, task.low, task.high)
    q[task.frozen] = task.wanted[task.frozen]
    open_motions = np.flatnonzero(~task.frozen)
    kin, rows, balance, balance_jacobian, cost = _evaluate(task, q)
    damping, steps, gain, far = 1e-3, 0, 1.0, 1.0
    while steps < MOST_STEPS and gain > LEAST_GAIN and far > 1e-5:
        jacobian = np.vstack([task.rows.jacobian(kin, rows), balance_jacobian])[:, open_motions]
        residual = np.concatenate([rows, balance])
        pull2 = task.pull[open_motions] ** 2
        gradient = jacobian.T @ residual + pull2 * (q - task.wanted)[open_motions]
        curvature = jacobian.T @ jacobian + np.diag(pull2)
        moved = False
        for _ in range(12):
            steps += 1
            trial = _step(task, q, open_motions, gradient, curvature, damping)
            fresh = _evaluate(task, trial)
            if fresh[-1] < cost:
                moved = True
                break
            damping *= 5
        if not moved:
            break
        gain = (cost - fresh[-1]) / cost
        far = float(np.abs(trial - q).max())
        q = trial
        kin, rows, balance, balance_jacobian, cost = fresh
        damping = max(damping / 6, 1e-7)
    return Answer(q, steps, cost)


def _step(
    task: Task,
    q: Array,
    open_motions: NDArray[np.intp],
    gradient: Array,
    curvature: Array,
    damping: float,
) -> Array:
    """Return the damped Newton step from q, inside the limits; motions pushed against a limit stay there."""
    low, high, here = task.low[open_motions], task.high[open_motions], q[open_motions]
    held = ((here <= low + 1e-9) & (gradient > 0)) | ((here >= high - 1e-9) & (gradient < 0))
    loose = np.flatnonzero(~held)
    inner = curvature[loose][:, loose]
    inner.flat[:: len(loose) + 1] *= 1 + damping
    inner.flat[:: len(loose) + 1] += 1e-6 * damping
    step = np.linalg.solve(inner, -gradient[loose])
    largest = float(np.abs(step).max(initial=0.0))
    if largest > 0.7:  # a step beyond about 40 degrees is outside what the linear model knows
        step *= 0.7 / largest
    trial = q.copy()
    trial[open_motions[loose]] = np.clip(here[loose] + step, low[loose], high[loose])
    return trial
