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

from diagrams.body import SIDES, Posed
from diagrams.camera import BodyAxes, Camera, Vec, body_axes, camera_at, candidates, named_camera
from diagrams.solved import PlacedProp, Problem, SolvedFigure, SolvedPose

GOOD_ENOUGH = 1.02
"""A plain view this clear (of 1.1) is taken without trying the others."""
PLAIN_BONUS = 0.10
"""Head start of exact side and front views (chosen so that the score agrees with the eye; no source)."""
ENOUGH_LENGTH = 0.90
ENOUGH_SEEN = 0.75
LEAST_LENGTH = 0.70
LEAST_SEEN = 0.50
SAMPLES = 5

_LIMBS = (
    ("thigh", "hip", "knee", 0.042),
    ("shank", "knee", "ankle", 0.027),
    ("foot", "heel", "toe", 0.018),
    ("upper_arm", "shoulder", "elbow", 0.026),
    ("forearm", "elbow", "wrist", 0.018),
    ("hand", "wrist", "fingertip", 0.013),
)
SEGMENTS = tuple((f"{n}_{s}", f"{a}_{s}", f"{b}_{s}", r) for s in SIDES for n, a, b, r in _LIMBS) + (
    ("trunk", "pelvis_mid", "spine_6", 0.070),
    ("head", "head_base", "vertex", 0.055),
)
NAMES = tuple(row[0] for row in SEGMENTS)
# Which segments show a joint's motion.
SHOWN_BY = {
    "hip": ("thigh",),
    "knee": ("shank", "thigh"),
    "ankle": ("foot", "shank"),
    "toes": ("foot",),
    "shoulder": ("upper_arm",),
    "shoulder_girdle": ("upper_arm",),
    "elbow": ("forearm", "upper_arm"),
    "forearm": ("hand", "forearm"),
    "wrist": ("hand",),
    "fingers": ("hand",),
    "lumbar": ("trunk",),
    "thoracic": ("trunk",),
    "neck": ("head",),
    "pelvis": ("trunk",),
}


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
    blockers = np.vstack([places, wide, *(_prop_samples(prop) for prop in props)])
    blocker_owner = np.concatenate([owner, np.full(len(wide), NAMES.index("trunk")), np.full(len(blockers) - len(places) - len(wide), -1)])
    blocker_radii = np.concatenate([radii, np.full(len(wide), 0.05), np.full(len(blockers) - len(places) - len(wide), 0.03)])
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
        hidden = np.zeros(len(places))
        ahead = (blocked_depth[None, :] > depth[:, None] + 0.3 * radii[:, None] + 0.005) & ~own
        for offset in (-0.6, 0.0, 0.6):
            spot = flat + normal * (offset * radii)[:, None]
            gap = ((spot[:, None, :] - blocked_flat[None]) ** 2).sum(axis=2)
            hidden += (ahead & (gap < blocker_radii[None, :] ** 2)).any(axis=1)
        seen = 1.0 - hidden.reshape(len(SEGMENTS), SAMPLES).mean(axis=1) / 3
        result.append(Sight(lengths, seen))
    return result


def _trunk_width(posed: Posed) -> Vec:
    """Spheres that give the trunk its breadth."""
    places = []
    for index, frame, across in ((0, "pelvis", 0.045), (1, "pelvis", 0.04), (3, "lumbar", 0.03), (5, "thorax", 0.045)):
        middle, right = posed.points[f"spine_{index}"], posed.frames[frame][:, 2]
        places += [middle + right * across, middle - right * across]
    return np.array(places)


def _prop_samples(prop: PlacedProp) -> Vec:
    """Points over the solid parts of a prop that may stand in the way."""
    steps = np.linspace(-0.9, 0.9, 7)
    grid = np.array([[x, y, z] for x in (-1, 0, 1) for y in steps for z in steps])
    rows = [block.centre + (grid * block.half) @ block.axes.T for block in prop.blocks if block.name not in {"seat"}]
    return np.vstack(rows) if rows and prop.kind in {"wall", "table", "worktop", "chair"} else np.zeros((0, 3))


def important_segments(figure: SolvedFigure) -> tuple[str, ...]:
    """Return the segments whose movement (or stated angle) the figure is about."""
    motions = [name for pose in figure.poses[1:] for name in pose.moved]
    if not motions:
        motions = list(figure.poses[-1].stated)
    found: list[str] = []
    for motion in motions:
        joint = motion.split(".", maxsplit=1)[0]
        side = next((s for s in SIDES if joint.endswith(s)), "")
        kind = joint.removesuffix(f"_{side}") if side else joint
        for name in SHOWN_BY.get(kind, ()):
            full = f"{name}_{side}" if side and name not in {"trunk", "head"} else name
            if full in NAMES and full not in found:
                found.append(full)
    return tuple(found)


