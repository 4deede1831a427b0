"""The arrows of one panel: what moved since the panel before, shown once and where it happens."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from limberleaf.diagrams.body.skeleton import SIDES
from limberleaf.diagrams.drawing.panel import Panel
from limberleaf.diagrams.language.spec import Movement
from limberleaf.diagrams.picture.displaylist import Points, Shape
from limberleaf.diagrams.picture.style import Style
from limberleaf.diagrams.scene.camera import Camera, Vec
from limberleaf.diagrams.scene.parts import part_places
from limberleaf.diagrams.scene.staging import LOW_EYE
from limberleaf.diagrams.signs.arrow_shapes import LEAST_WAY, arrow_shapes, bar_shapes, place_arrow, spread
from limberleaf.diagrams.signs.movement import LEAST_ROCK, Trail, path_of, returns, trails, turn_arrow, way_of
from limberleaf.diagrams.solving.solved import Problem, SolvedFigure

LEAST_NOD = 5.0
"""Degrees a part that stays in place must turn to get an arc."""
TURNS = (
    ("neck.flexion", "head", "head_centre", 30.0, 0.0),
    ("pelvis.anterior_tilt", "pelvis", "pelvis_mid", 47.0, 0.5),
)
"""Motions of a part that hardly travels: its segment, centre, the arc's radius and how far it leans to the head."""
ARC = 48.0
TILT, TILT_RADIUS = (50.0, 45.0), 36.0
"""Degrees before and behind the crown, and the radius (units), of the arc over a head that tips."""
TELLS_BODY = frozenset({"pelvis", "lumbar", "thorax", "head"})
"""Segments whose arrow tells the body's way already."""
BEND, SINK = 20.0, 0.02
"""Degrees a standing knee must bend, and how far (H) the pelvis must come with it, for the body to be what moves."""
MINOR = 0.25
"""Of the longest way, what a part goes that gets the thinner arrow."""
SWING_ASIDE, LEAST_RISE = 24.0, 0.16
"""How far outside the knees a swing's arrow runs (units), and how long (H) that of a body that rises is at least."""


@dataclass(frozen=True)
class _Step:
    """The way from one panel to the next."""

    solved: SolvedFigure
    number: int
    before: Panel
    panel: Panel

    @property
    def camera(self) -> Camera:
        return self.panel.camera


PRESS_LONG = 30.0
"""Length of the arrow of a press (units)."""
LEAST_PRESS = 0.3
"""Of a press, how much must be seen on paper for an arrow to say its way: less points at the reader or from him."""


def press_shapes(solved: SolvedFigure, panel: Panel, style: Style) -> list[Shape]:
    """Return the sign of pressing without moving: an arrow on the part, the way it presses, against a bar."""
    shapes: list[Shape] = []
    for name in (one for one in solved.spec.arrow if one != "none"):
        for start, end, radius, segment in part_places(name, panel.pose.posed, solved.affected, solved.lead):
            way = panel.camera.on_paper(_press_way(solved, panel, segment))
            if float(np.hypot(*way)) < LEAST_PRESS:
                continue
            way = way / float(np.hypot(*way))
            middle = panel.camera.project((start + end) / 2)[0] - way * (radius * panel.camera.scale + 5)
            line = middle - way * PRESS_LONG * (1 - np.linspace(0, 1, 7)[:, None])
            shapes += arrow_shapes(line, style)
            shapes += bar_shapes(middle + way * 3, way, style)
    return shapes


def _press_way(solved: SolvedFigure, panel: Panel, segment: str) -> Vec:
    """Return which way a part presses, in the room (unit)."""
    base, word = panel.pose.posed.base, solved.spec.press or "down"
    if word in ("down", "up"):
        return np.array([0.0, 1.0 if word == "up" else -1.0, 0.0])
    if word in ("forward", "back"):
        return np.asarray(base[:, 0] * (1.0 if word == "forward" else -1.0))
    outward = -1.0 if segment.endswith("_left") else 1.0
    return np.asarray(base[:, 2] * outward * (1.0 if word == "out" else -1.0))


def press_problems(solved: SolvedFigure, panels: Sequence[Panel]) -> list[Problem]:
    """Report a press straight at the reader or away, in any panel that presses: no arrow of it can be drawn."""
    first = min(1, len(panels) - 1)
    ways = [
        panel.camera.on_paper(_press_way(solved, panel, segment))
        for number, panel in enumerate(panels)
        if number >= first and movement_kind(solved, number) == "press"
        for name in solved.spec.arrow
        if name != "none"
        for *_, segment in part_places(name, panel.pose.posed, solved.affected, solved.lead)
    ]
    if all(float(np.hypot(*way)) >= LEAST_PRESS for way in ways):
        return []
    return [
        Problem(
            "figure-press-unseen",
            "warning",
            "The press goes straight towards the reader or away, so no arrow of it can be drawn.",
            "Choose another `view` that sees it from aside.",
            ("view",),
        )
    ]


