"""Props that an author does not have to list, and the contacts that listed ones bring."""

from __future__ import annotations

from dataclasses import replace

from limberleaf.diagrams.body.kinematics import forward
from limberleaf.diagrams.body.skeleton import BASES
from limberleaf.diagrams.language.spec import FigureSpec
from limberleaf.diagrams.language.words import posture_rows, prop_rows, read_part, sides_of
from limberleaf.diagrams.solving.asked.state import Heading, State, Touch
from limberleaf.diagrams.solving.targets.setup import base_name, target_motions
from limberleaf.diagrams.solving.touching.edges import beyond
from limberleaf.diagrams.solving.touching.holding import kept_by_body
from limberleaf.diagrams.solving.touching.places import SEATS, World, pressed_relation, samples

_STANDING = (
    "seat",
    "box",
    "table",
    "rail",
    "wall",
    "doorway",
    "stairs",
)  # shapes that stay where they are when held
_GAP = 0.035  # H; nearer than this a part comes down on what lies under it


def needed_props(spec: FigureSpec, first: State) -> list[str]:
    """Return the kinds of props that the postures need and that contacts name."""
    needed = [str(kind) for kind in first.row.get("props", ())]
    needed.extend(prop.fixed_to for prop in spec.props if prop.fixed_to in ("wall", "door"))
    named = {prop.name.lower() for prop in spec.props if prop.name}
    for pose in spec.poses:
        if pose.posture is not None:
            needed.extend(str(kind) for kind in posture_rows()[pose.posture].get("props", ()))
        for contact in pose.contacts:
            place = (contact.on or contact.holding or "").replace("_", " ")
            for kind in prop_rows():
                word = kind.replace("_", " ")
                if kind == "chair" and any(p.kind in ("armchair", "wheelchair") for p in spec.props):
                    continue
                if place not in named and (place == word or place.startswith(f"{word} ")):
                    needed.extend([] if _listed(kind, spec) else [kind])
    return list(dict.fromkeys(needed))


def _listed(kind: str, spec: FigureSpec) -> bool:
    """Say whether the author lists a prop of this kind, or for a seat any that one can sit on."""
    kinds = {prop.kind for prop in spec.props}
    return kind in kinds or (kind in SEATS and kind != "step" and bool(kinds & set(SEATS)))


_LEGS = {"knee", "shin", "calf", "ankle", "foot", "heel", "toe", "top of foot"}


def bed_is_furniture(spec: FigureSpec) -> bool:
    """Say whether a bed stands beside the body instead of under it: it has a place, or single contacts name it."""
    if any(p.kind == "bed" and (p.in_front_of or p.behind or p.beside) for p in spec.props):
        return True
    row = posture_rows()[spec.poses[0].posture or ""]
    named = {
        read_part(contact.part).part
        for pose in spec.poses
        for contact in pose.contacts
        if (contact.on or "").startswith("bed")
    }
    seated = any(str(rest["part"]).endswith(("buttocks", "pelvis")) for rest in row.get("contacts", ()))
    if row["base"] != "upright" or seated:
        # Somebody lying or sitting up on it rests whatever is named on the mattress.
        return bool(named) and bool(row.get("closed_chain"))
    return bool(named) and not named & _LEGS


def with_props(state: State, world: World) -> State:
    """Add the contacts that props bring: what lies under a part carries it.

    A prop that the posture itself does not come near (a cushion on the calves, a towel under a raised elbow) only
    fills the gap: it is hung where the part is.
    """
    state = _over_edge(_tall_at_ball(state, world), world)
    extra: list[Touch] = []
    sits = any(touch.place == "seat" and touch.part == "buttock" for touch in state.touches)
    touches = [_edge_grip(_steady_hold(touch, world), world, sits=sits) for touch in state.touches]
    below = [(t, t.prop.under) for t in world.things if t.prop is not None and t.prop.under is not None]
    if not below:
        return replace(state, touches=tuple(touches))
    kin = forward(target_motions(state, None, world), BASES[base_name(state)])
    for thing, under in below:
        if kept_by_body(thing, state) is not None:
            continue
        named = read_part(under)
        for side in sides_of(named.side, "right", state.lead) or (None,):
            touch = Touch(named.part, side, thing.name.lower(), "on", author=True, path=thing.path)
            low = min(float(kin.place(s.segment, s.at)[1]) - s.radius for s in samples(named.part, side))
            if low - thing.top > _GAP:
                thing.base = max(thing.base, low - thing.size[1])
                continue
            if any(
                t.author and t.side == side and (t.part == named.part or t.path == thing.path)
                for t in touches
            ):
                continue
            touches = [
                t for t in touches if t.author or not (t.name == touch.name or t.limb == touch.limb == "head")
            ]
            touches = [_shared_foot(t, touch) for t in touches]
            if touch.part in ("upper back", "back") and thing.size[1] > _GAP:
                # The shoulders are lifted: the head may hang or be held.
                touches = [t for t in touches if t.author or t.limb != "head"]
            extra.append(touch)
    return replace(state, touches=(*touches, *extra))


def _over_edge(state: State, world: World) -> State:
    """Drop the posture's own contacts of parts that hang over the edge of the bed."""
    hanging = [one for thing in world.things for one in beyond(thing.prop)]
    kept = tuple(
        touch
        for touch in state.touches
        if touch.author or not any(touch.side == side and touch.part in parts for side, parts, _ in hanging)
    )
    return replace(state, touches=kept)


def _tall_at_ball(state: State, world: World) -> State:
    """Keep the trunk upright that holds a ball against a wall: a trunk that leans lets it drop."""
    pressed = any(pressed_relation(thing, world) for thing in world.things)
    leans = any(h.part in ("trunk", "pelvis") for h in state.headings)
    if not pressed or leans or state.row["base"] != "upright":
        return state
    return replace(state, headings=(*state.headings, Heading("upright", "trunk", None, 0.0, ())))


def _shared_foot(old: Touch, new: Touch) -> Touch:
    """Leave the other end of a foot on the ground when a prop comes under its heel or its toes."""
    if old.author or old.part != "foot" or old.side != new.side:
        return old
    if new.part == "heel":
        return replace(old, part="toe")
    return replace(old, part="heel") if new.part in ("toe", "ball of foot") else old


def _steady_hold(touch: Touch, world: World) -> Touch:
    """Take a hold on what stands (a worktop, the back of a chair, a door frame) as resting on it."""
    thing = world.find(touch.place)
    if touch.kind == "holding" and thing is not None and thing.row["shape"] in _STANDING:
        return replace(touch, kind="on")
    return touch


def _edge_grip(touch: Touch, world: World, *, sits: bool) -> Touch:
    """Let a hand on the seat one sits on grip its edge: there is no room for a flat palm beside the hips.

    Whoever kneels or stands at a bed lays the palms on it.
    """
    thing = world.find(touch.place)
    if thing is None or (thing.kind == "bed" and not sits):
        return touch
    if touch.place.endswith((" arm", " arms")):
        return touch
    if touch.part == "hand" and touch.kind == "on" and thing.row.get("edge_grip"):
        return replace(touch, part="gripping hand")
    return touch
