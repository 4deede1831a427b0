"""From parts to painted shapes: order, colours, seams and halos."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from limberleaf.diagrams.body.skeleton import SIDES, Posed
from limberleaf.diagrams.drawing.figure_core import head_part, neck_part, trunk_part
from limberleaf.diagrams.drawing.figure_ends import foot_part, hand_part
from limberleaf.diagrams.drawing.figure_shapes import (
    BodyPart,
    Path,
    Tracing,
    limb_part,
    limb_rings,
    seam_patch,
    smooth_line,
    trace_parts,
)
from limberleaf.diagrams.drawing.hidden import covered_parts
from limberleaf.diagrams.drawing.paint_order import Pair, Solid, far_to_near
from limberleaf.diagrams.scene.camera import Camera
from limberleaf.diagrams.scene.prop_shapes import PropPart
from limberleaf.diagrams.writing.displaylist import Paint, PathBuilder, Points, Shape
from limberleaf.diagrams.writing.style import Style

HALO_GAP = 0.05
"""How much nearer (H) a limb must pass for the white edge."""
PELVIS_DROP = 16.0
"""How far the clothed pelvis reaches below the hip joints (units)."""
CHAINS = (("thigh", "shank"), ("shank", "foot"), ("upper-arm", "forearm"), ("forearm", "hand"))


Body = Mapping[str, BodyPart]
"""All parts of one posed body by name, such as "shank-left"."""


def bodies(poses: Sequence[Posed], camera: Camera) -> list[Body]:
    """Return the parts of each posed body, unsorted; all outlines are traced together."""
    parts = trace_parts([part for posed in poses for part in _parts(posed, camera)], camera)
    count = len(parts) // max(len(poses), 1)
    return [
        {part.name: part for part in parts[start : start + count]} for start in range(0, len(parts), count)
    ]


def _parts(posed: Posed, camera: Camera) -> list[Tracing]:
    rings = limb_rings(posed)
    parts = [trunk_part(posed, camera), neck_part(posed, camera), head_part(posed, camera)]
    for side in SIDES:
        parts += [limb_part(rings, name, side, camera) for name in LONG_PARTS]
        parts += [foot_part(posed, side, camera), hand_part(posed, rings, side, camera)]
    return parts


LONG_PARTS = ("thigh", "shank", "upper-arm", "forearm")


@dataclass(frozen=True)
class Look:
    """Which limbs carry the accent, and which side counts as far ("" when neither does)."""

    affected: frozenset[str]
    far: str = ""


@dataclass(frozen=True)
class Tones:
    """The colours of one part."""

    ink: str
    skin: str
    cloth: str
    role: str


def tones(part: BodyPart, look: Look, style: Style) -> Tones:
    """Return a part's colours: affected before far before plain."""
    sleeve = part.name.startswith("upper-arm") or part.name == "trunk"
    if part.limb in look.affected:
        return Tones(style.affected_ink, style.affected_fill, style.affected_cloth, "affected")
    if part.side and part.side == look.far:
        return Tones(style.far_ink, style.far_skin, style.far_shirt if sleeve else style.far_shorts, "far")
    if part.name == "trunk":
        return Tones(style.ink, style.shirt, style.shorts, "body")
    return Tones(style.ink, style.skin, style.shirt if sleeve else style.shorts, "body")


def paint_part(part: BodyPart, colour: Tones, style: Style) -> list[Shape]:
    """Return one part's shapes: outline and fill, clothes, details."""
    shapes = [
        Shape(part.path, Paint(colour.skin, colour.ink, style.outline, outside=True), part.name, colour.role)
    ]
    if part.cloth:
        shapes.append(Shape(part.cloth, Paint(colour.cloth), part.name, "detail"))
    for kind, path in part.details:
        if not path:
            continue
        paint = {
            "hem": Paint(None, colour.ink, style.thin),
            "thin": Paint(None, colour.ink, style.thin),
            "ink": Paint(colour.ink),
            "hair": Paint(style.hair),
            "ear": Paint(colour.skin, colour.ink, style.thin),
        }[kind]
        shapes.append(Shape(path, paint, part.name, "detail"))
    return shapes


def paint_scene(
    parts: Body, posed: Posed, props: Sequence[PropPart], camera: Camera, look: Look, style: Style
) -> list[Shape]:
    """Return the body and the pieces of its props, far to near."""
    solids = [Solid(p.name, p.limb, p.places, p.radii) for p in parts.values()]
    solids += [Solid(p.name, "prop", p.places, p.radii, p.lean) for p in props]
    order, pairs = far_to_near(solids, camera)
    rank = {name: i for i, name in enumerate(order)}
    pieces = {prop.name: prop for prop in props}
    core = camera.project(np.array([posed.points["spine_5"], posed.points["spine_2"]]))
    result: list[Shape] = []
    hidden = covered_parts(parts, order)
    for name in order:
        if name in pieces:
            result += pieces[name].shapes
            continue
        if name in hidden:
            continue
        part = parts[name]
        halo = _halo(part, parts, pairs, rank, style)
        if halo:
            result.append(halo)
        result += paint_part(part, tones(part, look, style), style)
        result += _patches(part, parts, rank, look, style)
        result += _core_patches(part, parts, rank, core, look, style)
    return result


