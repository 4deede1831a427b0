"""What one pose asks for, and how contacts, directions and postures read for it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import Any

from limberleaf.diagrams.body.skeleton import Side
from limberleaf.diagrams.language.joint_words import limb_angles, read_joints
from limberleaf.diagrams.language.spec import Contact, Direction
from limberleaf.diagrams.language.spec_joints import Joints, Limb
from limberleaf.diagrams.language.words import opposite, part_rows, posture_rows, read_part, sides_of
from limberleaf.diagrams.solving.solved import Path


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


def touches_of(contact: Contact, lead: Side, path: Path, *, author: bool) -> Iterator[Touch]:
    """Give the touches of one contact: one a side, one for a part of the middle."""
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
        out.extend(touches_of(Contact.model_validate(row), lead, (), author=False))
    return tuple(out)


def headings_of(direction: Direction, lead: Side, path: Path) -> Iterator[Heading]:
    """Give the headings of one direction: one a side, one for a part of the middle."""
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


def limb_of(motion: str) -> str:
    """Return the chain a motion moves: arm_right, leg_left, head, pelvis, trunk."""
    joint = motion.split(".", maxsplit=1)[0]
    for side in ("left", "right"):
        if joint.endswith(f"_{side}"):
            stem = joint.removesuffix(f"_{side}")
            return f"{'leg' if stem in ('hip', 'knee', 'ankle', 'toes') else 'arm'}_{side}"
    return "head" if joint == "neck" else ("pelvis" if joint == "pelvis" else "trunk")


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


def heading_limb(heading: Heading) -> str:
    """Return the chain a direction turns, named as `Touch.limb` names it."""
    return Touch(heading.part, heading.side, "", "on").limb
