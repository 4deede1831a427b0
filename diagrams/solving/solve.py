"""From a figure as an author wrote it to solved bodies: the order of work.

1. `asked/pose.py` reads each pose into targets and frozen angles, contacts and directions, on top of the pose before.
2. A first solve meets contacts, directions and limits from the posture's own defaults (`targets/setup.py`,
   `targets/rows.py`).
3. Props are placed under what rests on them. Rows that need a solved body are added: contacts that stay where
   they were, balance over the feet, palms turned to what they hold, nothing inside a prop (`targets/keep_apart.py`).
4. A second solve with them and a smaller weight on the default angles, so that contacts are exact; once more if that
   put something else inside a prop.
5. Angles are rounded to 0.01 degree; contacts, support and problems are measured from the rounded body alone.

The affected side is solved as the right one; `posing.py` mirrors the result for the left, and checks it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from limberleaf.diagrams.body.kinematics import forward, posed_at
from limberleaf.diagrams.body.skeleton import BASES, Array, skeleton
from limberleaf.diagrams.body.vectors import norm
from limberleaf.diagrams.language.spec import FigureSpec
from limberleaf.diagrams.solving.algebra.least_squares import Answer, Task, minimise
from limberleaf.diagrams.solving.algebra.support import margin, outline, spread
from limberleaf.diagrams.solving.algebra.two_bone import arm_seed
from limberleaf.diagrams.solving.asked.pose import first_state, next_state
from limberleaf.diagrams.solving.asked.state import State, Touch
from limberleaf.diagrams.solving.props.aids import AIDS, place_aid, tips
from limberleaf.diagrams.solving.props.carried import fixed_point, place_at_body, place_carried
from limberleaf.diagrams.solving.props.placing import Scene
from limberleaf.diagrams.solving.props.standing import is_carried, place_standing
from limberleaf.diagrams.solving.props.walls import anchor, place_pressed, stand_untouched_walls
from limberleaf.diagrams.solving.settings import tolerance
from limberleaf.diagrams.solving.solved import PlacedProp, SolvedPose
from limberleaf.diagrams.solving.targets.keep_apart import apart_rows, balance, outside_rows
from limberleaf.diagrams.solving.targets.rows import later_rows, limb_contacts, own_rows
from limberleaf.diagrams.solving.targets.setup import (
    Working,
    aim,
    base_name,
    draw_up,
    frozen_motions,
    grip,
    hold_aids,
    last_shares,
    loaded_motions,
    motion_limits,
    prior_weights,
    reach,
    stand_forearm,
    stand_walls,
    step_up,
    target_motions,
)
from limberleaf.diagrams.solving.targets.with_props import bed_is_furniture, needed_props, with_props
from limberleaf.diagrams.solving.touching.contacts import (
    PALM_AT,
    heading_error,
    plane_of,
    report,
    surface_of,
)
from limberleaf.diagrams.solving.touching.places import World, is_place, make_world, pressed_relation, samples
from limberleaf.diagrams.solving.touching.resting import laid_down, sat_on

_MISSED = tolerance("missed_arm")
_ROUNDS = 4  # solves after the first: each may find something newly inside a prop or another limb


@dataclass(frozen=True)
class Bodies:
    """The solved poses of a figure with what each asked for; affected = right.

    `unknown` are contacts with places that are not there, `things` the names of the props of this figure.
    """

    poses: tuple[SolvedPose, ...]
    states: tuple[State, ...]
    unknown: tuple[Touch, ...]
    things: tuple[str, ...]


def solve_bodies(spec: FigureSpec, like: Sequence[Array] = ()) -> Bodies:
    """Return the solved bodies of a figure whose affected side is the right one. Deterministic.

    `like`: the motions of another build in each pose, from which this one begins, so that it finds the same pose.
    """
    first = first_state(spec.poses[0], ("poses", 0))
    lies = bool(first.row.get("lies"))
    world = make_world(spec.props, needed_props(spec, first), lies=lies and not bed_is_furniture(spec))
    unknown: list[Touch] = []
    done: list[Working] = []
    for number, pose in enumerate(spec.poses):
        if number == 0:
            state = first
        else:
            reached = dict(zip(skeleton().index, np.degrees(done[-1].q).tolist(), strict=True))
            state = next_state(done[-1].state, pose, ("poses", number), reached)
        state = with_props(state, world)
        known = tuple(touch for touch in state.touches if is_place(touch.place, touch.side, world))
        unknown.extend(touch for touch in state.touches if touch not in known)
        state = replace(state, touches=known)
        done.append(_solve_pose(state, world, done, like[number] if like else None))
        if number == 0 and any(pressed_relation(thing, world) for thing in world.things):
            stand_untouched_walls(world, [Scene(done[0].state, done[0].kin, done[0].base)])
    scenes = [Scene(s.state, s.kin, s.base) for s in done]
    stand_untouched_walls(world, scenes)
    placed = place_standing(world, scenes)
    fixed: dict[str, Array] = {}
    poses: list[SolvedPose] = []
    for number, solved in enumerate(done):
        for thing in world.things:
            # What is fixed in the room stays there in every panel; what is fixed to the body goes with it.
            point = anchor(thing, world, scenes[0])
            point = fixed_point(thing, scenes[number]) if point is None else point
            if is_carried(thing, scenes) and point is not None:
                fixed[thing.name] = point
        poses.append(
            _finish(
                solved, done[number - 1] if number else None, world, placed, fixed, spec.poses[number].caption
            )
        )
    return Bodies(
        tuple(poses), tuple(s.state for s in done), tuple(unknown), tuple(t.name for t in world.things)
    )


def _solve_pose(state: State, world: World, done: list[Working], like: Array | None) -> Working:
    before = done[-1] if done else None
    name = base_name(state)
    base = BASES[name]
    frozen = frozen_motions(state)
    targets = _targets(state, before, world)
    stand_walls(state, world, targets, base)
    low, high = motion_limits(targets, loaded_motions(state, world), state.stated)
    prior_weight = prior_weights(state)
    own = own_rows(state, world, base)
    pinned = limb_contacts(state, world, before, None)
    pinned.extend(own)
    task = Task(base, pinned.pack(), targets, prior_weight, low, high, frozen)
    first = minimise(task, targets if like is None else like)
    first = _reseeded(task, first, state, world)
    now = Working(state, base, name, first.q, first.kin, first.steps, frozen)
    rolled = _rolled_feet(now, world)
    if rolled != state:
        own = own_rows(rolled, world, base)
        pinned = limb_contacts(rolled, world, before, None)
        pinned.extend(own)
        again = minimise(replace(task, rows=pinned.pack()), first.q)
        now = replace(now, state=rolled, q=again.q, kin=again.kin, steps=now.steps + again.steps)
    for _ in range(_ROUNDS):
        scenes = [Scene(s.state, s.kin, s.base) for s in (*done, now)]
        placed = place_standing(world, scenes)
        clear, pierced = outside_rows(now, placed)
        apart, crossed = apart_rows(now)
        clear.extend(apart)
        if now.q is not first.q and not pierced and not crossed:
            break
        later = later_rows(now, before, world, placed, scenes)
        later.extend(own)
        later.extend(clear)
        answer = minimise(
            replace(
                task,
                rows=later.pack(),
                prior_weight=prior_weight * last_shares(),
                balance=balance(now, before, world),
            ),
            now.q,
        )
        now = replace(now, q=answer.q, kin=answer.kin, steps=now.steps + answer.steps)
    q = now.q.copy()
    q[3:] = np.radians(np.round(np.degrees(q[3:]), 2))
    q[:3] = np.round(q[:3], 6)
    q[frozen] = targets[frozen]
    return replace(now, q=q, kin=forward(q, base))


def _targets(state: State, before: Working | None, world: World) -> Array:
    """Return the motions that a pose begins from and is drawn to."""
    targets = target_motions(state, before, world)
    aim(state, targets)
    reach(state, world, targets)
    stand_forearm(state, world, targets)
    draw_up(state, targets)
    step_up(state, world, targets)
    hold_aids(state, world, targets)
    grip(state, world, targets)
    return targets


def _reseeded(task: Task, first: Answer, state: State, world: World) -> Answer:
    """Try again from a closed-form seed for arms that miss what they should touch; return the better answer."""
    kin = first.kin
    start = first.q.copy()
    missed = False
    for touch in state.touches:
        side, there = touch.side, surface_of(touch, world)
        if (
            side is None
            or there is None
            or not touch.limb.startswith("arm")
            or plane_of(touch, world) is not None
        ):
            continue
        if report(touch, world, kin).error < _MISSED or f"elbow_{side}.flexion" in state.stated:
            continue
        spot = kin.place(there.segment, there.at + there.face * there.radius)
        thorax = kin.rotation[skeleton().segment("thorax")]
        back = kin.origin[skeleton().segment(f"upper_arm_{side}")] - spot
        wrist = spot + back / max(norm(back), 1e-9) * -PALM_AT[1]
        out = 0.7 if side == "right" else -0.7
        for name, value in arm_seed(kin, side, wrist, -thorax[:, 1] + out * thorax[:, 2]).items():
            start[skeleton().index[name]] = value
        missed = True
    if not missed:
        return first
    again = minimise(task, start)
    return replace(again if again.cost < first.cost else first, steps=first.steps + again.steps)


def _rolled_feet(now: Working, world: World) -> State:
    """Let a foot whose leg is stated throughout roll on to its heel or toes when it cannot lie flat."""
    touches = list(now.state.touches)
    for i, touch in enumerate(touches):
        stated = all(
            f"{joint}_{touch.side}" in {n.split(".")[0] for n in now.state.stated}
            for joint in (("knee",) if "stance" in now.state.row else ("hip", "knee"))
        )
        plane = plane_of(touch, world)
        if touch.part != "foot" or touch.author or plane is None or not stated:
            continue
        heights = [
            float(now.kin.place(s.segment, s.at)[1]) - plane.value for s in samples("foot", touch.side)
        ]
        if max(abs(h) for h in heights) > 0.004:
            touches[i] = replace(touch, part="heel" if heights[0] < heights[1] else "toe")
    return replace(now.state, touches=tuple(touches))


def _finish(
    solved: Working,
    before: Working | None,
    world: World,
    placed: Mapping[str, PlacedProp],
    fixed: Mapping[str, Array],
    caption: str | None,
) -> SolvedPose:
    """Measure a solved pose and put it into plain data."""
    body = skeleton()
    result = posed_at(solved.kin, solved.q, solved.base)
    contacts = tuple(report(t, world, solved.kin) for t in solved.state.touches)
    scene = Scene(solved.state, solved.kin, solved.base)
    props = list(placed.values())
    for thing in world.things:
        if thing.name not in placed:
            carried = place_pressed(thing, world, scene) or place_at_body(thing, scene)
            if carried is None and thing.row["shape"] in AIDS:
                carried = place_aid(thing, scene)
            carried = carried or place_carried(thing, scene, fixed.get(thing.name))
            if carried is not None:
                props.append(carried)
    resting = [
        edge
        for c in contacts
        if c.carries
        for point, segment in zip(c.points, c.segments, strict=True)
        for edge in spread(point, segment, result.frames[segment][:, 2])
    ]
    unasked = laid_down(world, solved.kin) if solved.base_name != "upright" else []
    unasked += sat_on(solved.state.touches, world, placed, solved.kin)
    for point, segment in unasked:
        resting.extend(spread(point, segment, result.frames[segment][:, 2]))
    resting.extend(tip for prop in props for tip in tips(prop))
    polygon = outline(resting)
    angles = result.angles
    at_limit = tuple(
        m.name
        for i, m in enumerate(body.motions[3:], start=3)
        if not solved.frozen[i] and (m.soft[1] - angles[m.name] < 0.05 or angles[m.name] - m.soft[0] < 0.05)
    )
    turned = np.zeros(3) if before is None else np.degrees(solved.q - before.q)[3:]
    moved = tuple(body.motions[i].name for i in np.flatnonzero(np.abs(turned) > 0.5) + 3)
    return SolvedPose(
        posture=solved.state.posture,
        base_name=solved.base_name,
        posed=result,
        props=tuple(props),
        contacts=contacts,
        stated={k: round(v, 2) for k, v in solved.state.stated.items()},
        free={m.name: angles[m.name] for m in body.motions[3:] if m.name not in solved.state.stated},
        at_limit=at_limit,
        moved=moved,
        support=polygon,
        margin=margin(polygon, result.mass_centre),
        ground=world.ground,
        caption=caption,
        iterations=solved.steps,
        directions={
            f"{h.kind} {h.side + ' ' if h.side else ''}{h.part}": round(heading_error(h, solved.kin), 2)
            for h in solved.state.headings
        },
    )
