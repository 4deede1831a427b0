"""Where things stand and how hands are held: words against the figure, so that nobody turns their back on the support.

English. How the words say it is data (data/places_said.yml, data/held_words.yml).
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from functools import cache
from typing import Any

from limberleaf.checks.each import each_exercise
from limberleaf.clinical.pose_facts import angles_of
from limberleaf.clinical.sides import lies_down
from limberleaf.data_files import data_of
from limberleaf.diagrams.language.spec import Prop
from limberleaf.findings import Finding
from limberleaf.library import Exercise, Library, Loaded
from limberleaf.library.yaml.source import Loc

PLACES = ("front", "back", "beside")
IN_WORDS = {"front": "in front of the body", "back": "behind it", "beside": "beside it"}
LEAST_HELD = 5
"""Degrees from which a joint counts as held one way; of two ways the one it goes further counts."""

_OF_HAND = re.compile(r"\b(?:hand|finger|fingertip|forearm|elbow|palm)")
_TOP = re.compile(r"\btop (?:arm|leg|knee|hand|foot)\b", re.IGNORECASE)
_UNDER = re.compile(r"\b(?:bottom|lower|under) (?:arm|leg|knee|hand|foot)\b", re.IGNORECASE)


def check_placing(library: Library) -> Iterator[Finding]:
    """Report things the words put elsewhere than the figure, hands held the other way, and the other side on top."""
    if library.settings.language == "en":
        yield from each_exercise(library, _of_exercise, "en")


def _of_exercise(loaded: Loaded[Exercise], _: str) -> Iterator[Finding]:
    texts = list(_texts(loaded.entry))
    for prop in loaded.entry.figure.props:
        drawn = _drawn(loaded.entry, prop)
        for loc, text in texts if drawn else ():
            said = _said(prop.kind, text)
            if said and said != drawn:
                yield Finding(
                    "error",
                    "thing-elsewhere",
                    f"“{text}” puts the {prop.kind} {IN_WORDS[said]}; the figure has it {IN_WORDS[drawn]}.",
                    "Correct the words, or where it is drawn. Nobody should turn away from what they hold.",
                    loaded.source.place(loc),
                )
    yield from _reached(loaded.entry, loaded)
    yield from _held(loaded, texts)
    yield from _on_top(loaded)


def _reached(exercise: Exercise, loaded: Loaded[Exercise]) -> Iterator[Finding]:
    """Report a hand on a thing that stands beside the other side of the body: it would have to reach across."""
    for index, pose in enumerate(exercise.figure.poses):
        for number, contact in enumerate(pose.contacts):
            side, _, part = contact.part.partition(" ")
            place = contact.on or contact.holding or ""
            stands = _stands_beside(place, exercise.figure.props)
            if stands and side in ("affected", "other") and side != stands and _OF_HAND.search(part):
                yield Finding(
                    "error",
                    "thing-on-other-side",
                    f"The {contact.part} is on the {place}, which stands beside the {stands} side.",
                    f"Write `beside: {side}`, or let the {stands} hand hold it.",
                    loaded.source.place(("figure", "poses", index, "contacts", number)),
                )


def _stands_beside(place: str, props: Iterable[Prop]) -> str:
    """Give the side of the body that a touched thing stands beside; empty when it is none, or may be several."""
    kinds = [prop for prop in props if f"{place} ".startswith(f"{prop.kind.replace('_', ' ')} ")]
    named = [prop for prop in props if prop.name and place == prop.name]
    sides = {prop.beside or "" for prop in named or kinds}
    side = sides.pop() if len(sides) == 1 else ""
    return side if side in ("affected", "other") else ""


def _texts(exercise: Exercise) -> Iterator[tuple[Loc, str]]:
    for key in ("setup", "steps"):
        for index, text in enumerate(getattr(exercise, key)):
            yield (key, index), text
    for index, pose in enumerate(exercise.figure.poses):
        if pose.caption:
            yield ("figure", "poses", index, "caption"), pose.caption


def _drawn(exercise: Exercise, prop: Prop) -> str:
    """Give where the figure puts a thing; empty when it does not say."""
    if prop.beside:
        return "beside"
    if prop.in_front_of:
        return "front"
    if prop.behind:
        return "back"
    first = exercise.figure.poses[0]
    at_it = first.posture == f"standing_at_{prop.kind}"
    held = any(contact.part == "both hands" and contact.on == prop.kind for contact in first.contacts)
    return "front" if at_it or held else ""


@cache
def _patterns(kind: str) -> Mapping[str, re.Pattern[str]]:
    data: Mapping[str, Any] = data_of(__package__, "places_said.yml")
    thing = data["things"].get(kind)
    if thing is None:
        return {}
    return {place: re.compile(data[place].replace("{thing}", thing), re.IGNORECASE) for place in PLACES}


def _said(kind: str, text: str) -> str:
    return next((place for place, pattern in _patterns(kind).items() if pattern.search(text)), "")


@cache
def _held_words() -> tuple[tuple[re.Pattern[str], str, str, int], ...]:
    return tuple(
        (
            re.compile(row["says"], re.IGNORECASE),
            row["joint"],
            row["motion"],
            1 if row["goes"] == "up" else -1,
        )
        for row in data_of(__package__, "held_words.yml")
    )


def _held(loaded: Loaded[Exercise], texts: list[tuple[Loc, str]]) -> Iterator[Finding]:
    panels = angles_of(loaded.entry.figure)
    for loc, text in texts:
        for pattern, joint, motion, way in _held_words():
            match = pattern.search(text)
            if not match:
                continue
            values = [
                way * value
                for panel in panels
                for (_, one, turn), value in panel.items()
                if (one, turn) == (joint, motion)
            ]
            if values and -min(values) >= LEAST_HELD and -min(values) > max(values):
                yield Finding(
                    "error",
                    "held-other-way",
                    f"“{match[0]}”, and in the figure the {joint} bends or turns the other way.",
                    "Correct the words, or the angles of the pose.",
                    loaded.source.place(loc, offset=match.start()),
                )


def _on_top(loaded: Loaded[Exercise]) -> Iterator[Finding]:
    exercise = loaded.entry
    lead = exercise.figure.poses[0].lead
    steps = " ".join(exercise.steps)
    sides = {part.split()[0] for part in exercise.figure.arrow} & {"affected", "other"}
    if not (lies_down(exercise) and lead and _TOP.search(steps) and not _UNDER.search(steps)):
        return
    if len(sides) == 1 and lead not in sides:
        yield Finding(
            "error",
            "moves-the-one-below",
            f"The steps move the side on top; `lead` puts the {lead} side on top, and the arrow is on the "
            f"{min(sides)} one.",
            "`lead:` names the side on top in the drawing: write the side that moves.",
            loaded.source.place(("figure", "poses", 0, "lead")),
        )
