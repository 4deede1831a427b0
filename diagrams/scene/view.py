"""Which view shows an exercise best, and what a chosen view hides.

Candidate cameras come from `camera.py`. Each is scored without pixels: every segment carries sample points, a sample
is hidden when another segment's sphere lies in front of it on paper, and a segment is foreshortened when it looks
shorter than it is. The score joins the worst and the mean important segment, the other touching ones, and how much of
the movement itself is seen. Plain side and front views get a small head start, because everybody reads them at once.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from limberleaf.diagrams.body.skeleton import SIDES, Posed
from limberleaf.diagrams.scene.camera import (
    FROM_BEHIND,
    RAISE,
    SLICE,
    BodyAxes,
    Camera,
    Vec,
    body_axes,
    camera_at,
    candidates,
    named_camera,
)
from limberleaf.diagrams.scene.emphasis import (
    NAMES,
    SEGMENTS,
    figure_motions,
    main_segments,
    meeting,
    near_side,
)
from limberleaf.diagrams.solving.solved import PlacedProp, SolvedFigure, SolvedPose

GOOD_ENOUGH = 1.0
"""A plain view this clear (of 1.13) is taken without trying the others."""
PLAIN_BONUS = 0.10
"""Head start of exact side and front views (chosen so that the score agrees with the eye; no source)."""
ABOVE_PENALTY = 0.10
"""Nobody sees a person straight from above; the view is kept for what no other shows."""
NEAR_BONUS = 0.05
"""The affected side in front, when all else is equal."""
ENOUGH_LENGTH = 0.90
ENOUGH_SEEN = 0.75
LEAST_LENGTH = 0.65
LEAST_SEEN = 0.50
SAMPLES = 5


@dataclass(frozen=True)
class Sight:
    """How one camera sees one pose: by segment, seen length over true length, and visible share."""

    lengths: Vec
    seen: Vec


@dataclass(frozen=True)
class ViewScore:
    """A candidate camera and its score; 1 is perfect, the head start comes on top."""

    camera: Camera
    score: float


_ALONG = np.linspace(0.1, 0.9, SAMPLES)[None, :, None]
_ACROSS = np.array([-0.6, 0.0, 0.6])[:, None]


@dataclass(frozen=True)
class _Samples:
    """Places along all segments whose sight is tested: their segments (n,) and radii (n,), and the same of blockers.

    Blockers (m,) are those places and the spheres that give the trunk its breadth. `own` (n, m): of one segment;
    `reach` (n, m): square of the distance on paper within which a blocker can hide some of a place.
    """

    owner: NDArray[np.intp]
    radii: Vec
    blocker_radii: Vec
    own: NDArray[np.bool_]
    reach: Vec


@cache
def _samples() -> _Samples:
    owner = np.repeat(np.arange(len(SEGMENTS)), SAMPLES)
    radii = np.array([radius for *_, radius in SEGMENTS])[owner]
    blocker = np.concatenate([owner, np.full(2 * len(_TRUNK), NAMES.index("trunk"))])
    blocker_radii = np.concatenate([radii, np.full(2 * len(_TRUNK), 0.05)])
    reach = (blocker_radii + np.abs(_ACROSS).max() * radii[:, None]) ** 2
    return _Samples(owner, radii, blocker_radii, owner[:, None] == blocker[None, :], reach)


def sights(posed: Posed, cameras: Sequence[Camera], props: Sequence[PlacedProp] = ()) -> list[Sight]:
    """Return how each camera sees a pose; arrays in the order of NAMES."""
    known = _samples()
    starts = np.array([posed.points[start] for _, start, _, _ in SEGMENTS])
    ends = np.array([posed.points[end] for _, _, end, _ in SEGMENTS])
    places = (starts[:, None] * (1 - _ALONG) + ends[:, None] * _ALONG).reshape(-1, 3)
    blockers = np.concatenate([places, _trunk_width(posed)])
    true = np.linalg.norm(ends - starts, axis=1)
    result = []
    for camera in cameras:
        across, up, depth = (blockers @ way for way in (camera.right, camera.up, camera.toward))
        along_x, along_y = (ends - starts) @ camera.right, (ends - starts) @ camera.up
        size = np.sqrt(along_x**2 + along_y**2)
        width = known.radii / np.maximum(size, 1e-6)[known.owner] * _ACROSS
        middle_x, middle_y = across[: len(places)], up[: len(places)]
        limit = depth[: len(places)] + 0.3 * known.radii + 0.005
        # Few blockers lie before a place and near it on paper; only they are looked at more closely.
        gap = (middle_x[:, None] - across) ** 2 + (middle_y[:, None] - up) ** 2
        place, blocker = np.nonzero((gap < known.reach) & (depth > limit[:, None]) & ~known.own)
        spot_x = middle_x - along_y[known.owner] * width  # (3, n)
        spot_y = middle_y + along_x[known.owner] * width
        gap = (spot_x[:, place] - across[blocker]) ** 2 + (spot_y[:, place] - up[blocker]) ** 2
        row, pair = np.nonzero(gap < known.blocker_radii[blocker] ** 2)
        hidden = np.zeros(spot_x.shape, dtype=bool)
        hidden[row, place[pair]] = True
        hidden |= _behind_blocks(places, camera, props)
        seen = 1.0 - hidden.sum(axis=0).reshape(len(SEGMENTS), SAMPLES).mean(axis=1) / len(_ACROSS)
        result.append(Sight(size / true, seen))
    return result


def _behind_blocks(places: Vec, camera: Camera, props: Sequence[PlacedProp]) -> NDArray[np.bool_]:
    """Whether a straight way from each place to the eye runs through a solid block (slab test)."""
    hidden = np.zeros(len(places), dtype=bool)
    for prop in props:
        for block in prop.blocks:
            local = (places - block.centre) @ block.axes
            way = camera.toward @ block.axes
            way = np.where(np.abs(way) < 1e-9, 1e-9, way)
            one, two = (-block.half - local) / way, (block.half - local) / way
            near, far = np.minimum(one, two).max(axis=1), np.maximum(one, two).min(axis=1)
            # A place that touches a surface is not hidden by it.
            hidden |= (far - np.maximum(near, 0.0) > 0.004) & (near > 0.02)
    return hidden


_TRUNK = ((0, "pelvis", 0.045), (1, "pelvis", 0.04), (3, "lumbar", 0.03), (5, "thorax", 0.045))


def _trunk_width(posed: Posed) -> Vec:
    """Spheres that give the trunk its breadth."""
    places = []
    for index, frame, across in _TRUNK:
        middle, right = posed.points[f"spine_{index}"], posed.frames[frame][:, 2] * across
        places += [middle + right, middle - right]
    return np.array(places)


def _touching(figure: SolvedFigure) -> list[str]:
    names = {
        segment
        for pose in figure.poses
        for contact in pose.contacts
        if contact.author
        for segment in contact.segments
        if segment in NAMES
    }
    return sorted(names)


def score_views(figure: SolvedFigure, cameras: Sequence[Camera]) -> list[ViewScore]:
    """Return the cameras with their scores, in the order given."""
    wanted = segment_groups(figure)
    others = [NAMES.index(name) for name in _touching(figure)]
    last = sights(figure.poses[-1].posed, cameras, figure.poses[-1].props)
    first = sights(figure.poses[0].posed, cameras, figure.poses[0].props) if len(figure.poses) > 1 else last
    # Where limbs are laid on each other the plain views say least about how.
    bonus = 0.0 if meeting(figure) else PLAIN_BONUS
    movement, facing = _movement(figure, cameras), _facing(figure, cameras)
    result = []
    for number, camera in enumerate(cameras):
        clear = np.array([_clear(last[number], group) for group in wanted])
        before = np.array([_clear(first[number], group) for group in wanted])
        rest = min(
            (min(1.0, last[number].lengths[i] / 0.5) * min(1.0, last[number].seen[i] / 0.35) for i in others),
            default=1.0,
        )
        head = min(first[number].seen[NAMES.index("head")], last[number].seen[NAMES.index("head")])
        plain = bonus if camera.name in {"side", "front"} and camera.elevation < 20 else 0.0
        plain += NEAR_BONUS if abs(camera.azimuth) < 90 else 0.0
        plain -= ABOVE_PENALTY if camera.name == "above" else 0.0
        score = 0.30 * clear.min() + 0.15 * clear.mean() + 0.10 * before.mean() + 0.1 * rest
        score += 0.20 * movement[number] + 0.1 * head + 0.05 * facing[number] + plain
        result.append(ViewScore(camera, round(float(score), 4)))
    return result


def segment_groups(figure: SolvedFigure) -> list[tuple[int, ...]]:
    """The important segments; a left and right pair that moves alike counts once, by its clearer half.

    So does a leg that ends up standing beside the other one: nobody misses the half that its twin covers.
    """
    names = list(main_segments(figure)) or list(NAMES)
    groups: list[tuple[int, ...]] = []
    for name in names:
        kind, _, side = name.rpartition("_")
        twin = f"{kind}_{'left' if side == 'right' else 'right'}"
        paired = twin in names or (kind in {"thigh", "shank", "foot"} and _both_stand(figure))
        if side in SIDES and paired and _alike(figure, name, twin):
            pair = tuple(sorted((NAMES.index(name), NAMES.index(twin))))
        else:
            pair = (NAMES.index(name),)
        if pair not in groups:
            groups.append(pair)
    return groups


def _both_stand(figure: SolvedFigure) -> bool:
    """Whether both feet bear the body's weight on the floor in the last pose."""
    last = figure.poses[-1]
    feet = {c.part.split(" ")[0] for c in last.contacts if c.carries and c.part.endswith("foot")}
    return len(figure.poses) > 1 and feet >= set(SIDES)


