"""The results that the solver hands to the drawing, the checks and the page: plain frozen data.

Everything is in the world of `body.py`: units of stature H, X forward, Y up, Z to the subject's right.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from limberleaf.diagrams.adults import AVERAGE
from limberleaf.diagrams.body.skeleton import Array, Posed, Side, Vec3
from limberleaf.diagrams.language.spec import FigureSpec
from limberleaf.diagrams.problem import Path, Problem, Severity

__all__ = ["Path", "Problem", "Severity"]  # of problem.py, asked for here too


@dataclass(frozen=True)
class Block:
    """A solid box of a prop: centre, unit axes as columns (along, up, across) and half sizes, in H."""

    name: str
    centre: Vec3
    axes: Array
    half: Vec3


@dataclass(frozen=True)
class Rod:
    """A solid round bar of a prop, from end to end, in H."""

    name: str
    start: Vec3
    end: Vec3
    radius: float


@dataclass(frozen=True)
class Sphere:
    """A solid ball of a prop, in H."""

    name: str
    centre: Vec3
    radius: float


@dataclass(frozen=True)
class Line:
    """A thin, bendable part of a prop (band, strap) through points, in H. `closed` for a loop."""

    name: str
    points: tuple[Vec3, ...]
    width: float
    closed: bool = False


@dataclass(frozen=True)
class PlacedProp:
    """A prop in its place.

    `blocks`, `rods` and `spheres` are solid, `lines` are not. A chair has blocks `seat` and `back`, a table or
    worktop `top`, stairs `step 1` ..., a wall `wall`, a doorway `left post` and `right post`; legs are left to
    the drawing. `forward` is the way it faces (a chair: away from its back). `carries`: it bears weight.
    """

    kind: str
    name: str
    forward: Vec3
    blocks: tuple[Block, ...] = ()
    rods: tuple[Rod, ...] = ()
    spheres: tuple[Sphere, ...] = ()
    lines: tuple[Line, ...] = ()
    form: str = ""
    carries: bool = False
    path: Path = ()


@dataclass(frozen=True)
class ContactReport:
    """What one contact came to. `error` in H: how far the part stays off (or sinks in); `points` touch.

    `off_spot` (H): how far it is from the spot that the author named on the surface (behind, beside ... a part).
    """

    part: str
    place: str
    kind: Literal["on", "holding"]
    error: float
    points: tuple[Vec3, ...]
    segments: tuple[str, ...]
    author: bool
    path: Path
    carries: bool = True
    off_spot: float = 0.0


@dataclass(frozen=True)
class SolvedPose:
    """One panel: the body, the props around it and what the solver did.

    `stated` are the author's angles in degrees by motion name, `free` what the solver chose for the others,
    `moved` the motion names that differ from the pose before by more than half a degree. `margin` (H): how far
    the mass centre lies inside what supports the body; negative outside; None when nothing supports it.
    `support` is the outline of that support, `ground` the height the posture lies or sits on (a bed: its top).
    `directions`: by path-like name, how many degrees each stated direction is off.
    """

    posture: str
    base_name: str
    posed: Posed
    props: tuple[PlacedProp, ...]
    contacts: tuple[ContactReport, ...]
    stated: Mapping[str, float]
    free: Mapping[str, float]
    at_limit: tuple[str, ...]
    moved: tuple[str, ...]
    support: tuple[Vec3, ...]
    margin: float | None
    ground: float
    caption: str | None
    iterations: int
    directions: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True)
class SolvedFigure:
    """All panels of a figure for one affected side, with everything that is wrong with it."""

    affected: Side
    lead: Side
    poses: tuple[SolvedPose, ...]
    problems: tuple[Problem, ...]
    spec: FigureSpec
    build: str = AVERAGE
