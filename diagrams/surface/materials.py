"""What a surface is made of and which limb it belongs to: the numbers in the buffers."""

from __future__ import annotations

SKIN, SHIRT, SHORTS, HAIR, HELD, FURNITURE, SHOE = range(7)
"""Materials. `HELD` and `FURNITURE` are no body: a thing in the hand, furniture in front of the body."""

MOST_HELD = 8
"""Held or worn things that one picture can distinguish."""
LIMBS = (
    "core",
    "head",
    "hair",
    "arm_left",
    "arm_right",
    "leg_left",
    "leg_right",
    "furniture",
    *(f"held{i}" for i in range(MOST_HELD)),
)
"""Limbs by number, then what is no limb."""
CORE, HEAD = LIMBS.index("core"), LIMBS.index("head")
FURNITURE_LIMB = LIMBS.index("furniture")
_SEGMENTS = {
    "leg": ("thigh", "shank", "foot", "toes"),
    "arm": ("upper_arm", "forearm", "hand", "fingers"),
}


def limb_of(segment: str) -> str | None:
    """Return the limb that a segment of the skeleton belongs to ("leg_right"); None for trunk and head."""
    kind, _, side = segment.rpartition("_")
    return next((f"{limb}_{side}" for limb, kinds in _SEGMENTS.items() if kind in kinds), None)


EXTRA = 1 + MOST_HELD
"""Pieces without a grid after those of the body: furniture, then the things held; each has one quad of its own."""