def _alike(figure: SolvedFigure, one: str, two: str) -> bool:
    """Whether two segments point the same way, give or take 20 degrees, in the last pose, seen from the flank."""
    points = figure.poses[-1].posed.points
    across = figure.poses[0].posed.base[:, 2]
    ways = []
    for name in (one, two):
        _, start, end, _ = SEGMENTS[NAMES.index(name)]
        way = points[end] - points[start]
        way = way - (way @ across) * across
        ways.append(way / max(float(np.linalg.norm(way)), 1e-9))
    return bool(ways[0] @ ways[1] > np.cos(np.radians(20)))


def _clear(sight: Sight, group: tuple[int, ...]) -> float:
    """How clearly the best member of a group is seen, 0 to 1."""
    return max(
        float(min(1.0, sight.lengths[i] / ENOUGH_LENGTH) * min(1.0, sight.seen[i] / ENOUGH_SEEN))
        for i in group
    )


def _facing(figure: SolvedFigure, cameras: Sequence[Camera]) -> Vec:
    """1 where the face is seen in every panel, falling to 0 where it looks away; turns ask for the face itself."""
    turning = any(
        "rotation" in name and not name.endswith("internal_rotation") for name in figure_motions(figure)[:1]
    )
    ways = np.array([pose.posed.frames["head"][:, 0] for pose in figure.poses])
    seen = (ways @ np.array([camera.toward for camera in cameras]).T).min(axis=0)
    if turning:
        chest = np.array([pose.posed.frames["thorax"][:, 0] for pose in figure.poses])
        seen = (chest @ np.array([camera.toward for camera in cameras]).T).min(axis=0)
        return np.asarray(np.clip((seen - 0.25) / 0.08, -3.0, 1.0))
    return np.asarray(np.clip((seen + 0.6) / 0.4, 0.0, 1.0))


