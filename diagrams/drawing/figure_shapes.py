"""What a posed body is drawn from: parts with an outline, and the way all their outlines are traced together.

The story in order: a part's function places its surface in the world (rings along a bone, or a few ellipsoids, from
`data/shapes.yml`), *yields* a `Wish` for the outlines it needs, gets them back as `Traced`, and returns a `BodyPart`.
`trace_parts` runs many such functions side by side and works all their wishes out at once: for arrays as small as
these the number of calls is what takes the time. Nothing is painted here.
"""

from __future__ import annotations

from collections.abc import Generator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from limberleaf.diagrams.body.skeleton import SIDES, Posed, load_data
from limberleaf.diagrams.drawing.hull import Blob, Hull, blob_hulls
from limberleaf.diagrams.drawing.tube import Outline, Rings, outlines
from limberleaf.diagrams.scene.camera import Camera, Vec
from limberleaf.diagrams.writing.displaylist import Command, PathBuilder, Points

Path = tuple[Command, ...]


@dataclass
class BodyPart:
    """One painted part of the body.

    `path`: the outline. `limb`: the limb it belongs to (leg_left, arm_right, core). `places`, `radii`: spheres
    (n, 3) and (n,) in H for depth. `cloth`: the clothed piece, `hem` its edge (5, 2) at a ring number. `details`:
    thin lines or dark fills on the part, as (kind, path).
    """

    name: str
    limb: str
    side: str | None
    path: Path
    places: Vec
    radii: Vec
    tube: Outline | None = None
    cloth: Path | None = None
    hem: Points | None = None
    hem_place: float = 0.0
    details: list[tuple[str, Path]] = field(default_factory=list)


@dataclass(frozen=True)
class Wish:
    """The surfaces a part wants to see outlined."""

    tubes: Sequence[Rings] = ()
    blobs: Sequence[Blob] = ()


@dataclass(frozen=True)
class Traced:
    """The outlines of a wish, in its order."""

    tubes: Sequence[Outline]
    hulls: Sequence[Hull]


Tracing = Generator[Wish, Traced, BodyPart]


def trace_parts(parts: Sequence[Tracing], camera: Camera) -> list[BodyPart]:
    """Return the parts, their outlines worked out together; each may wish once."""
    wishes = [next(part) for part in parts]
    tubes = iter(outlines([tube for wish in wishes for tube in wish.tubes], camera))
    hulls = iter(blob_hulls([blob for wish in wishes for blob in wish.blobs], camera))
    done = []
    for part, wish in zip(parts, wishes, strict=True):
        try:
            part.send(Traced([next(tubes) for _ in wish.tubes], [next(hulls) for _ in wish.blobs]))
        except StopIteration as end:
            done.append(end.value)
    return done


@cache
def shapes() -> dict[str, Any]:
    """Return the surface data, read once."""
    return load_data("shapes")


@cache
def ring_table(name: str) -> Vec:
    """Return the rings of a part as an array (n, 6), see data/shapes.yml."""
    return np.array(shapes()[name], dtype=float)


def sign(side: str) -> float:
    """+1 for the right side, -1 for the left."""
    return 1.0 if side == "right" else -1.0


@dataclass(frozen=True)
class LimbRow:
    """A long part of a limb: its frame, the points it runs between, its rings and how many spheres tell its depth."""

    frame: str
    start: str
    end: str
    rings: str
    spheres: int
    limb: str


LIMBS: Mapping[str, LimbRow] = {
    "thigh": LimbRow("thigh", "hip", "knee", "thigh", 6, "leg"),
    "shank": LimbRow("shank", "knee", "ankle", "shank", 6, "leg"),
    "upper-arm": LimbRow("upper_arm", "shoulder", "elbow", "upper_arm", 5, "arm"),
    "forearm": LimbRow("forearm", "elbow", "wrist", "forearm", 5, "arm"),
    "palm": LimbRow("hand", "wrist", "knuckle", "palm", 3, "arm"),
    "mitt": LimbRow("fingers", "knuckle", "fingertip", "fingers", 3, "arm"),
}
CLOTHED = {"thigh": "shorts", "upper-arm": "sleeve"}


@dataclass(frozen=True)
class _RingPlan:
    """All limb rings in one table: for each row its own bone (number in `bones`), and the slice of every part."""

    bones: tuple[tuple[str, str, str], ...]
    bone: NDArray[np.intp]
    table: Vec
    outward: Vec
    parts: Mapping[str, slice]


@cache
def _ring_plan() -> _RingPlan:
    bones: list[tuple[str, str, str]] = []
    parts: dict[str, slice] = {}
    bone, tables, outward = [], [], []
    row = 0
    for side in SIDES:
        for name, limb in LIMBS.items():
            table = ring_table(limb.rings)
            parts[f"{name}-{side}"] = slice(row, row + len(table))
            bone += [len(bones)] * len(table)
            outward += [sign(side)] * len(table)
            tables.append(table)
            bones.append((f"{limb.start}_{side}", f"{limb.end}_{side}", f"{limb.frame}_{side}"))
            row += len(table)
    return _RingPlan(tuple(bones), np.array(bone), np.vstack(tables), np.array(outward)[:, None], parts)


