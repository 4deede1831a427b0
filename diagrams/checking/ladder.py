"""Whether a step of a ladder asks more than the step before: component by component, from the poses alone.

A step is harder if nothing relaxes and at least one thing tightens. For nerve exercises the components are the joints
that lengthen the nerve's bed; elsewhere they are how far joints go, how small the support is and how far the mass lies
from it. The check never says anything about strain or safety: the order of a ladder is the clinician's.

Sources: Coppieters et al. 2006, J Orthop Res 24:1883 and Boyd et al. 2013, JOSPT 43:398 (hip, knee, ankle); Coppieters
et al. 2002, Anesthesiology 97:75 (neck, shoulder, elbow, wrist).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from limberleaf.diagrams.solving.solved import SolvedFigure, SolvedPose

NOISE = 5.0  # degrees; healthy sides differ by this much (Boyd & Villa 2012, BMC Musculoskelet Disord 13:245)
NerveName = Literal["sciatic", "median"]

# Sign with which a motion lengthens the nerve's bed; {side} is the affected one, {away} turns the head from it.
_SCIATIC = {
    "hip_{side}.flexion": 1.0,
    "knee_{side}.flexion": -1.0,
    "ankle_{side}.dorsiflexion": 1.0,
    "lumbar.flexion": 1.0,
    "thoracic.flexion": 1.0,
    "neck.flexion": 1.0,
    "hip_{side}.abduction": -1.0,
    "hip_{side}.internal_rotation": 1.0,
}
_MEDIAN = {
    "shoulder_{side}.abduction": 1.0,
    "shoulder_{side}.internal_rotation": -1.0,
    "shoulder_girdle_{side}.elevation": -1.0,
    "elbow_{side}.flexion": -1.0,
    "forearm_{side}.pronation": -1.0,
    "wrist_{side}.flexion": -1.0,
    "fingers_{side}.flexion": -1.0,
    "neck.side_bend_{side}": -1.0,
}
NERVES: Mapping[NerveName, Mapping[str, float]] = {"sciatic": _SCIATIC, "median": _MEDIAN}


@dataclass(frozen=True)
class Comparison:
    """How a step compares with the one before: names of the components that tighten and relax by more than noise."""

    harder: tuple[str, ...]
    easier: tuple[str, ...]

    @property
    def verdict(self) -> Literal["harder", "easier", "mixed", "same"]:
        """Return harder, easier, mixed, or same."""
        if self.harder:
            return "mixed" if self.easier else "harder"
        return "easier" if self.easier else "same"


def _angle(pose: SolvedPose, name: str) -> float:
    if name.startswith("neck.side_bend_"):
        value = pose.posed.angles["neck.side_bend_right"]
        return value if name.endswith("right") else -value
    return pose.posed.angles[name]


def nerve_components(pose: SolvedPose, nerve: NerveName, side: str) -> dict[str, float]:
    """Return the signed degrees by which each joint lengthens a nerve's bed; larger asks more."""
    return {
        name.replace("{side}", side): sign * _angle(pose, name.replace("{side}", side))
        for name, sign in NERVES[nerve].items()
    }


def ladder_vector(figure: SolvedFigure, nerve: NerveName | None = None) -> dict[str, float]:
    """Return the components of what a figure asks at its most demanding pose; larger asks more.

    With a nerve: the joints of its bed on the affected side. Otherwise: the range each stated joint moves through, the
    share of standing support that is taken away and the number of hands that help (negative).
    """
    if nerve is not None:
        rows = [nerve_components(pose, nerve, figure.affected) for pose in figure.poses]
        best = max(range(len(rows)), key=lambda i: sum(rows[i].values()))
        return rows[best]
    out: dict[str, float] = {}
    names = sorted({name for pose in figure.poses for name in pose.stated})
    for name in names:
        values = [pose.posed.angles[name] for pose in figure.poses]
        out[f"range of {name}"] = max(values) - min(values) if len(values) > 1 else abs(values[0])
    last = figure.poses[-1]
    resting = [c for c in last.contacts if c.carries]
    out["support taken away"] = -100.0 * _support_area(last)
    hands = {s for c in resting for s in c.segments if s.startswith(("hand", "fingers", "forearm"))}
    out["hands that help"] = -10.0 * len({s.rpartition("_")[2] for s in hands})
    return out


def _support_area(pose: SolvedPose) -> float:
    """Return the area of the support's outline seen from above, in H squared."""
    if len(pose.support) < 3:
        return 0.0
    import numpy as np  # steps of figures that are kept are compared without it

    x = np.array([p[0] for p in pose.support])
    z = np.array([p[2] for p in pose.support])
    return float(abs(x @ np.roll(z, -1) - z @ np.roll(x, -1)) / 2)


def compare_steps(
    before: Mapping[str, float], after: Mapping[str, float], noise: float = NOISE
) -> Comparison:
    """Compare two ladder vectors on the components they share; differences up to `noise` count as none."""
    shared = [name for name in before if name in after]
    small = {name: 0.5 if name == "support taken away" else noise for name in shared}
    return Comparison(
        harder=tuple(name for name in shared if after[name] - before[name] > small[name]),
        easier=tuple(name for name in shared if before[name] - after[name] > small[name]),
    )


def is_slider(before: SolvedPose, after: SolvedPose, nerve: NerveName, side: str) -> bool:
    """Say whether one end of a nerve's bed tightens while another slackens between two poses."""
    one, two = nerve_components(before, nerve, side), nerve_components(after, nerve, side)
    change = [two[name] - one[name] for name in one]
    return max(change) > NOISE and min(change) < -NOISE
