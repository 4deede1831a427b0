"""From an author's words to a state the solver can take: target angles, frozen angles, contacts, directions.

A posture (data/postures.yml) gives the defaults; what the author states overrides them and is frozen. A later
pose starts from the pose before: it keeps the angles, contacts and directions that it does not mention. A
contact that only the posture gave is let go when the author clearly moves the hip or knee (or, for an arm, any
joint) of that one limb; when both legs are stated and the posture stands on them, the feet stay down. Everything
here is written for the right side as the affected one; `mirror.py` turns the finished figure over for the left.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cache
from typing import Any

from limberleaf.diagrams.body.skeleton import Side
from limberleaf.diagrams.language.joint_words import limb_angles, read_joints
from limberleaf.diagrams.language.spec import Contact, Direction, Pose
from limberleaf.diagrams.language.spec_joints import Joints, Limb
from limberleaf.diagrams.language.words import opposite, part_rows, posture_rows, read_part, sides_of
from limberleaf.diagrams.solving.solved import Path

PLAIN_SWING = 20.0  # degrees; an arm stated to swing further in one plane means that plane alone
_HEAD_MOVES = {
    f"{part}.{word}" for part in ("neck", "lumbar", "thoracic") for word in ("flexion", "side_bend_right")
}


_BENT, _STRAIGHT = 25.0, 12.0  # degrees of hip and knee
# Degrees by which a leg must be stated away from where it was, for its foot to leave what it stood on.
_LIFTS = {
    "hip_@.flexion": 15.0,
    "knee_@.flexion": 15.0,
    "hip_@.abduction": 10.0,
    "hip_@.internal_rotation": 25.0,
}


@dataclass(frozen=True)
class Touch:
    """One contact to be met: a part of one side on or holding a place."""

    part: str
    side: Side | None
    place: str
    kind: str  # on | holding
    where: tuple[str, str, Side | None] | None = None  # relation, part, side
    distance: float | None = None
    author: bool = False
    path: Path = ()

    @property
    def name(self) -> str:
        """Return the part with its side, such as "right heel"."""
        return f"{self.side} {self.part}" if self.side else self.part

    @property
    def limb(self) -> str:
        """Return which chain it ends: arm_right, leg_left, head, trunk."""
        segment = part_rows()[self.part]["samples"][0][0]
        if self.part in ("hip", "buttock", "outer hip"):
            return "trunk"
        if segment in ("hand", "fingers", "forearm", "upper_arm"):
            return f"arm_{self.side}"
        if segment in ("thigh", "shank", "foot", "toes"):
            return f"leg_{self.side}"
        return "head" if segment in ("head", "neck") else "trunk"


@dataclass(frozen=True)
class Heading:
    """One world direction to be met by a part."""

    kind: str  # level | vertical | upright | lean
    part: str
    side: Side | None
    degrees: float
    path: Path


@dataclass(frozen=True)
class State:
    """Everything one pose asks for, in degrees by motion name."""

    posture: str
    lead: Side
    targets: Mapping[str, float]
    stated: Mapping[str, float]
    touches: tuple[Touch, ...]
    headings: tuple[Heading, ...]
    released: tuple[Touch, ...] = ()
    fresh: frozenset[str] = field(default_factory=frozenset)  # limbs that this pose itself states
    stated_paths: Mapping[str, Path] = field(default_factory=dict)
    idle_releases: tuple[Touch, ...] = ()  # parts the author let go that touched nothing
    ousted: tuple[Touch, ...] = ()  # the author's contacts that another of the same pose took the place of
    from_posture: bool = False  # the pose names its posture again: it starts there, not from the pose before

    @property
    def row(self) -> dict[str, Any]:
        """Return the posture's data row."""
        return posture_rows()[self.posture]


