"""Which signs of a panel its alternative text has to say, so that words and picture agree."""

from __future__ import annotations

from limberleaf.diagrams.scene.emphasis import affected_limbs
from limberleaf.diagrams.signs.arrows import movement_kind, rests
from limberleaf.diagrams.solving.solved import SolvedFigure


def said_signs(solved: SolvedFigure, number: int, *, in_turn: bool) -> list[tuple[str, tuple[str, ...]]]:
    """Return the signs in one panel by name, in the order they are said, with the parts they are at.

    Parts are the author's ("affected knee"). What moves from where to where is said by the angles; here stand only
    signs that say how. `in_turn`: whether the other side is to be done afterwards.
    """
    parts = tuple(name for name in solved.spec.arrow if name != "none")
    drawn = "none" not in solved.spec.arrow
    last = number == len(solved.poses) - 1
    kind = movement_kind(solved, number)
    found: list[tuple[str, tuple[str, ...]]] = []
    if number and drawn and kind in ("to_and_fro", "round"):
        found.append((kind, ()))
    if kind == "press" and parts and (number or last):
        way = solved.spec.press or "down"
        found.append(("press" if way == "down" else f"press_{way}", parts))
    if kind == "hold" and (number or last):
        found.append(("hold", ()))
    if rests(solved, number):
        limbs = sorted({limb.partition("_")[0] for limb in affected_limbs(solved)})
        found.append(("rest", tuple(f"affected {limb}" for limb in limbs)))
    if in_turn and last and movement_kind(solved) != "to_and_fro":
        found.append(("other_side", ()))
    return found
