"""The solver's optimum against SciPy's `least_squares` (trust region reflective, bounded) on the same residuals."""

from pathlib import Path

import numpy as np
import pytest
import yaml
from scipy.optimize import least_squares

from limberleaf.diagrams.body.kinematics import forward, posed
from limberleaf.diagrams.body.skeleton import skeleton
from limberleaf.diagrams.language.spec import FigureSpec
from limberleaf.diagrams.solving import solve

POSES = Path(__file__).parents[1] / "diagrams" / "poses"
POSTURES = [
    "sitting",
    "supine",
    "crook_lying",
    "long_sitting_leaning",
    "prone_on_elbows",
    "squat",
]


def first_task(monkeypatch, figure):
    """Return the first task that solving a figure sets, with its start and the solver's answer."""
    seen = []
    real = solve.minimise

    def listen(task, start):
        answer = real(task, start)
        seen.append((task, start.copy(), answer))
        return answer

    monkeypatch.setattr(solve, "minimise", listen)
    solve.solve_bodies(FigureSpec.model_validate(figure))
    return seen[0]


def scipy_optimum(task, start):
    free = np.flatnonzero(~task.frozen)
    base = np.clip(start, task.low, task.high)
    base[task.frozen] = task.targets[task.frozen]

    def full(x):
        q = base.copy()
        q[free] = x
        return q

    def residuals(x):
        q = full(x)
        return np.concatenate(
            [task.rows.residual(forward(q, task.base)), (task.prior_weight * (q - task.targets))[free]]
        )

    def slopes(x):
        kin = forward(full(x), task.base)
        rows = task.rows.jacobian(kin, task.rows.residual(kin))[:, free]
        return np.vstack([rows, np.diag(task.prior_weight[free])])

    low, high = task.low[free], task.high[free]
    inside = np.clip(base[free], low + 1e-9, high - 1e-9)
    best = least_squares(
        residuals,
        inside,
        slopes,
        bounds=(low - 1e-12, high + 1e-12),
        xtol=1e-12,
        ftol=1e-12,
        gtol=1e-12,
        max_nfev=200,
    )
    return full(best.x), best.cost


@pytest.mark.parametrize("posture", POSTURES)
def test_the_optimum_is_scipys(posture, monkeypatch):
    task, start, answer = first_task(monkeypatch, {"poses": [{"posture": posture}]})
    q, cost = scipy_optimum(task, start)
    assert answer.cost <= cost * 1.01 + 1e-8
    ours, theirs = posed(answer.q, task.base), posed(q, task.base)
    gap = max(np.abs(ours.points[n] - theirs.points[n]).max() for n in skeleton().points)
    assert gap < 2e-3  # H; 3 mm on a 1.70 m person, where the residuals hardly care


def test_the_hard_hold_is_no_worse_than_scipys(monkeypatch):
    figure = yaml.safe_load(
        (POSES / "figure-four-lying.yml").read_text(encoding="utf-8").replace(" on:", " 'on':")
    )
    task, start, answer = first_task(monkeypatch, figure["figure"])
    _, cost = scipy_optimum(task, start)
    assert answer.cost <= cost * 1.05 + 1e-7


def test_the_analytic_jacobian_is_the_numeric_one(monkeypatch):
    task, start, _ = first_task(monkeypatch, {"poses": [{"posture": "sitting"}]})
    q = start + 0.05 * np.sin(np.arange(len(start)))
    kin = forward(q, task.base)
    ours = task.rows.jacobian(kin, task.rows.residual(kin))
    step = 1e-6
    for column in range(len(q)):
        shift = np.zeros(len(q))
        shift[column] = step
        more, less = (task.rows.residual(forward(q + s * shift, task.base)) for s in (1, -1))
        away = (task.rows.residual(kin) != 0) | ~task.rows.one_sided
        assert np.abs((more - less) / (2 * step) - ours[:, column])[away].max() < 1e-6