def panel_arrows(
    solved: SolvedFigure, number: int, panels: tuple[Panel, Panel], kind: Movement, style: Style
) -> list[Shape]:
    """Return the arrows into a panel. `panels`: the one before and this one."""
    step = _Step(solved, number, *panels)
    both = kind == "to_and_fro"
    turn = turn_arrow(solved, number, step.camera)
    if turn is not None:
        return arrow_shapes(turn, style, both=both)
    if "none" in solved.spec.arrow or kind in ("hold", "rest"):
        return []
    if kind == "press":
        return press_shapes(solved, step.panel, style)
    tilt = _head_tilt(step)
    told = ("head",) if tilt is not None else ()
    found = trails(solved, number, without=told, least=LEAST_ROCK if both else None)
    if tilt is not None and not found:
        return arrow_shapes(tilt, style, both=both)
    if all(_on_paper(trail, step) < LEAST_WAY for trail in found):
        spot = _turn_on_the_spot(step, both=both)
        if spot is not None or not found:
            return arrow_shapes(spot, style, both=both) if spot is not None else []
    if both and (swing := _side_to_side(step)) is not None:
        return arrow_shapes(swing, style, both=True)
    if kind == "round":
        return [shape for trail in found for shape in arrow_shapes(_round(trail, step), style)]
    shapes: list[Shape] = []
    bearing = None if any(trail.segment in TELLS_BODY for trail in found) else _bearing_leg(step)
    taken: list[Points] = [] if tilt is None else [tilt]
    if bearing:
        taken.append(_rise_or_sink(step, taken))
        shapes += arrow_shapes(taken[-1], style, both=both)
    longest = max((way_of(trail) for trail in found), default=0.0)
    for trail in found:
        taken.append(_placed(trail, step, taken))
        second = bool(bearing) or returns(trail, solved, number) or way_of(trail) < MINOR * longest
        shapes += arrow_shapes(taken[-1], style, both=both, second=second)
    return shapes + (arrow_shapes(tilt, style, second=True) if tilt is not None else [])


def _on_paper(trail: Trail, step: _Step) -> float:
    """Return the length of a trail on paper, in units."""
    return float(np.hypot(*np.diff(step.camera.project(trail.places), axis=0).T).sum())


def _round(trail: Trail, step: _Step) -> Points:
    """Return most of a circle about where a part is, clear of it: it goes round and round."""
    spot = step.camera.project(trail.places[-1:])[0]
    turn = np.radians(np.linspace(-60, 230, 20))
    radius = max(trail.thickness * step.camera.scale + 10, 22.0)
    out: Points = spot + radius * np.column_stack([np.cos(turn), np.sin(turn)])
    return out


def _placed(trail: Trail, step: _Step, taken: Sequence[Points]) -> Points:
    camera = step.camera
    floor = 0.0 if camera.elevation < LOW_EYE else np.inf
    path = camera.project(trail.places)
    return place_arrow(path, trail.thickness * camera.scale, step.panel, step.before, floor, taken)


def _rise_or_sink(step: _Step, taken: Sequence[Points]) -> Points:
    """The way of a body on a leg that bends: straight up or down beside the trunk, however it sways with it."""
    body = _point_trail(step, "spine_2", "pelvis", 0.10)
    upright = body.places.copy()
    upright[:, [0, 2]] = body.places[:, [0, 2]].mean(axis=0)
    way = abs(float(upright[-1, 1] - upright[0, 1]))
    middle = upright.mean(axis=0)
    upright = middle + (upright - middle) * max(1.0, LEAST_RISE / max(way, 1e-9))
    return _placed(Trail(upright, body.thickness, body.segment), step, taken)


def _point_trail(step: _Step, point: str, segment: str, radius: float) -> Trail:
    first, last = (step.solved.poses[i].posed for i in (step.number - 1, step.number))
    return Trail(path_of(first, last, segment, first.points[point], last.points[point]), radius, segment)


def _bearing_leg(step: _Step) -> str | None:
    """The affected leg that stands while its knee bends or straightens: then the body is what moves on it."""
    side = step.solved.affected
    first, last = (step.solved.poses[i].posed for i in (step.number - 1, step.number))
    if np.linalg.norm(first.points[f"ankle_{side}"] - last.points[f"ankle_{side}"]) > 0.03:
        return None
    bend = abs(first.angles[f"knee_{side}.flexion"] - last.angles[f"knee_{side}.flexion"])
    rise = abs(float(first.points["pelvis_mid"][1] - last.points["pelvis_mid"][1]))
    return side if bend > BEND and rise > SINK else None