def limb_rings(posed: Posed) -> dict[str, Rings]:
    """Return the rings of all parts of the limbs in the world, by name such as "shank-left"."""
    plan = _ring_plan()
    start = np.array([posed.points[a] for a, _, _ in plan.bones])[plan.bone]
    end = np.array([posed.points[b] for _, b, _ in plan.bones])[plan.bone]
    frame = np.array([posed.frames[f] for *_, f in plan.bones])[plan.bone]
    centres, axes = _placed(start, end, frame, plan.table, plan.outward)
    return {name: Rings(centres[rows], axes[rows]) for name, rows in plan.parts.items()}


def rings_between(start: Vec, end: Vec, frame: Vec, table: Vec) -> Rings:
    """Place the rings of a table between two points, turned by one frame."""
    return Rings(*_placed(start, end, frame[None], table, 1.0))


def _placed(start: Vec, end: Vec, frame: Vec, table: Vec, outward: Vec | float) -> tuple[Vec, Vec]:
    """Return centres and half-axes of rings; `frame` (n, 3, 3), `outward` +1 on the right, -1 on the left."""
    fore, along, across = frame[:, :, 0], frame[:, :, 1], frame[:, :, 2]
    shift = table[:, 4:5] * fore + outward * table[:, 5:6] * across
    axes = np.stack([table[:, 1:2] * fore, table[:, 3:4] * along, table[:, 2:3] * across], axis=1)
    return start + (end - start) * table[:, :1] + shift, axes


def tube_path(tube: Outline) -> Path:
    """Return the closed outline of a tube."""
    path = PathBuilder()
    tube.whole(path)
    return path.done()


def seam_patch(tube: Outline, *, at_start: bool, reach: float) -> Path | None:
    """Return the short piece of a tube next to a joint, `reach` units long, that covers a neighbour's round end."""
    run = tube.run
    if tube.hull is not None or run[-1] < 1.5 * reach:
        return None
    places = np.arange(len(run), dtype=float)
    path = PathBuilder()
    if at_start:
        tube.strip(path, 0.0, float(np.interp(reach, run, places)))
    else:
        tube.strip(path, float(np.interp(run[-1] - reach, run, places)), len(run) - 1.0)
    return path.done()


HEM_STEPS = 24
_TURN = np.linspace(0, 2 * np.pi, HEM_STEPS + 1)
_COS, _SIN = np.cos(_TURN), np.sin(_TURN)
_TURN_BEFORE = np.arange(HEM_STEPS + 1) - 1


def hem_points(rings: Rings, place: float, camera: Camera) -> Points:
    """Return the visible half of a ring at a fractional ring number on paper (5, 2): a hem round the limb."""
    low = int(min(place, len(rings.centres) - 1.001))
    part = place - low
    centre = rings.centres[low] * (1 - part) + rings.centres[low + 1] * part
    fore, _, across = rings.axes[low] * (1 - part) + rings.axes[low + 1] * part
    towards_fore = float(fore @ camera.toward) / float(fore @ fore)
    towards_across = float(across @ camera.toward) / float(across @ across)
    seen = _COS * towards_fore + _SIN * towards_across >= 0
    # Where the seen half begins; 0 when all or none of it is seen.
    start = int((seen & ~seen[_TURN_BEFORE]).argmax())
    half = (start + np.arange(0, HEM_STEPS // 2 + 1, 3)) % HEM_STEPS
    return camera.project(centre + _COS[half, None] * fore + _SIN[half, None] * across)


def smooth_line(points: Points) -> Path:
    """Return an open smooth line through points."""
    return PathBuilder().move(points[0]).through(points).done()


@cache
def _sphere_plan(name: str) -> tuple[Vec, Vec]:
    """Return the weights (k, n) that spread spheres evenly along a limb's rings, and their radii (k,) in H."""
    limb = LIMBS[name]
    table = ring_table(limb.rings)
    places, index = np.linspace(0, len(table) - 1, limb.spheres), np.arange(len(table))
    weights = np.column_stack([np.interp(places, index, row) for row in np.eye(len(table))])
    return weights, weights @ ((table[:, 1] + table[:, 2]) / 2)


def limb_part(rings: Mapping[str, Rings], name: str, side: str, camera: Camera) -> Tracing:
    """Return a long limb segment."""
    own = rings[f"{name}-{side}"]
    traced = yield Wish([own])
    tube = traced.tubes[0]
    weights, radii = _sphere_plan(name)
    limb = f"{LIMBS[name].limb}_{side}"
    part = BodyPart(f"{name}-{side}", limb, side, tube_path(tube), weights @ own.centres, radii, tube)
    if name in CLOTHED:
        _dress(part, own, tube, camera, _hem_place(name))
    return part


@cache
def _hem_place(name: str) -> float:
    """Return the ring number at which a limb's clothes end."""
    table = ring_table(LIMBS[name].rings)
    return float(np.interp(shapes()["clothes"][CLOTHED[name]], table[:, 0], np.arange(len(table))))


def _dress(part: BodyPart, rings: Rings, tube: Outline, camera: Camera, place: float) -> None:
    if tube.hull is not None:
        part.cloth = part.path
        return
    hem = hem_points(rings, place, camera)
    path = PathBuilder()
    tube.piece(path, 0.0, place, cap_start=True, edge=hem)
    part.cloth, part.hem, part.hem_place = path.done(), hem, place
    part.details.append(("hem", smooth_line(hem)))
