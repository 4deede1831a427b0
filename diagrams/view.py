"""Which view shows an exercise best, and what a chosen view hides.

Candidate cameras come from `camera.py`. Each is scored without pixels: every segment carries sample points, a sample
is hidden when another segment's sphere lies in front of it on paper, and a segment is foreshortened when it looks
shorter than it is. The score joins the worst and the mean important segment, the other touching ones, and how much of
the movement itself is seen. Plain side and front views get a small head start, because everybody reads them at once.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from diagrams.body import SIDES, Posed
from diagrams.camera import BodyAxes, Camera, Vec, body_axes, camera_at, candidates, named_camera
from diagrams.emphasis import NAMES, SEGMENTS, figure_motions, main_segments, meeting, near_side
from diagrams.solved import PlacedProp, Problem, SolvedFigure

GOOD_ENOUGH = 1.0
"""A plain view this clear (of 1.13) is taken without trying the others."""
PLAIN_BONUS = 0.10
"""Head start of exact side and front views (chosen so that the score agrees with the eye; no source)."""
ABOVE_PENALTY = 0.10
"""Nobody sees a person straight from above; the view is kept for what no other shows."""
NEAR_BONUS = 0.03
"""The affected side in front, when all else is equal."""
ENOUGH_LENGTH = 0.90
ENOUGH_SEEN = 0.75
LEAST_LENGTH = 0.70
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


def sights(posed: Posed, cameras: Sequence[Camera], props: Sequence[PlacedProp] = ()) -> list[Sight]:
    """Return how each camera sees a pose; arrays in the order of NAMES."""
    starts = np.array([posed.points[a] for _, a, _, _ in SEGMENTS])
    ends = np.array([posed.points[b] for _, _, b, _ in SEGMENTS])
    radius = np.array([r for *_, r in SEGMENTS])
    share = np.linspace(0.1, 0.9, SAMPLES)[None, :, None]
    places = (starts[:, None] * (1 - share) + ends[:, None] * share).reshape(-1, 3)
    owner = np.repeat(np.arange(len(SEGMENTS)), SAMPLES)
    radii = np.repeat(radius, SAMPLES)
    wide = _trunk_width(posed)
    blockers = np.vstack([places, wide])
    blocker_owner = np.concatenate([owner, np.full(len(wide), NAMES.index("trunk"))])
    blocker_radii = np.concatenate([radii, np.full(len(wide), 0.05)])
    true = np.linalg.norm(ends - starts, axis=1)
    own = owner[:, None] == blocker_owner[None, :]
    result = []
    for camera in cameras:
        basis = np.column_stack([camera.right, camera.up])
        lengths = np.linalg.norm((ends - starts) @ basis, axis=1) / true
        flat, depth = places @ basis, places @ camera.toward
        blocked_flat, blocked_depth = blockers @ basis, blockers @ camera.toward
        along = ((ends - starts) @ basis)[owner]
        size = np.maximum(np.linalg.norm(along, axis=1), 1e-6)[:, None]
        normal = np.column_stack([-along[:, 1], along[:, 0]]) / size
        behind_prop = _behind_blocks(places, camera, props)
        hidden = np.zeros(len(places))
        ahead = (blocked_depth[None, :] > depth[:, None] + 0.3 * radii[:, None] + 0.005) & ~own
        for offset in (-0.6, 0.0, 0.6):
            spot = flat + normal * (offset * radii)[:, None]
            gap = ((spot[:, None, :] - blocked_flat[None]) ** 2).sum(axis=2)
            hidden += (ahead & (gap < blocker_radii[None, :] ** 2)).any(axis=1) | behind_prop
        seen = 1.0 - hidden.reshape(len(SEGMENTS), SAMPLES).mean(axis=1) / 3
        result.append(Sight(lengths, seen))
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


def _trunk_width(posed: Posed) -> Vec:
    """Spheres that give the trunk its breadth."""
    places = []
    for index, frame, across in (
        (0, "pelvis", 0.045),
        (1, "pelvis", 0.04),
        (3, "lumbar", 0.03),
        (5, "thorax", 0.045),
    ):
        middle, right = posed.points[f"spine_{index}"], posed.frames[frame][:, 2]
        places += [middle + right * across, middle - right * across]
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
    wanted = _groups(figure)
    others = [NAMES.index(name) for name in _touching(figure)]
    last = sights(figure.poses[-1].posed, cameras, figure.poses[-1].props)
    first = sights(figure.poses[0].posed, cameras, figure.poses[0].props) if len(figure.poses) > 1 else last
    # Where limbs are laid on each other the plain views say least about how.
    bonus = PLAIN_BONUS / 3 if meeting(figure) else PLAIN_BONUS
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
        plain = bonus if camera.name in {"side", "front"} and camera.elevation < 15 else 0.0
        plain += NEAR_BONUS if abs(camera.azimuth) < 90 else 0.0
        plain -= ABOVE_PENALTY if camera.name == "above" else 0.0
        score = 0.30 * clear.min() + 0.15 * clear.mean() + 0.10 * before.mean() + 0.1 * rest
        score += 0.20 * movement[number] + 0.1 * head + 0.05 * facing[number] + plain
        result.append(ViewScore(camera, round(float(score), 4)))
    return result


def _groups(figure: SolvedFigure) -> list[tuple[int, ...]]:
    """The important segments; a left and right pair that moves alike counts once, by its clearer half."""
    names = list(main_segments(figure)) or list(NAMES)
    groups: list[tuple[int, ...]] = []
    for name in names:
        kind, _, side = name.rpartition("_")
        twin = f"{kind}_{'left' if side == 'right' else 'right'}"
        if side in SIDES and twin in names and _alike(figure, name, twin):
            pair = tuple(sorted((NAMES.index(name), NAMES.index(twin))))
        else:
            pair = (NAMES.index(name),)
        if pair not in groups:
            groups.append(pair)
    return groups


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


_CHOSEN: dict[str, tuple[str, float, float]] = {}
"""Views already chosen, by the author's words: both sides of a figure share one, as they are mirror images."""


