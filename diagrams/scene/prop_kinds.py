"""Which props are held or worn, and which give way under a body."""

from __future__ import annotations

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