@cache
def posture_angles(posture: str, lead: Side) -> dict[str, float]:
    """Return a posture's default angles in degrees by motion name."""
    out: dict[str, float] = {}
    rows = posture_rows()[posture].get("joints", {})
    for key in ("both", "lead", "trail"):
        if key not in rows:
            continue
        limb = Limb.model_validate(rows[key])
        sides: tuple[Side, ...] = (
            ("left", "right") if key == "both" else ((lead,) if key == "lead" else (opposite(lead),))
        )
        for side in sides:
            out.update(limb_angles(side, limb))
    axial = {k: v for k, v in rows.items() if k in Joints.model_fields and k != "both"}
    turned = dict(axial)
    angles, _ = read_joints(Joints.model_validate(turned))
    if lead == "left":
        angles = {k: -v if k.endswith("_right") else v for k, v in angles.items()}
    out.update(angles)
    return out


def _touches(contact: Contact, lead: Side, path: Path, *, author: bool) -> Iterator[Touch]:
    part = read_part(contact.part)
    where: tuple[str, str, Side | None] | None = None
    for relation in ("behind", "in_front_of", "beside", "under"):
        text = getattr(contact, relation)
        if text is not None:
            named = read_part(text)
            sides = sides_of(named.side, "right", lead)
            where = (relation, named.part, sides[0] if len(sides) == 1 else None)
    place = contact.holding if contact.holding is not None else contact.on
    for word, meaning in (("lead ", "right"), ("trail ", "left")):
        if place is not None and place.startswith(word):
            far = meaning if lead == "right" else opposite("right" if meaning == "right" else "left")
            place = f"{far} {place.removeprefix(word)}"
    for side in sides_of(part.side, "right", lead) or (None,):
        own = where
        if where and where[2] is None and part_rows()[where[1]].get("paired"):
            own = (where[0], where[1], side)
        yield Touch(
            part=part.part,
            side=side,
            place="" if place is None else place,
            kind="holding" if contact.holding is not None else "on",
            where=own,
            distance=contact.distance,
            author=author,
            path=path,
        )


@cache
def posture_touches(posture: str, lead: Side) -> tuple[Touch, ...]:
    """Return the contacts that a posture brings with it."""
    out: list[Touch] = []
    for row in posture_rows()[posture].get("contacts", []):
        out.extend(_touches(Contact.model_validate(row), lead, (), author=False))
    return tuple(out)


def _headings(direction: Direction, lead: Side, path: Path) -> Iterator[Heading]:
    for kind in ("level", "vertical", "upright", "lean"):
        text = getattr(direction, kind)
        if text is None:
            continue
        part = read_part(text)
        degrees = 0.0
        if kind == "lean":
            degrees = direction.forward if direction.forward is not None else -(direction.back or 0.0)
        for side in sides_of(part.side, "right", lead) or (None,):
            yield Heading(kind, part.part, side, degrees, path)


def _limb_of(motion: str) -> str:
    joint = motion.split(".", maxsplit=1)[0]
    for side in ("left", "right"):
        if joint.endswith(f"_{side}"):
            stem = joint.removesuffix(f"_{side}")
            return f"{'leg' if stem in ('hip', 'knee', 'ankle', 'toes') else 'arm'}_{side}"
    return "head" if joint == "neck" else ("pelvis" if joint == "pelvis" else "trunk")


def _contradicts(
    stated: Mapping[str, float], before: Mapping[str, float], side: str, *, closed: bool
) -> bool:
    """Say whether the angles stated for one leg lift its foot: a clear change, or an open leg stated throughout."""
    if not closed and f"hip_{side}.flexion" in stated and f"knee_{side}.flexion" in stated:
        return True
    return any(
        abs(stated[name] - before.get(name, 0.0)) > limit
        for word, limit in _LIFTS.items()
        if (name := word.replace("@", side)) in stated
    )


def _steps_up(stated: Mapping[str, float], before: Mapping[str, float], side: str) -> bool:
    """Say whether a bent leg is stated straight: on its foot it lifts the body."""
    names = (f"hip_{side}.flexion", f"knee_{side}.flexion")
    return all(before.get(name, 0.0) > _BENT and abs(stated.get(name, 90.0)) < _STRAIGHT for name in names)