def _patches(part: BodyPart, parts: Body, rank: dict[str, int], look: Look, style: Style) -> list[Shape]:
    """Cover the seam between this part and the neighbours of its limb painted before it."""
    if part.side is None:
        return []
    kind = part.name.rsplit("-", 1)[0]
    result = []
    for near, far in CHAINS:
        if kind not in (near, far):
            continue
        other = parts[f"{far if kind == near else near}-{part.side}"]
        if rank[other.name] > rank[part.name] or other.tube is None:
            continue
        radius = _joint_radius(part, other, at_start=kind == far)
        patch = seam_patch(other.tube, at_start=kind == near, reach=radius + style.outline + 0.6)
        if patch:
            colour = tones(other, look, style)
            result.append(Shape(patch, Paint(colour.skin), part.name, "detail"))
    return result


def _core_patches(
    part: BodyPart, parts: Body, rank: dict[str, int], core: Points, look: Look, style: Style
) -> list[Shape]:
    """Run shirt into sleeve and shorts into leg, where both wear the same colour."""
    result = []
    pairs = [(part, part)] if part.side else [(limb, part) for limb in parts.values() if part.name == "trunk"]
    for limb, painted in pairs:
        kind = limb.name.rsplit("-", 1)[0]
        if kind not in ("upper-arm", "thigh") or limb.tube is None or limb.tube.hull is not None:
            continue
        colour, trunk = tones(limb, look, style), tones(parts["trunk"], look, style)
        cloth = trunk.skin if kind == "upper-arm" else trunk.cloth
        if colour.cloth != cloth or colour.ink != trunk.ink or rank["trunk"] > rank[painted.name]:
            continue
        half = float(np.hypot(*(limb.tube.left[0] - limb.tube.right[0])) / 2)
        if painted is limb and kind == "thigh" and _hem_clears_pelvis(limb, parts["trunk"]):
            path = parts["trunk"].cloth
        elif painted is limb:
            path = _bridge(
                limb.tube.centres[0], core[0 if kind == "upper-arm" else 1], half - 0.2, style.outline
            )
        elif rank[limb.name] < rank["trunk"]:
            path = seam_patch(limb.tube, at_start=True, reach=half + style.outline + 0.6)
        else:
            path = None
        if path:
            result.append(Shape(path, Paint(cloth), painted.name, "detail"))
            if painted is limb and kind == "thigh" and path is not parts["trunk"].cloth:
                result += _bare_again(limb, colour, style)
    return result


def _bare_again(limb: BodyPart, colour: Tones, style: Style) -> list[Shape]:
    """The skin beyond the hem once more, over cloth that was laid across the joint."""
    if limb.hem is None or limb.tube is None:
        return []
    path = PathBuilder()
    limb.tube.tail(path, limb.hem_place, limb.hem)
    return [
        Shape(path.done(), Paint(colour.skin), limb.name, "detail"),
        Shape(smooth_line(limb.hem), Paint(None, colour.ink, style.thin), limb.name, "detail"),
    ]


def _hem_clears_pelvis(thigh: BodyPart, trunk: BodyPart) -> bool:
    """Whether the hem of the leg lies outside the clothed pelvis on paper, so that the pelvis may be laid over it."""
    if thigh.hem is None or thigh.tube is None or trunk.tube is None or trunk.tube.hull is not None:
        return False
    reach = thigh.hem.mean(axis=0) - thigh.tube.centres[0]
    distance = float(np.hypot(*reach))
    across = (trunk.tube.left[1] - trunk.tube.right[1]) / 2
    half = float(np.hypot(*across))
    share = abs(float(reach @ across)) / max(half * distance, 1e-9)
    room = np.hypot(half * share, PELVIS_DROP * np.sqrt(max(1 - share**2, 0.0)))
    return bool(distance > room + 5.0)


def _bridge(joint: Points, target: Points, half: float, outline: float) -> Path | None:
    """A strip from a joint towards the core that hides the limb's round end there."""
    way = target - joint
    length = float(np.hypot(*way))
    reach = half + outline + 0.6
    if length < reach:
        return None
    unit = way / length
    side = np.array([-unit[1], unit[0]])
    wide = side * (half + outline)
    end = joint + unit * reach
    return PathBuilder().polygon([joint + side * half, end + wide, end - wide, joint - side * half]).done()


def _joint_radius(part: BodyPart, other: BodyPart, *, at_start: bool) -> float:
    tube = part.tube if part.tube is not None and part.tube.hull is None else other.tube
    if tube is None or tube.hull is not None:
        return 8.0
    end = 0 if (at_start == (tube is part.tube)) else -1
    return float(np.hypot(*(tube.left[end] - tube.right[end])) / 2)


def _halo(
    part: BodyPart, parts: Body, pairs: dict[Pair, float], rank: dict[str, int], style: Style
) -> Shape | None:
    """A white edge where this part passes over another limb already painted; never at its own joints."""
    if part.tube is None or part.tube.hull is not None or part.limb == "core":
        return None
    crossed = [
        other
        for pair in pairs
        if part.name in pair
        for other in pair
        if other != part.name
        and abs(pairs[pair]) > HALO_GAP
        and rank[other] < rank[part.name]
        and other in parts
        and parts[other].limb not in (part.limb, "core")
    ]
    if not crossed:
        return None
    last = len(part.tube.left) - 1
    path = PathBuilder()
    part.tube.strip(path, last * 0.3, last * 0.85)
    return Shape(
        path.done(),
        Paint(style.paper, style.paper, style.outline + 1.2, outside=True, cap="butt"),
        part.name,
        "halo",
    )
