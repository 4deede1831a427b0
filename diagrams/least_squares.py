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
from functools import cache, cached_property

import numpy as np
from numpy.typing import NDArray

from diagrams.body import Array, Kinematics, forward, skeleton

WORLD = -1
MOST_STEPS = 60
LEAST_GAIN = 1e-4  # relative; below it another step would not be seen
_NONE = np.zeros(0)


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

    @cached_property
    def tied(self) -> NDArray[np.intp]:
        """Return the numbers of the rows between two segments; the far end of all others is the world's origin."""
        return np.flatnonzero(self.far != WORLD)

    def residual(self, kin: Kinematics) -> Array:
        """Return the weighted residuals (k,); a satisfied one-sided row is 0."""
        gap = kin.places(self.near, self.near_at)
        if len(self.tied):
            gap[self.tied] -= kin.places(self.far[self.tied], self.far_at[self.tied])
        off = np.einsum("ki,ki->k", self.normal, gap) - self.value
        off[self.one_sided & (off > 0)] = 0.0
        out: Array = self.weight * off
        return out

    def jacobian(self, kin: Kinematics, residual: Array) -> Array:
        """Return the derivative of `residual` by all motions, (k, m); zero where a one-sided row is satisfied."""
        counted = ~self.one_sided | (residual != 0)
        rows = np.flatnonzero(counted)
        near = kin.places(self.near[rows], self.near_at[rows])
        slopes = kin.along(self.near[rows], near, self.normal[rows])
        tied = np.flatnonzero(self.far[rows] != WORLD)
        if len(tied):
            number = rows[tied]
            far = kin.places(self.far[number], self.far_at[number])
            slopes[tied] -= kin.along(self.far[number], far, self.normal[number])
        slopes *= self.weight[rows, None]
        out = np.zeros((len(residual), slopes.shape[1]))
        out[rows] = slopes
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


def _balance_residual(task: Task, kin: Kinematics) -> Array:
    """Return the weighted residuals (k,) of the balance wish."""
    balance = task.balance
    if balance is None:
        return _NONE
    centre = (_centre_weights() @ kin.named_points())[[0, 2]]
    out: Array = balance.weight * np.minimum(balance.inward @ centre - balance.value, 0.0)
    return out


def _balance_jacobian(task: Task, kin: Kinematics, residual: Array) -> Array:
    """Return the derivative (k, m) of the balance wish's residuals."""
    body = skeleton()
    rows = np.zeros((len(residual), len(body.motions)))
    out = np.flatnonzero(residual < 0)
    if task.balance is not None and len(out):
        slopes = kin.jacobian(body.point_segment, kin.named_points())
        moved = np.einsum("p,pim->im", _centre_weights(), slopes)[[0, 2]]
        rows[out] = task.balance.weight * task.balance.inward[out] @ moved
    return rows


@dataclass(frozen=True)
class _Trial:
    """A guess with what it misses."""

    q: Array
    kin: Kinematics
    rows: Array
    balance: Array
    cost: float


def _try(task: Task, q: Array) -> _Trial:
    kin = forward(q, task.base)
    rows = task.rows.residual(kin)
    balance = _balance_residual(task, kin)
    away = task.pull * (q - task.wanted)
    return _Trial(q, kin, rows, balance, 0.5 * float(rows @ rows + balance @ balance + away @ away))


def minimise(task: Task, start: Array) -> Answer:
    """Return the motions that fit the task's wishes best, searching from `start`."""
    q = np.clip(start, task.low, task.high)
    q[task.frozen] = task.wanted[task.frozen]
    open_motions = np.flatnonzero(~task.frozen)
    pull2 = task.pull[open_motions] ** 2
    now = _try(task, q)
    damping, steps, gain, far = 1e-3, 0, 1.0, 1.0
    while steps < MOST_STEPS and gain > LEAST_GAIN and far > 1e-5:
        jacobian, residual = task.rows.jacobian(now.kin, now.rows), now.rows
        if len(now.balance):
            jacobian = np.vstack([jacobian, _balance_jacobian(task, now.kin, now.balance)])
            residual = np.concatenate([residual, now.balance])
        jacobian = jacobian[:, open_motions]
        gradient = jacobian.T @ residual + pull2 * (now.q - task.wanted)[open_motions]
        curvature = jacobian.T @ jacobian
        curvature.flat[:: len(open_motions) + 1] += pull2
        fresh = None
        for _ in range(12):
            steps += 1
            trial = _try(task, _step(task, now.q, open_motions, gradient, curvature, damping))
            if trial.cost < now.cost:
                fresh = trial
                break
            damping *= 5
        if fresh is None:
            break
        gain = (now.cost - fresh.cost) / now.cost
        far = float(np.abs(fresh.q - now.q).max())
        now = fresh
        damping = max(damping / 6, 1e-7)
    return Answer(now.q, steps, now.cost)


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
    inner = curvature.take(loose, 0).take(loose, 1)
    diagonal = inner.ravel()[:: len(loose) + 1]
    diagonal *= 1 + damping
    diagonal += 1e-6 * damping
    step = np.linalg.solve(inner, -gradient[loose])
    largest = float(np.abs(step).max(initial=0.0))
    if largest > 0.7:  # a step beyond about 40 degrees is outside what the linear model knows
        step *= 0.7 / largest
    trial = q.copy()
    trial[open_motions[loose]] = np.minimum(np.maximum(here[loose] + step, low[loose]), high[loose])
    return trial
