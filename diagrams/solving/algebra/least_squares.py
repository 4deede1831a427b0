"""Damped least squares for one pose: targets as weighted residual rows, joint limits as a box.

Every target about places and directions is one row `w (n . (A - B) - d)`: A and B are points fixed to segments (B may
be missing, then it is the world's origin), n a world direction, d a number. "Heel on the floor", "palm on the shin",
"thigh level" are all such rows. A one-sided row counts only while it is below d ("stay above the floor").

The minimiser is Levenberg-Marquardt with the analytic Jacobian of `kinematics.py`, step acceptance and an active set
for the limits. Frozen motions are left out of the unknowns, so that a stated angle cannot move. No random restarts: the
same input gives the same result.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from limberleaf.diagrams.adults import per_build
from limberleaf.diagrams.body.kinematics import Kinematics, cross_matrices, forward, slots
from limberleaf.diagrams.body.skeleton import Array, point_weights, skeleton

WORLD = -1
MOST_STEPS = 60
LEAST_GAIN = 1e-4  # relative; below it another step would not be seen
_TRIES = 12  # dampings tried before a search is over
_FURTHEST = 0.7  # a step beyond about 40 degrees is outside what the linear model knows
_ORIGIN = np.zeros(3)
_FORWARD, _RIGHT = np.array([1.0, 0.0, 0.0]), np.array([0.0, 0.0, 1.0])


class _Row(NamedTuple):
    near: int
    near_at: Array
    far: int
    far_at: Array
    normal: Array
    value: float
    weight: float
    one_sided: bool


class Rows:
    """Residual rows, collected one by one; `pack` makes arrays of them."""

    def __init__(self) -> None:
        self._rows: list[_Row] = []

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
        """Ask that `normal . (near - far)` equals `value` (or, one-sided, is at least that)."""
        there, there_at = (WORLD, _ORIGIN) if far is None else far
        self._rows.append(_Row(near[0], near[1], there, there_at, normal, value, weight, one_sided))

    def __len__(self) -> int:
        """Return the number of rows."""
        return len(self._rows)

    def extend(self, other: Rows) -> None:
        """Append all rows of another collection."""
        self._rows += other._rows

    def pack(self) -> PackedRows:
        """Return the rows as arrays; those between two segments come first."""
        rows = [row for row in self._rows if row.far != WORLD]
        tied = len(rows)
        rows += [row for row in self._rows if row.far == WORLD]
        return PackedRows(
            segment=np.array([row.near for row in rows] + [row.far for row in rows[:tied]], dtype=np.intp),
            at=_stacked([row.near_at for row in rows] + [row.far_at for row in rows[:tied]]),
            direction=_stacked([row.normal for row in rows] + [-row.normal for row in rows[:tied]]),
            weight=np.array([row.weight for row in rows]),
            value=np.array([row.value for row in rows], dtype=float),
            one_sided=np.array([row.one_sided for row in rows], dtype=bool),
        )


def _stacked(vectors: list[Array]) -> Array:
    out: Array = np.concatenate(vectors).reshape(-1, 3) if vectors else np.zeros((0, 3))
    return out


@dataclass(frozen=True)
class PackedRows:
    """Residual rows as arrays of k entries, the t between two segments first.

    A row has a near end and, if tied, a far end: k + t ends, the far ones last. `segment`, `at` (place in its frame)
    and `direction` (the row's normal, reversed at far ends) are of ends.
    """

    segment: NDArray[np.intp]
    at: Array
    direction: Array
    weight: Array
    value: Array
    one_sided: NDArray[np.bool_]

    @property
    def tied(self) -> int:
        """Return the number of rows between two segments."""
        return len(self.segment) - len(self.value)

    @cached_property
    def _reading(self) -> Array:
        """Return what every end reads off its segment's frame, (k + t, 16): direction . place."""
        out = np.zeros((len(self.at), 4, 4))
        out[:, :3, :3] = self.direction[:, :, None] * self.at[:, None, :]
        out[:, :3, 3] = self.direction
        return out.reshape(-1, 16)

    @cached_property
    def _highest(self) -> Array:
        """Return what a residual may reach: 0 for a one-sided row."""
        return np.where(self.one_sided, 0.0, np.inf)

    @cached_property
    def _turning(self) -> Array:
        """Return matrices (k + t, 3, 3) that make moments of places: place x direction."""
        return -cross_matrices(self.direction)

    def residual(self, kin: Kinematics) -> Array:
        """Return the weighted residuals (k,); a satisfied one-sided row is 0."""
        frames = kin.placed.reshape(-1, 16).take(self.segment, 0)
        ends = np.einsum("ij,ij->i", frames, self._reading)
        rows, tied = len(self.value), self.tied
        out: Array = ends[:rows]
        out[:tied] += ends[rows:]
        out -= self.value
        out *= self.weight
        return np.minimum(out, self._highest, out=out)

    def slopes(self, kin: Kinematics, residual: Array) -> tuple[NDArray[np.intp], Array]:
        """Return the numbers of the rows that count and how they change with every slot, (c, s).

        A satisfied one-sided row does not count.
        """
        counted = ~self.one_sided | (residual != 0)
        rows = counted.nonzero()[0]
        ends = np.concatenate([rows, counted[: self.tied].nonzero()[0] + len(counted)])
        segment = self.segment.take(ends)
        places = kin.places(segment, self.at.take(ends, 0))
        moments = (self._turning.take(ends, 0) @ places[:, :, None])[:, :, 0]
        slopes = kin.along(segment, moments, self.direction.take(ends, 0))
        out = slopes[: len(rows)]
        out[: len(ends) - len(rows)] += slopes[len(rows) :]
        out *= self.weight.take(rows)[:, None]
        return rows, out

    def jacobian(self, kin: Kinematics, residual: Array) -> Array:
        """Return the derivative of `residual` by all motions, (k, m); zero where a one-sided row is satisfied."""
        rows, slopes = self.slopes(kin, residual)
        out = np.zeros((len(residual), len(skeleton().motions)))
        out[rows] = slopes @ slots().mix
        return out


@dataclass(frozen=True)
class Balance:
    """Ask that the mass centre stays inside an outline: `inward . (x, z) >= value` for every edge, (k, 2) and (k,)."""

    inward: Array
    value: Array
    weight: float

    @cached_property
    def _direction(self) -> Array:
        """Return every edge's weighted normal in the world, (k, 3)."""
        out: Array = self.weight * (self.inward[:, :1] * _FORWARD + self.inward[:, 1:] * _RIGHT)
        return out

    @cached_property
    def _reading(self) -> Array:
        """Return what every edge reads off the frames of all segments, (k, 16 n)."""
        out = np.zeros((len(self.value), len(_centre()), 4, 4))
        out[:, :, :3] = self._direction[:, None, :, None] * _centre()[:, None, :]
        return out.reshape(len(out), -1)

    def residual(self, kin: Kinematics) -> Array:
        """Return the weighted residuals (k,); 0 where the mass centre is inside."""
        out: Array = self._reading @ kin.placed[:-2].ravel()
        out -= self.weight * self.value
        return np.minimum(out, 0.0, out=out)

    def slopes(self, kin: Kinematics, residual: Array) -> Array:
        """Return how the residuals that are not 0 change with every slot, (c, s)."""
        carried = slots().carried
        moment = (
            carried.T @ (kin.placed[:-2, :3] @ _centre()[:, :, None])[:, :, 0]
        )  # of all that a slot carries
        amount = carried.T @ _centre()[:, 3:]
        moved = (kin.screws[:, None, :3] @ cross_matrices(moment))[:, 0] + amount * kin.screws[:, 3:]
        out: Array = self._direction[residual != 0] @ moved.T
        return out


@dataclass(frozen=True)
class Task:
    """One pose to solve. Angles in radians, places in H; `prior_weight` draws to `targets`, per unit."""

    base: Array
    rows: PackedRows
    targets: Array
    prior_weight: Array
    low: Array
    high: Array
    frozen: NDArray[np.bool_]
    balance: Balance | None = None


@dataclass(frozen=True)
class Answer:
    """The motions that fit best, their frames, the number of steps and the remaining cost (half sum of squares)."""

    q: Array
    kin: Kinematics
    steps: int
    cost: float


@per_build
def _centre() -> Array:
    """Return the mass of every segment times its centre's place in its frame, and the mass, (n, 4)."""
    body = skeleton()
    weights = point_weights()
    out = np.zeros((len(body.segments), 4))
    np.add.at(
        out,
        body.point_segment,
        weights[:, None] * np.column_stack([body.point_offset, np.ones(len(weights))]),
    )
    return out


class _Trial(NamedTuple):
    """A guess with what it misses."""

    q: Array
    kin: Kinematics
    rows: Array
    balance: Array | None
    cost: float


def _try(task: Task, q: Array) -> _Trial:
    kin = forward(q, task.base)
    rows = task.rows.residual(kin)
    away = q - task.targets
    away *= task.prior_weight
    cost = float(rows @ rows + away @ away)
    if task.balance is None:
        return _Trial(q, kin, rows, None, 0.5 * cost)
    balance = task.balance.residual(kin)
    return _Trial(q, kin, rows, balance, 0.5 * (cost + float(balance @ balance)))


def _linear(task: Task, now: _Trial, mix: Array) -> tuple[Array, Array]:
    """Return gradient and curvature (Gauss-Newton) of the residuals, without the prior, by the free variables."""
    rows, slopes = task.rows.slopes(now.kin, now.rows)
    residual = now.rows.take(rows)
    if task.balance is not None and now.balance is not None and now.balance.any():
        slopes = np.concatenate([slopes, task.balance.slopes(now.kin, now.balance)])
        residual = np.concatenate([residual, now.balance[now.balance != 0]])
    jacobian = slopes @ mix
    return residual @ jacobian, jacobian.T @ jacobian


@dataclass(frozen=True)
class _Model:
    """The quadratic model of the cost round a guess, by the motions that may step (numbers, l of them)."""

    numbers: NDArray[np.intp]
    gradient: Array
    curvature: Array  # (l, l); its diagonal is damped in place
    diagonal: Array
    here: Array
    low: Array
    high: Array

    def step(self, q: Array, damping: float) -> Array:
        """Return where a damped Newton step from the guess leads, inside the limits."""
        self.curvature.ravel()[:: len(self.numbers) + 1] = self.diagonal * (1 + damping) + 1e-6 * damping
        step = np.linalg.solve(self.curvature, self.gradient)
        largest = float(np.abs(step).max(initial=0.0))
        if largest > _FURTHEST:
            step *= _FURTHEST / largest
        trial = q.copy()
        trial[self.numbers] = np.minimum(np.maximum(self.here - step, self.low), self.high)
        return trial


@dataclass(frozen=True)
class _FreeVariables:
    """The motions that a task does not freeze (numbers, o of them), with their prior and their limits."""

    numbers: NDArray[np.intp]
    mix: Array  # (s, o) slots from motions
    prior_weight: Array  # squared
    targets: Array
    low: Array
    high: Array

    @classmethod
    def of(cls, task: Task) -> _FreeVariables:
        """Return the free variables of a task."""
        numbers = (~task.frozen).nonzero()[0]
        targets, low, high = (a.take(numbers) for a in (task.targets, task.low, task.high))
        return cls(
            numbers, slots().mix.take(numbers, 1), task.prior_weight.take(numbers) ** 2, targets, low, high
        )

    def model(self, task: Task, now: _Trial) -> _Model:
        """Return the quadratic model round a guess.

        Left out: the active set (motions pushed against a limit), and motions that nothing moves (no residual
        depends on them and they are at their target).
        """
        gradient, curvature = _linear(task, now, self.mix)
        here = now.q.take(self.numbers)
        gradient += self.prior_weight * (here - self.targets)
        diagonal = curvature.diagonal()
        active = ((here <= self.low + 1e-9) & (gradient > 0)) | ((here >= self.high - 1e-9) & (gradient < 0))
        stepping = (~active & ((gradient != 0) | (diagonal != 0))).nonzero()[0]
        return _Model(
            self.numbers.take(stepping),
            gradient.take(stepping),
            curvature.take(stepping, 0).take(stepping, 1),
            diagonal.take(stepping) + self.prior_weight.take(stepping),
            here.take(stepping),
            self.low.take(stepping),
            self.high.take(stepping),
        )


def minimise(task: Task, start: Array) -> Answer:
    """Return the motions that fit the task's targets best, searching from `start`."""
    q = np.clip(start, task.low, task.high)
    q[task.frozen] = task.targets[task.frozen]
    free = _FreeVariables.of(task)
    now = _try(task, q)
    damping, steps, gain, far = 1e-3, 0, 1.0, 1.0
    while steps < MOST_STEPS and gain > LEAST_GAIN and far > 1e-5:
        model = free.model(task, now)
        fresh = None
        for _ in range(_TRIES):
            steps += 1
            trial = _try(task, model.step(now.q, damping))
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
    return Answer(now.q, now.kin, steps, now.cost)