def choose_view(figure: SolvedFigure, scale: float) -> Camera:
    """Return the author's camera, or the candidate with the best score (the earlier one when equal)."""
    axes = figure_axes(figure)
    if figure.spec.view != "auto":
        return named_camera(axes, figure.spec.view, scale)
    key = figure.spec.model_dump_json(exclude={"poses": {"__all__": {"caption"}}})
    if key not in _CHOSEN:
        cameras = candidates(axes, scale)
        plain = [camera for camera in cameras if camera.name in {"side", "front"} and camera.elevation < 15]
        best = max(score_views(figure, plain), key=lambda row: row.score)
        if best.score < GOOD_ENOUGH:
            best = max(score_views(figure, cameras), key=lambda row: row.score)
        _CHOSEN[key] = (best.camera.name, best.camera.azimuth, best.camera.elevation)
    return camera_at(axes, *_CHOSEN[key], scale)


def view_problems(figure: SolvedFigure, camera: Camera) -> tuple[Problem, ...]:
    """Return what the view hides in the last panel: important segments covered or foreshortened."""
    number = len(figure.poses) - 1
    pose = figure.poses[number]
    sight = sights(pose.posed, [camera], pose.props)[0]
    path: tuple[str | int, ...] = ("poses", number) if figure.spec.view == "auto" else ("view",)
    hint = "choose another `view` (side, front, back, above, slant), or move what is in the way"
    problems = []
    for group in _groups(figure) if main_segments(figure) else ():
        best = max(group, key=lambda i: (sight.seen[i] >= LEAST_SEEN, sight.lengths[i]))
        words = _segment_words(NAMES[best], figure.affected)
        if sight.seen[best] < LEAST_SEEN:
            text = f"in panel {number + 1} {words} is mostly hidden ({sight.seen[best]:.0%} of it is seen)"
            problems.append(Problem("figure-limb-hidden", "warning", text, hint, path))
        elif sight.lengths[best] < LEAST_LENGTH and not NAMES[best].startswith(("foot", "hand", "head")):
            text = (
                f"in panel {number + 1} {words} points towards the reader and looks only "
                f"{sight.lengths[best]:.0%} as long as it is"
            )
            problems.append(Problem("figure-limb-foreshortened", "warning", text, hint, path))
    return tuple(problems)


def _segment_words(name: str, affected: str) -> str:
    kind, _, side = name.rpartition("_")
    if side not in SIDES:
        return f"the {name}"
    plain = {"shank": "lower leg", "upper_arm": "upper arm"}.get(kind, kind)
    return f"the {'affected' if side == affected else 'other'} {plain}"