def _remaining_touches(
    touches: tuple[Touch, ...],
    stated: Mapping[str, float],
    before: Mapping[str, float],
    row: Mapping[str, Any],
) -> list[Touch]:
    """Drop posture contacts that a stated joint of the same limb contradicts."""
    lifted = {
        side
        for side in ("left", "right")
        if _contradicts(stated, before, side, closed=bool(row.get("closed_chain")))
        and not (row["base"] == "upright" and row.get("closed_chain") and _steps_up(stated, before, side))
    }
    if len(lifted) == 2 and row.get("closed_chain"):
        lifted = set()
    slid = {
        side
        for side in lifted
        if row.get("knee_slides")
        and not any(f"hip_{side}.{word}" in stated for word in ("flexion", "abduction", "internal_rotation"))
    }
    arms = {
        m.split(".", 1)[0].rpartition("_")[2]
        for m in stated
        if _limb_of(m).startswith("arm") and _lifts_hand(m)
    }
    moved = {side for side in lifted if side not in slid}
    # A knee that straightens over what lies under it lifts the heel.
    propped = {t.side for t in touches if t.author and t.kind == "on" and t.part in ("knee", "thigh", "calf")}
    moved |= {side for side in ("left", "right") if side in propped and f"knee_{side}.flexion" in stated}
    remaining = [
        touch if touch.author else _remaining_touch(touch, stated, row, moved, arms) for touch in touches
    ]
    return [touch for touch in remaining if touch is not None]


def _lifts_hand(motion: str) -> bool:
    """Say whether a stated arm motion takes the hand away from where it rests."""
    return not motion.startswith(("shoulder_girdle", "fingers"))


def _remaining_touch(
    touch: Touch, stated: Mapping[str, float], row: Mapping[str, Any], legs: set[str], arms: set[str]
) -> Touch | None:
    """Return what remains of one of the posture's own contacts when `legs` and `arms` are moved."""
    if touch.limb.startswith("leg"):
        return None if touch.side in legs else _remaining_foot(touch, stated, row)
    if touch.limb.startswith("arm"):
        return None if touch.side in arms else touch
    if touch.limb == "head":
        return None if _HEAD_MOVES & set(stated) else touch
    if touch.part in ("upper back", "chest", "lower back"):
        return None if {"lumbar.flexion", "thoracic.flexion"} & set(stated) else touch
    return None if "pelvis.anterior_tilt" in stated and row.get("pelvis_lifts") else touch


def _remaining_foot(touch: Touch, stated: Mapping[str, float], row: Mapping[str, Any]) -> Touch | None:
    """Return a foot's contact after a stated ankle: toes stay when the heel rises, the heel when the toes do."""
    bend = stated.get(f"ankle_{touch.side}.dorsiflexion")
    if bend is None:
        return touch
    if touch.part == "foot":
        if bend < 0:
            return replace(touch, part="toe")
        return touch if row.get("closed_chain") else replace(touch, part="heel" if bend > 0 else "toe")
    return None if touch.part in ("toe", "top of foot", "heel") else touch


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
    touches = _remaining_touches(state.touches, stated, state.targets, state.row)
    released: list[Touch] = [t for t in state.touches if t not in touches]
    idle: list[Touch] = []
    ousted: list[Touch] = []
    # What is let go goes first, so that the order in which an author writes does not matter.
    for number, contact in sorted(enumerate(pose.contacts), key=lambda one: not one[1].release):
        here = (*path, "contacts", number)
        for touch in _touches(contact, state.lead, here, author=True):
            if contact.release:
                gone = [t for t in touches if _replaces(touch, t)]
                idle.extend([] if gone or touch.limb in _limbs(released) else [touch])
                released.extend(gone)
            else:
                fresh_ones = [t for t in touches if t.author and t.path[: len(path)] == path]
                gone = [t for t in touches if t not in fresh_ones and _replaces(touch, t)]
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
        for heading in _headings(direction, state.lead, (*path, "directions", number))
    ]
    pointed = {(h.part, h.side) for h in fresh}
    joints_of = {_limb_of(name) for name in stated}
    old = [h for h in state.headings if (h.part, h.side) not in pointed and _heading_limb(h) not in joints_of]
    return replace(
        state,
        targets={**state.targets, **plain, **stated},
        stated={**held, **stated},
        stated_paths={**{name: state.stated_paths[name] for name in held}, **paths},
        touches=tuple(touches),
        headings=(*old, *fresh),
        released=tuple(released),
        idle_releases=tuple(idle),
        ousted=tuple(ousted),
        fresh=frozenset(joints_of),
    )


