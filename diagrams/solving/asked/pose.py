"""From an author's words to a state the solver can take: target angles, frozen angles, contacts, directions.

A posture (data/postures.yml) gives the defaults; what the author states overrides them and is frozen. A later
pose starts from the pose before: it keeps the angles, contacts and directions that it does not mention. A
contact that only the posture gave is let go when the author clearly moves the hip or knee (or, for an arm, any
joint) of that one limb; when both legs are stated and the posture stands on them, the feet stay down. Everything
here is written for the right side as the affected one; `mirror.py` turns the finished figure over for the left.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from limberleaf.diagrams.body.skeleton import Side
from limberleaf.diagrams.language.joint_words import read_joints
from limberleaf.diagrams.language.spec import Pose
from limberleaf.diagrams.language.words import SIDE_WORDS, posture_rows, sides_of
from limberleaf.diagrams.solving.asked.let_go import remaining_touches, replaces
from limberleaf.diagrams.solving.asked.state import (
    State,
    Touch,
    heading_limb,
    headings_of,
    held_leg,
    limb_of,
    posture_angles,
    posture_touches,
    touches_of,
)
from limberleaf.diagrams.solving.solved import Path

PLAIN_SWING = 20.0  # degrees; an arm stated to swing further in one plane means that plane alone


def first_state(pose: Pose, path: Path) -> State:
    """Return the state of a pose that starts from its posture alone."""
    if pose.posture is None:
        raise ValueError("the first pose must name a posture")
    row = posture_rows()[pose.posture]
    chosen = pose.lead or row.get("lead", "affected")
    lead: Side = "right" if chosen == "affected" else "left"
    angles = posture_angles(pose.posture, lead)
    start = State(
        posture=pose.posture,
        lead=lead,
        targets=angles,
        stated={},
        touches=posture_touches(pose.posture, lead),
        headings=(),
    )
    return _apply(start, pose, path)


def next_state(before: State, pose: Pose, path: Path, reached: Mapping[str, float]) -> State:
    """Return the state of a later pose; `reached` are the angles in degrees the pose before came to."""
    if pose.posture is not None:
        lead = pose.lead or ("affected" if before.lead == "right" else "other")
        return replace(first_state(pose.model_copy(update={"lead": lead}), path), from_posture=True)
    angles = {name: reached[name] for name in reached if not name.startswith("root.")}
    return _apply(
        replace(before, targets=angles, released=(), fresh=frozenset(), from_posture=False), pose, path
    )


def _apply(state: State, pose: Pose, path: Path) -> State:
    """Return a state with a pose's own joints, contacts and directions laid over it."""
    stated: dict[str, float] = {}
    keys: dict[str, tuple[str, ...]] = {}
    if pose.joints is not None:
        stated, keys = read_joints(pose.joints)
    paths = {name: (*path, "joints", *where) for name, where in keys.items()}
    touches = remaining_touches(
        state.touches, stated, state.targets, posture_angles(state.posture, state.lead), state.row
    )
    released: list[Touch] = [t for t in state.touches if t not in touches]
    idle: list[Touch] = []
    ousted: list[Touch] = []
    # What is let go goes first, so that the order in which an author writes does not matter.
    for number, contact in sorted(enumerate(pose.contacts), key=lambda one: not one[1].release):
        here = (*path, "contacts", number)
        for touch in touches_of(contact, state.lead, here, author=True):
            if contact.release:
                gone = [t for t in touches if replaces(touch, t)]
                idle.extend([] if gone or touch.limb in _limbs(released) else [touch])
                released.extend(gone)
            else:
                fresh_ones = [t for t in touches if t.author and t.path[: len(path)] == path]
                gone = [t for t in touches if t not in fresh_ones and replaces(touch, t)]
                twice = [t for t in fresh_ones if t.name == touch.name and t.place != touch.place]
                ousted.extend(twice)
                gone += twice
            touches = [t for t in touches if t not in gone]
            if not contact.release:
                touches.append(touch)
                if state.row["base"] in ("supine", "side"):  # a leg that hands hold is lifted off the mat
                    free = f"leg_{held_leg(touch)}"
                    released.extend(t for t in touches if t.limb == free and not t.author)
                    touches = [t for t in touches if t.limb != free or t.author]
    touches = [
        replace(t, part="flat of foot")
        if t.part == "foot" and t.kind == "on" and f"toes_{t.side}.extension" in stated
        else t
        for t in touches
    ]
    held = _still_law(state, pose, touches)
    plain = _plain_shoulders(stated)
    held = {name: value for name, value in held.items() if name not in plain}
    fresh = [
        heading
        for number, direction in enumerate(pose.directions)
        for heading in headings_of(direction, state.lead, (*path, "directions", number))
    ]
    pointed = {(h.part, h.side) for h in fresh}
    joints_of = {limb_of(name) for name in stated}
    old = [h for h in state.headings if (h.part, h.side) not in pointed and heading_limb(h) not in joints_of]
    straight = {name: 0.0 for name in _straight_wrists(released, touches) if name not in held}
    return replace(
        state,
        targets={**state.targets, **straight, **plain, **stated},
        stated={**held, **stated},
        stated_paths={**{name: state.stated_paths[name] for name in held}, **paths},
        touches=tuple(touches),
        headings=(*old, *fresh),
        released=tuple(released),
        idle_releases=tuple(idle),
        ousted=tuple(ousted),
        fresh=frozenset(joints_of),
    )


def _limbs(touches: list[Touch]) -> set[str]:
    return {touch.limb for touch in touches}


def _straight_wrists(released: list[Touch], touches: list[Touch]) -> list[str]:
    """Return the wrists of hands that leave the ground they leant on: they straighten, and do not keep its angle."""
    busy = {touch.limb for touch in touches}
    return [
        f"wrist_{touch.side}.{word}"
        for touch in released
        if touch.limb.startswith("arm") and touch.place in ("ground", "floor") and touch.limb not in busy
        for word in ("flexion", "ulnar_deviation")
    ]


def _plain_shoulders(stated: Mapping[str, float]) -> dict[str, float]:
    """Return the swing that an arm drops when only the other one is stated: flexion alone is straight ahead."""
    out: dict[str, float] = {}
    for side in ("left", "right"):
        pair = (f"shoulder_{side}.flexion", f"shoulder_{side}.abduction")
        for one, other in (pair, pair[::-1]):
            if one in stated and other not in stated and abs(stated[one]) > PLAIN_SWING:
                out[other] = 0.0
    return out


def _still_law(state: State, pose: Pose, touches: list[Touch]) -> dict[str, float]:
    """Return the angles of earlier poses that stay law: not those opened, nor those of a limb with a new touch."""
    opened: set[str] = set()
    for text in pose.open:
        words = text.split()
        if len(words) == 1:
            opened |= {"lumbar", "thoracic"} if text == "trunk" else {text}
            continue
        joint = "shoulder_girdle" if words[1] == "scapula" else words[1]
        word = next(word for word in SIDE_WORDS if word == words[0])
        opened |= {f"{joint}_{side}" for side in sides_of(word, "right", state.lead)}
    was = {(t.name, t.place) for t in state.touches}
    limbs = {t.limb for t in touches if t.author and (t.name, t.place) not in was}
    return {
        name: value
        for name, value in state.stated.items()
        if name.split(".")[0] not in opened and limb_of(name) not in limbs
    }