def _movement(figure: SolvedFigure, cameras: Sequence[Camera]) -> Vec:
    """How much of the furthest-moving end's path each camera sees, 0 to 1; 1 when nothing moves."""
    if len(figure.poses) < 2:
        return np.ones(len(cameras))
    first, last = figure.poses[0].posed.points, figure.poses[-1].posed.points
    ends = [p for _, a, b, _ in SEGMENTS for p in (a, b)]
    steps = np.array([last[p] - first[p] for p in ends])
    step = steps[int(np.argmax(np.linalg.norm(steps, axis=1)))]
    length = float(np.linalg.norm(step))
    if length < 1e-3:
        return np.ones(len(cameras))
    seen = [np.hypot(step @ camera.right, step @ camera.up) / length for camera in cameras]
    return np.minimum(1.0, np.array(seen) / ENOUGH_LENGTH)


def figure_axes(figure: SolvedFigure) -> BodyAxes:
    """Return the axes the figure's cameras are named from: its first pose's base position."""
    return body_axes(figure.poses[0].posed.base, near_side(figure))


TRUE_SLICE = 6.0
"""A view whose angles are printed is turned and raised only so far: the paper then shows them within a degree."""
KNEES_UP = (58.0, 45.0)
"""The front of somebody on the back with bent knees is seen from beyond the feet: from above they look straight."""
STANDS_UP = 0.12
"""How far (H) above the hips of somebody lying a knee counts as bent up."""
OVER_THE_TOP = (-15.0, 27.0)
"""From where a cloth that slides over a table is seen, with both hands on it: from lower down one hides the other."""
ON_TABLE = 0.2
"""Height (H) from which a cloth lies on a table and not on the ground."""
AHEAD = frozenset({"wall", "table", "worktop", "doorway", "bed"})
"""Furniture whose face is looked at from a little behind the body when it stands ahead."""