def _head_tilt(step: _Step) -> Points | None:
    """An arc over the crown the way the head tips, where an arrow is asked for the head among others."""
    first, last = (step.solved.poses[i].posed for i in (step.number - 1, step.number))
    if "head" not in step.solved.spec.arrow or len(step.solved.spec.arrow) < 2:
        return None
    was, now = (step.camera.on_paper(posed.frames["head"][:, 1]) for posed in (first, last))
    turned = np.degrees(np.arctan2(was[0] * now[1] - was[1] * now[0], was @ now))
    if abs(turned) < LEAST_NOD:
        return None
    crown = np.arctan2(now[1], now[0])
    angles = crown + np.radians(np.linspace(-TILT[0], TILT[1], 11)) * np.sign(turned)
    centre = step.camera.project(last.points["head_centre"])[0]
    out: Points = centre + TILT_RADIUS * np.column_stack([np.cos(angles), np.sin(angles)])
    return out


def _side_to_side(step: _Step) -> Points | None:
    """The whole way of a pair of knees that swings to both sides: from where it is, over where it began, to the mirror
    place; None where the way is not across the body."""
    first, last = (step.solved.poses[i].posed for i in (step.number - 1, step.number))
    turned = abs(first.angles["lumbar.rotation_right"] - last.angles["lumbar.rotation_right"])
    turned += abs(first.angles["pelvis.rotation_right"] - last.angles["pelvis.rotation_right"])
    ways = [_point_trail(step, f"knee_{side}", f"shank_{side}", 0.03).places for side in SIDES]
    way = np.mean(ways, axis=0)
    aside = abs(float(way[-1, 2] - way[0, 2]))
    if turned < LEAST_NOD or aside < 0.05 or aside < 0.5 * float(np.linalg.norm(way[-1] - way[0])):
        return None
    camera = step.camera
    one, middle, two = camera.project(np.array([way[-1], way[0], way[-1] * (1, 1, -1)]))
    t = np.linspace(0, 1, 15)[:, None]
    path = (1 - t) ** 2 * one + 2 * t * (1 - t) * (2 * middle - (one + two) / 2) + t**2 * two
    out = middle - camera.project(first.points["pelvis_mid"])[0]
    return spread(path + out / max(float(np.hypot(*out)), 1e-9) * SWING_ASIDE, 2, 2, 15)


def _turn_on_the_spot(step: _Step, *, both: bool) -> Points | None:
    """An arc about the part's own centre, on the side it faces, in the sense it really turns on paper."""
    first, last = (step.solved.poses[i].posed for i in (step.number - 1, step.number))
    camera = step.camera
    for motion, segment, point, radius, lean in TURNS:
        if abs(first.angles[motion] - last.angles[motion]) < LEAST_NOD:
            continue
        was, now = (camera.on_paper(p.frames[segment][:, 0]) for p in (first, last))
        sense = float(np.sign(was[0] * now[1] - was[1] * now[0])) or 1.0
        ahead = now + lean * camera.on_paper(last.frames[segment][:, 1])
        turn = np.arctan2(ahead[1], ahead[0]) + np.radians(np.linspace(-ARC, ARC, 11)) * (
            1 if both else sense
        )
        centre = camera.project(last.points[point])[0]
        out: Points = centre + radius * np.column_stack([np.cos(turn), np.sin(turn)])
        return out
    return None


def rests(solved: SolvedFigure, number: int) -> bool:
    """Say whether in a panel something is only laid there: the panel says so, or the figure does and it is the last."""
    own = solved.spec.poses[number].movement
    last = number == len(solved.poses) - 1
    return own == "rest" or (own is None and last and solved.spec.movement == "rest")


def movement_kind(solved: SolvedFigure, number: int | None = None) -> Movement:
    """Return how the figure moves, or how it moves into one panel: worked out from the poses where nobody says."""
    own = solved.spec.poses[number].movement if number is not None else None
    if own or solved.spec.movement:
        return own or solved.spec.movement or "one_way"
    stated = [motion for pose in solved.poses for motion in pose.stated]
    rocks = [motion for motion in stated if motion.startswith(("pelvis.rotation", "pelvis.anterior_tilt"))]
    lying = solved.poses[0].posture in {"crook_lying", "supine"}
    return "to_and_fro" if rocks and lying and len(solved.poses) == 2 else "one_way"
