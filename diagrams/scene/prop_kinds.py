"""Which props are held or worn, and which give way under a body."""

from __future__ import annotations

from limberleaf.diagrams.solving.solved import PlacedProp

HELD = frozenset(
    {
        "band",
        "strap",
        "stick",
        "weight",
        "bottle",
        "ball",
        "gym_ball",
        "cup",
        "cuff",
        "walking_stick",
        "crutch",
        "walking_frame",
    }
)
"""Drawn among the limbs, pixel by pixel; everything else is furniture that stands behind the body or in front of it."""
SOFT = {"towel": 0.006, "cushion": 0.016, "pillow": 0.020, "wedge": 0.003}
"""Soft things by kind, with the radius (H) of their rounded edges."""


def is_held(prop: PlacedProp) -> bool:
    """Say whether a placed thing is among the limbs: held or worn, a towel pulled taut, a roll kept by the arm."""
    return prop.kind in HELD or bool(prop.lines) or (prop.form == "between" and bool(prop.rods))
