"""Whether a solved body is still in the posture its author named, measured by the rows `holds` of data/postures.yml.

Every posture says what makes it that posture in a few quantities with their range. A pose that leaves a range is
another posture than the one named, however well its contacts close.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from types import MappingProxyType

import numpy as np

from limberleaf.diagrams.body.skeleton import Side, Vec3
from limberleaf.diagrams.checking.check_words import CENTIMETRES
from limberleaf.diagrams.language.words import posture_rows
from limberleaf.diagrams.solving.solved import Path, Problem, SolvedPose

_SLACK = 1e-3  # ranges are rounded; a body at their very end is still inside


def _degrees_up(direction: Vec3) -> float:
    """Return how far a unit direction points above the horizontal, in degrees."""
    return float(np.degrees(np.arcsin(np.clip(direction[1], -1.0, 1.0))))


def _trunk_lean(pose: SolvedPose, _: Side) -> float:
    way = pose.posed.points["spine_6"] - pose.posed.points["pelvis_mid"]
    return 90.0 - _degrees_up(way / np.linalg.norm(way))


def _chest_up(pose: SolvedPose, _: Side) -> float:
    return _degrees_up(pose.posed.frames["thorax"][:, 0])


def _lead_up(pose: SolvedPose, lead: Side) -> float:
    return _degrees_up(pose.posed.frames["pelvis"][:, 2] * (1.0 if lead == "right" else -1.0))


def _pelvis_height(pose: SolvedPose, _: Side) -> float:
    return float(pose.posed.points["pelvis_mid"][1]) - pose.ground


def _feet_apart(pose: SolvedPose, _: Side) -> float:
    """Return how far one ankle is ahead of the other, whichever it is."""
    forward = pose.posed.frames["pelvis"][:, 0] * np.array([1.0, 0.0, 1.0])
    apart = pose.posed.points["ankle_right"] - pose.posed.points["ankle_left"]
    return abs(float(apart @ forward)) / max(float(np.linalg.norm(forward)), 1e-9)


def _feet_aside(pose: SolvedPose, _: Side) -> float:
    """Return how far one ankle is beside the other."""
    apart = pose.posed.points["ankle_right"] - pose.posed.points["ankle_left"]
    across = pose.posed.frames["pelvis"][:, 2] * np.array([1.0, 0.0, 1.0])
    return abs(float(apart @ across)) / max(float(np.linalg.norm(across)), 1e-9)


def _lean_forward(pose: SolvedPose, _: Side) -> float:
    way = pose.posed.points["spine_6"] - pose.posed.points["pelvis_mid"]
    return float(np.degrees(np.arctan2(way @ pose.posed.base[:, 0], way[1])))


def _angle(motion: str, choose: Callable[..., float]) -> Callable[[SolvedPose, Side], float]:
    joint, word = motion.split(".")

    def measure(pose: SolvedPose, _: Side) -> float:
        return choose(pose.posed.angles[f"{joint}_{side}.{word}"] for side in ("left", "right"))

    return measure


# Per measure: how it is measured; what is told when it is too small and too large, with {value} and {limit}.
_MEASURES: Mapping[str, tuple[Callable[[SolvedPose, Side], float], str, str]] = MappingProxyType(
    {
        "trunk_lean": (
            _trunk_lean,
            "the trunk stands up, {value:.0f} degrees from upright (at least {limit:.0f})",
            "the trunk hangs down, {value:.0f} degrees from upright (at most {limit:.0f})",
        ),
        "lean_forward": (
            _lean_forward,
            "the trunk leans {back:.0f} degrees back (at most {back_limit:.0f})",
            "the trunk leans {value:.0f} degrees forward (at most {limit:.0f})",
        ),
        "chest_up": (_chest_up, "the chest does not face up enough", "the chest does not face down enough"),
        "lead_up": (_lead_up, "the body has rolled off its side", "the body has rolled off its side"),
        "pelvis_height": (
            _pelvis_height,
            "the pelvis is {cm:.0f} cm above the ground (at least {cm_limit:.0f})",
            "the pelvis is {cm:.0f} cm above the ground (at most {cm_limit:.0f})",
        ),
        "feet_apart": (
            _feet_apart,
            "one foot is only {cm:.0f} cm in front of the other (at least {cm_limit:.0f})",
            "one foot is {cm:.0f} cm in front of the other (at most {cm_limit:.0f})",
        ),
        "feet_aside": (
            _feet_aside,
            "the feet are only {cm:.0f} cm beside each other (at least {cm_limit:.0f})",
            "the feet are {cm:.0f} cm beside each other (at most {cm_limit:.0f})",
        ),
        "straighter_knee": (
            _angle("knee.flexion", min),
            "a knee is nearly straight, at {value:.0f} degrees (at least {limit:.0f})",
            "both knees bend to {value:.0f} degrees or more (at most {limit:.0f} for one)",
        ),
        "more_bent_knee": (
            _angle("knee.flexion", max),
            "no knee bends to {limit:.0f} degrees",
            "a knee bends to {value:.0f} degrees (at most {limit:.0f})",
        ),
        "more_bent_hip": (
            _angle("hip.flexion", max),
            "no hip bends to {limit:.0f} degrees",
            "a hip bends to {value:.0f} degrees (at most {limit:.0f})",
        ),
    }
)


def measure(name: str, pose: SolvedPose, lead: Side) -> float:
    """Return one quantity of a solved pose, in degrees or in H; KeyError for an unknown name."""
    return _MEASURES[name][0](pose, lead)


def check_posture(pose: SolvedPose, lead: Side, path: Path) -> Iterator[Problem]:
    """Report a body that is no longer in its named posture: the first quantity that says so."""
    reason = next(_departures(pose, lead), None)
    if reason is not None:
        name = pose.posture.replace("_", " ")
        yield Problem(
            "posture-lost",
            "error",
            f"This is no longer {name}: {reason}.",
            f"Name the posture that is meant, or let {name} keep what makes it that.",
            path,
        )


def _departures(pose: SolvedPose, lead: Side) -> Iterator[str]:
    """Yield what takes a pose out of its posture, in words."""
    holds = dict(posture_rows()[pose.posture]["holds"])
    resting = {part for c in pose.contacts if c.carries for part in (c.part, c.part.partition(" ")[2])}
    for group in holds.pop("rests", ()):
        if not resting & {str(part) for part in group}:
            yield f"no {' or '.join(str(part) for part in group[:3])} rests on anything"
    for name, (low, high) in holds.items():
        value = measure(name, pose, lead)
        _, too_small, too_large = _MEASURES[name]
        if low - _SLACK <= value <= high + _SLACK:
            continue
        limit = low if value < low else high
        text = too_small if value < low else too_large
        yield text.format(
            value=value,
            limit=limit,
            back=-value,
            back_limit=-limit,
            cm=value * CENTIMETRES,
            cm_limit=limit * CENTIMETRES,
        )