def kept_lean(state: State) -> float | None:
    """Return the lean (degrees forward) that a seated trunk keeps while its back is stated to arch or to round.

    The curve of the back, the tilt of the pelvis and the lean of the trunk are three things: an arch with no lean
    stated tips the pelvis, and a stated tilt of the pelvis curves the low back. A trunk that is stated to bend forward
    as a whole leans; None then, and where a lean is stated.
    """
    if not {"seat_lean", "level_trunk"} & set(state.row) or any(
        h.part in ("trunk", "pelvis") for h in state.headings
    ):
        return None
    if "pelvis.anterior_tilt" in state.stated:
        open_back = "lumbar.flexion" not in state.stated
        return float(state.row["seat_lean"]) if open_back and "seat_lean" in state.row else None
    low, high = (state.stated.get(f"{part}.flexion", 0.0) for part in ("lumbar", "thoracic"))
    curved = low < 0 or high < 0 or (low > 0 and "thoracic.flexion" not in state.stated)
    return float(state.row.get("seat_lean", state.row.get("level_trunk", 0.0))) if curved else None


def held_leg(touch: Touch) -> Side | None:
    """Return the side of the leg that a hand holds, if it holds one."""
    if touch.kind != "holding" or not touch.limb.startswith("arm"):
        return None
    word, _, part = touch.place.partition(" ")
    held = part in (
        "shin",
        "calf",
        "knee",
        "thigh",
        "back of thigh",
        "front of thigh",
        "ankle",
        "foot",
        "heel",
    )
    sides: dict[str, Side | None] = {"affected": "right", "right": "right", "other": "left", "left": "left"}
    return (sides.get(word) or (touch.side if word == "both" else None)) if held else None


def _limbs(touches: list[Touch]) -> set[str]:
    return {touch.limb for touch in touches}


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
        opened |= {f"{joint}_{side}" for side in sides_of(words[0], "right", state.lead)}  # type: ignore[arg-type]
    was = {(t.name, t.place) for t in state.touches}
    limbs = {t.limb for t in touches if t.author and (t.name, t.place) not in was}
    return {
        name: value
        for name, value in state.stated.items()
        if name.split(".")[0] not in opened and _limb_of(name) not in limbs
    }


def _heading_limb(heading: Heading) -> str:
    return Touch(heading.part, heading.side, "", "on").limb


def _replaces(new: Touch, old: Touch) -> bool:
    """Say whether a new contact takes the place of an old one: same end of the same limb."""
    if new.limb != old.limb:
        return False
    if new.limb.startswith("arm"):
        return True
    if new.limb.startswith("leg"):
        low = {"foot", "heel", "toe", "ball of foot", "ankle", "top of foot", "flat of foot"}
        return new.part == old.part or ((new.part in low) and (old.part in low))
    if new.limb == "head":
        return True
    seat = {"pelvis", "buttock", "hip"}
    same_side = new.side is None or old.side is None or new.side == old.side
    return (new.part == old.part or {new.part, old.part} <= seat) and same_side
