"""Which hands hold a prop, and which part of the body keeps a soft one where it is."""

from __future__ import annotations

from limberleaf.diagrams.body.skeleton import SIDES, Side
from limberleaf.diagrams.language.words import read_part, sides_of
from limberleaf.diagrams.solving.asked.state import State
from limberleaf.diagrams.solving.touching.places import Thing

_PALMS = ("hand", "fist", "forearm")
_SOLES = ("heel", "foot", "flat of foot", "ball of foot")


def kept_by_body(thing: Thing, state: State) -> str | None:
    """Return the part that keeps a soft thing in place.

    An upper arm keeps a roll, a hand or a foot slides a towel, a back leans a cushion against the chair.
    """
    prop = thing.prop
    if prop is None or not thing.row.get("soft"):
        return None
    if slid_by(thing, state):
        return prop.under
    pressed = state.row["base"] == "side" and prop.form == "folded"  # a roll lies there by itself
    if state.row["base"] != "upright" and not pressed:
        return None
    if prop.under is not None and read_part(prop.under).part in ("upper arm", "arm", "elbow"):
        held = not any(t.limb.startswith("arm") and t.author and t.kind == "on" for t in state.touches)
        return prop.under if held else None
    sits = any(t.place == "seat" for t in state.touches)
    back = prop.behind is not None and read_part(prop.behind).part in ("lower back", "upper back", "back")
    return prop.behind if sits and back else None


def slid_by(thing: Thing, state: State) -> tuple[Side, ...]:
    """Return the sides whose hand or foot lies on a cloth that lies on something else: it goes where they go."""
    prop = thing.prop
    if prop is None or prop.under is None or prop.form not in ("flat", "folded"):
        return ()
    named = read_part(prop.under)
    slides = (
        _PALMS if named.part in _PALMS else _SOLES if prop.form == "flat" and named.part in _SOLES else ()
    )
    return tuple(
        side
        for side in sides_of(named.side, "right", state.lead)
        if any(
            t.part in slides and t.side == side and t.kind == "on" and not is_thing(t.place, thing)
            for t in state.touches
        )
    )


def is_thing(place: str, thing: Thing) -> bool:
    """Say whether a place names this prop."""
    return place in (thing.name.lower(), thing.kind, thing.kind.replace("_", " "))


def holders(thing: Thing, state: State) -> tuple[Side, ...]:
    """Return the sides whose hands hold a prop."""
    sides = {t.side for t in state.touches if t.kind == "holding" and is_thing(t.place, thing) and t.side}
    if thing.prop is not None and thing.prop.held_by is not None:
        sides |= set(sides_of(read_part(thing.prop.held_by).side, "right", state.lead))
    return tuple(side for side in SIDES if side in sides)
