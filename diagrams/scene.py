"""One pose as painted shapes: who carries the accent, which side is far, the body with its props, the floor."""

from __future__ import annotations

import numpy as np

from diagrams.camera import Camera
from diagrams.displaylist import Box, Points, Shape
from diagrams.figure_paint import Look, paint_scene
from diagrams.prop_shapes import floor_shapes, prop_parts
from diagrams.solved import SolvedFigure, SolvedPose
from diagrams.style import Style
from diagrams.view import SEGMENTS
from diagrams.words import part_rows, read_part

LEG_JOINTS = {"hip", "knee", "ankle", "toes"}
LEG_SEGMENTS = {"thigh", "shank", "foot", "toes", "pelvis"}
LEADING_POSTURES = {"step_standing", "split_stance", "half_kneeling"}
"""Postures in which one leg does the work although no joint is stated."""


def figure_look(solved: SolvedFigure, camera: Camera) -> Look:
    """Return which limbs carry the accent and which side is drawn as far."""
    far = ""
    if camera.side_like and not solved.poses[0].base_name.endswith("_side"):
        right = solved.poses[0].posed.base[:, 2] @ camera.toward
        if abs(right) > 0.5:
            far = "left" if right > 0 else "right"
    return Look(affected_limbs(solved), far)


def affected_limbs(solved: SolvedFigure) -> frozenset[str]:
    """Return the limbs of the affected side that the author's words are about: leg_right, arm_left ..."""
    side = solved.affected
    kinds: set[str] = set()
    spec = solved.spec
    for pose in spec.poses:
        limb = pose.joints.affected if pose.joints else None
        if limb:
            stated = set(limb.model_dump(exclude_none=True))
            kinds |= {"leg"} if stated & LEG_JOINTS else set()
            kinds |= {"arm"} if stated - LEG_JOINTS else set()
    parts = [contact.part for pose in spec.poses for contact in pose.contacts]
    parts += [d.level or d.vertical or "" for pose in spec.poses for d in pose.directions]
    parts += [*spec.arrow, *spec.highlight, spec.angle.joint if spec.angle else ""]
    parts += [text for prop in spec.props for text in (prop.under, prop.around, prop.held_by) if text]
    for text in parts:
        if text.startswith("affected"):
            segment = part_rows()[read_part(text).part]["samples"][0][0]
            kinds.add("leg" if segment in LEG_SEGMENTS else "arm")
    if not kinds and spec.poses[0].posture in LEADING_POSTURES:
        kinds.add("leg")
    return frozenset(f"{kind}_{side}" for kind in kinds)


def pose_shapes(pose: SolvedPose, camera: Camera, look: Look, style: Style) -> list[Shape]:
    """Return a pose's body and props, far to near, without marks."""
    props = [
        part
        for index, prop in enumerate(pose.props, start=1)
        for part in prop_parts(prop, index, camera, style)
    ]
    return paint_scene(pose.posed, props, camera, look, style)


def body_points(pose: SolvedPose, camera: Camera) -> Points:
    """Return places (n, 2) along all segments on paper, for marks that keep clear of the body."""
    rows = [
        pose.posed.points[a] * (1 - t) + pose.posed.points[b] * t
        for _, a, b, _ in SEGMENTS
        for t in (0.0, 0.25, 0.5, 0.75, 1.0)
    ]
    return camera.project(np.array(rows))


def floor(solved: SolvedFigure, camera: Camera, frame: Box, style: Style) -> list[Shape]:
    """Return the floor, or nothing where a bed hides it in a view from above."""
    points = np.array([p for other in solved.poses for p in other.posed.points.values()])
    low, high = points.min(axis=0) - 0.07, points.max(axis=0) + 0.07
    corners = np.array(
        [[low[0], 0, low[2]], [high[0], 0, low[2]], [high[0], 0, high[2]], [low[0], 0, high[2]]]
    )
    if solved.poses[0].ground > 0.05 and camera.elevation > 4:
        return []
    return floor_shapes(camera, (frame.left + 2, frame.right - 2), corners, style)