def authors_camera(figure: SolvedFigure, axes: BodyAxes, scale: float) -> Camera:
    """Return the camera for the view an author names, moved a little so that furniture hides nothing."""
    name, first = figure.spec.view, figure.poses[0]

    def at(azimuth: float, elevation: float) -> Camera:
        return camera_at(axes, name, azimuth, elevation, scale)

    if axes.lying:
        stated = [motion for pose in figure.poses for motion in pose.stated]
        flat = name == "side" and stated and all(m.startswith(("pelvis", "lumbar")) for m in stated)
        if flat and not axes.on_side:
            return at(9, 2)  # what matters is the gap between the back and the floor
        return at(*KNEES_UP) if name == "front" and _knees_up(first) else named_camera(axes, name, scale)
    if name == "front":
        return at(72, 12) if first.posture.startswith("sitting") else named_camera(axes, name, scale)
    if name == "side" and figure.spec.angle:
        return at(TRUE_SLICE, TRUE_SLICE)
    angles = _past_things(figure, axes, name)
    return at(*angles) if angles else named_camera(axes, name, scale)


def _past_things(figure: SolvedFigure, axes: BodyAxes, name: str) -> tuple[float, float] | None:
    """Return the angles from which things beside an upright body, or before it, hide least; None where none does."""
    kinds = {prop.kind for pose in figure.poses for prop in pose.props}
    if name == "slant" and kinds & {"step", "stairs"}:
        return SLICE, 14.0  # both feet are seen before and on the step
    if name == "slant" and any(prop.beside for prop in figure.spec.props):
        return 36.0, 15.0
    if name in {"side", "slant"} and _cloth_on_table(figure.poses[0]):
        return OVER_THE_TOP
    if name in {"side", "slant"} and _stands_ahead(figure, axes):
        return FROM_BEHIND, RAISE
    return None


def _knees_up(pose: SolvedPose) -> bool:
    """Whether somebody lies on the back and a knee stands up."""
    points = pose.posed.points
    top = max(float(points[f"knee_{side}"][1]) for side in SIDES)
    return pose.base_name == "supine" and top - float(points["pelvis_mid"][1]) > STANDS_UP


def _cloth_on_table(pose: SolvedPose) -> bool:
    """Whether both hands lie on a cloth on a table."""
    hands = [contact for contact in pose.contacts if contact.part.endswith("hand") and contact.carries]
    cloths = [block for prop in pose.props if prop.form == "flat" for block in prop.blocks]
    return len(hands) == len(SIDES) and any(block.centre[1] > ON_TABLE for block in cloths)


def _stands_ahead(figure: SolvedFigure, axes: BodyAxes) -> bool:
    """Whether a wall or a table stands before the body."""
    pelvis = figure.poses[0].posed.points["pelvis_mid"]
    return any(
        float((np.mean([block.centre for block in prop.blocks], axis=0) - pelvis) @ axes.front) > 0.1
        for prop in figure.poses[0].props
        if prop.kind in AHEAD and prop.blocks
    )


_CHOSEN: dict[str, tuple[str, float, float]] = {}
"""Views already chosen, by the author's words: both sides of a figure share one, as they are mirror images."""


def choose_view(figure: SolvedFigure, scale: float) -> Camera:
    """Return the author's camera, or the candidate with the best score (the earlier one when equal)."""
    axes = figure_axes(figure)
    if figure.spec.view != "auto":
        return authors_camera(figure, axes, scale)
    key = figure.spec.words_of_body()
    if key not in _CHOSEN:
        cameras = candidates(axes, scale)
        # The tables list the plain views first, so that of equal scores the plainer camera is taken.
        plain = [camera for camera in cameras if camera.name in {"side", "front"} and camera.elevation < 20]
        rows = score_views(figure, plain)
        if meeting(figure) or max(row.score for row in rows) < GOOD_ENOUGH:
            rows += score_views(figure, cameras[len(plain) :])
        best = max(rows, key=lambda row: row.score).camera
        _CHOSEN[key] = (best.name, best.azimuth, best.elevation)
    return camera_at(axes, *_CHOSEN[key], scale)