def _main_segments(figure: SolvedFigure) -> tuple[str, ...]:
    """The important segments that really travel: the far ends decide, small counter-movements do not."""
    names = important_segments(figure)
    if len(figure.poses) < 2 or not names:
        return names
    travel = {name: _travel(figure.poses, name) for name in names}
    most = max(travel.values())
    return tuple(name for name in names if travel[name] > 0.25 * most) or names


def _travel(poses: Sequence[SolvedPose], name: str) -> float:
    """The furthest an end of a segment gets from its first place, H."""
    _, start, end, _ = SEGMENTS[NAMES.index(name)]
    first = poses[0].posed.points
    return max(
        float(np.linalg.norm(pose.posed.points[p] - first[p])) for pose in poses[1:] for p in (start, end)
    )


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
    wanted = list(_main_segments(figure)) or list(NAMES)
    index = [NAMES.index(name) for name in wanted]
    others = [NAMES.index(name) for name in _touching(figure) if name not in wanted]
    shown = [figure.poses[0], figure.poses[-1]] if len(figure.poses) > 1 else list(figure.poses)
    by_pose = [sights(pose.posed, cameras, pose.props) for pose in shown]
    movement = _movement(figure, cameras)
    result = []
    for number, camera in enumerate(cameras):
        worst, mean, rest = 1.0, 0.0, 1.0
        for pose_sights in by_pose:
            sight = pose_sights[number]
            clear = np.minimum(1, sight.lengths[index] / ENOUGH_LENGTH) * np.minimum(1, sight.seen[index] / ENOUGH_SEEN)
            worst = min(worst, float(clear.min()))
            mean += float(clear.mean()) / len(by_pose)
            if others:
                part = np.minimum(1, sight.lengths[others] / 0.5) * np.minimum(1, sight.seen[others] / 0.35)
                rest = min(rest, float(part.min()))
        head = min(sight.seen[NAMES.index("head")] for sight in (row[number] for row in by_pose))
        plain = PLAIN_BONUS if camera.name in {"side", "front"} and camera.elevation < 15 else 0.0
        score = 0.35 * worst + 0.2 * mean + 0.15 * rest + 0.2 * movement[number] + 0.1 * float(head) + plain
        result.append(ViewScore(camera, round(score, 4)))
    return result


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


def near_side(figure: SolvedFigure) -> float:
    """+1 when the right side belongs near the eye, -1 for the left: the affected side, unless only the other moves."""
    sign = 1.0 if figure.affected == "right" else -1.0
    limbs = [name for name in _main_segments(figure) if name.endswith(SIDES)]
    if limbs and all(not name.endswith(figure.affected) for name in limbs):
        return -sign
    return sign


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
    """Return what the view hides: important segments covered or foreshortened."""
    problems = []
    wanted = _main_segments(figure)
    for number in sorted({0, len(figure.poses) - 1}):
        pose = figure.poses[number]
        sight = sights(pose.posed, [camera], pose.props)[0]
        for name in wanted:
            i = NAMES.index(name)
            words = _segment_words(name, figure.affected)
            if sight.seen[i] < LEAST_SEEN:
                problems.append(
                    Problem(
                        "figure-limb-hidden",
                        "warning",
                        f"in panel {number + 1} {words} is mostly hidden ({sight.seen[i]:.0%} visible)",
                        "choose another `view` (side, front, back, above, slant) or move what is in the way",
                        ("poses", number) if figure.spec.view == "auto" else ("view",),
                    )
                )
            elif sight.lengths[i] < LEAST_LENGTH and name not in {"foot_left", "foot_right", "head"}:
                problems.append(
                    Problem(
                        "figure-limb-foreshortened",
                        "warning",
                        f"in panel {number + 1} {words} points at the reader and looks {sight.lengths[i]:.0%} of its length",
                        "choose another `view` (side, front, back, above, slant)",
                        ("poses", number) if figure.spec.view == "auto" else ("view",),
                    )
                )
    return tuple(problems)


def _segment_words(name: str, affected: str) -> str:
    kind, _, side = name.rpartition("_")
    if side not in SIDES:
        return f"the {name}"
    plain = {"shank": "lower leg", "upper_arm": "upper arm"}.get(kind, kind)
    return f"the {'affected' if side == affected else 'other'} {plain}"
