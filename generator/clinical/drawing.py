"""What a figure's own entry says about sides and things, before anything is drawn."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache
from importlib.resources import files

from limberleaf.clinical.pose_facts import things_of
from limberleaf.clinical.sides import OPPOSITE, Role
from limberleaf.data_files import safe_load
from limberleaf.diagrams.language.spec import Pose
from limberleaf.diagrams.language.words import posture_rows, prop_rows
from limberleaf.library.models.exercise import Exercise

_LANDMARK = re.compile(
    r"\b(?:until|as|level|past|than|to|towards?|beside|behind|over|under|against|with|from|on|in front)\b"
)


@cache
def _data(name: str) -> Mapping[str, list[str]]:
    text = files(__package__).joinpath(f"data/{name}.yml").read_text("utf-8")
    return dict(safe_load(text))


def position_family(position: str) -> str:
    """Give the family of a starting position, such as `on_feet`; a position of no family is one by itself."""
    families = _data("position_families")
    return next((name for name, positions in families.items() if position in positions), position)


def sides_moved(pose: Pose) -> frozenset[Role]:
    """Give the sides whose joints a pose states; `both` is both of them."""
    joints = pose.joints
    if joints is None:
        return frozenset()
    if joints.both is not None:
        return frozenset(OPPOSITE.values())
    return frozenset(role for role in OPPOSITE.values() if getattr(joints, role) is not None)


def sides_acting(*texts: str | None) -> frozenset[Role]:
    """Give the sides that texts ask to do something, by their blanks; English.

    What comes after a word such as `until`, `past` or `against` is a landmark, not what moves.
    """
    acting = " ".join(_LANDMARK.split(text, maxsplit=1)[0] for text in texts if text)
    return frozenset(role for role in OPPOSITE.values() if f"{{{role}}}" in acting)


def names_of_prop(kind: str) -> list[str]:
    """Give what a kind of prop may be called on the list of equipment: its own name and the things it is drawn for."""
    return [kind, *_data("drawn_things").get(kind, [])]


def drawn_but_not_listed(exercise: Exercise) -> list[int]:
    """Give the numbers of the figure's props that no piece of equipment names."""
    listed = [need.item for need in exercise.equipment]
    return [
        index
        for index, prop in enumerate(exercise.figure.props)
        if not any(name in item for name in names_of_prop(prop.kind) for item in listed)
    ]


def listed_but_not_drawn(exercise: Exercise) -> list[int]:
    """Give the numbers of the things that must be used and could be drawn, but are not in the figure."""
    name = exercise.figure.poses[0].posture or ""
    posture = posture_rows()[name]
    drawn = {prop.kind for prop in exercise.figure.props} | set(things_of(name))
    if posture.get("lies") or posture["base"] != "upright":
        drawn.add("bed")
    contacts = [contact for pose in exercise.figure.poses for contact in pose.contacts]
    drawn |= {place.split()[0] for c in contacts for place in (c.on, c.holding) if place}
    shown = {name for kind in drawn for name in names_of_prop(kind)}
    return [
        index
        for index, need in enumerate(exercise.equipment)
        if not need.optional and _can_be_drawn(need.item) and not any(name in need.item for name in shown)
    ]


def _can_be_drawn(item: str) -> bool:
    """Say whether a figure can show a piece of equipment: it bears the name of a prop."""
    return any(kind in item for kind in prop_rows())
