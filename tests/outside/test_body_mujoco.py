"""Forward kinematics and mass centre against MuJoCo (a robotics simulator, mujoco.org), over 200 random poses.

The body is built a second time, as an MJCF file, from the data files alone: one hinge for every slot of every segment,
the shoulder as plane - elevation - rotation hinges, point masses at both ends of every mass segment.
"""

from pathlib import Path
from xml.etree import ElementTree

import mujoco
import numpy as np
import pytest
import yaml

from limberleaf.diagrams.body.kinematics import posed
from limberleaf.diagrams.body.skeleton import BASES, neutral, skeleton

DATA = Path(__file__).parents[2] / "diagrams" / "data"
SEGMENTS = yaml.safe_load((DATA / "segments.yml").read_text(encoding="utf-8").replace("{on:", "{'on':"))
MOTIONS = yaml.safe_load((DATA / "joints.yml").read_text(encoding="utf-8"))["motions"]
SIDES = ("left", "right")


def sides(row):
    return SIDES if row.get("paired") else ("",)


def sided(name, side):
    return f"{name}_{side}" if side else name


def mirrored(vector, side, signs):
    return [v * s for v, s in zip(vector, signs, strict=True)] if side == "left" else list(vector)


def numbers(vector):
    return " ".join(f"{v:.12g}" for v in vector)


def hinges_of(segment, side):
    """Return {slot: axis} and [(slot, share, motion, zero)] of a segment."""
    axes, uses = {}, []
    for key, row in MOTIONS.items():
        if segment in row["hinges"]:
            axes[row["slot"]] = mirrored(row["axis"], side, (-1, -1, 1))
            joint, word = key.split(".")
            name = f"{sided(joint, side if row.get('paired') else '')}.{word}"
            uses.append((row["slot"], row["hinges"][segment], name, row.get("zero", 0.0)))
    return axes, uses


def add_points(bodies):
    """Add a site for every named point and a point mass at both ends of every mass segment; return the names."""
    points = {}
    for key, row in SEGMENTS["points"].items():
        for side in sides(row):
            points[sided(key, side)] = (sided(row["on"], side), mirrored(row["at"], side, (1, 1, -1)))
    for row in SEGMENTS["masses"].values():
        total, share = sum(row["mass"]) / 2, sum(row["centre"]) / 2
        for side in sides(row):
            for end, mass in (("from", total * (1 - share)), ("to", total * share)):
                carrier, at = points[sided(row[end], side) if sided(row[end], side) in points else row[end]]
                ElementTree.SubElement(
                    bodies[carrier],
                    "geom",
                    type="sphere",
                    size="0.0001",
                    mass=f"{mass:.12g}",
                    pos=numbers(at),
                )
    for name, (carrier, at) in points.items():
        ElementTree.SubElement(bodies[carrier], "site", name=name, pos=numbers(at))
    return list(points)


def build(base):
    root = ElementTree.Element("mujoco")
    ElementTree.SubElement(root, "compiler", angle="radian", boundmass="1e-9", boundinertia="1e-12")
    world = ElementTree.SubElement(root, "worldbody")
    place = ElementTree.SubElement(world, "body", name="place")
    for axis, name in (("1 0 0", "root.x"), ("0 1 0", "root.y"), ("0 0 1", "root.z")):
        ElementTree.SubElement(place, "joint", type="slide", axis=axis, name=name)
    quat = np.zeros(4)
    mujoco.mju_mat2Quat(quat, base.flatten())
    bodies, hinges = {}, []
    for key, row in SEGMENTS["segments"].items():
        for side in sides(row):
            name = sided(key, side)
            if row["parent"] is None:
                turned = ElementTree.SubElement(place, "body", quat=numbers(quat))
                body = ElementTree.SubElement(turned, "body", name=name)
            else:
                parent = bodies.get(sided(row["parent"], side), bodies.get(row["parent"]))
                pos = numbers(mirrored(row["offset"], side, (1, 1, -1)))
                body = ElementTree.SubElement(parent, "body", name=name, pos=pos)
            bodies[name] = body
            axes, uses = hinges_of(key, side)
            if key == "upper_arm":
                axes = {0: [0, 1, 0], 1: [1, 0, 0], 2: [0, 1, 0]}
            for slot in sorted(axes):
                ElementTree.SubElement(
                    body,
                    "joint",
                    type="hinge",
                    axis=numbers(axes[slot]),
                    name=f"{name}:{slot}",
                    limited="false",
                )
            hinges.append((name, key, side, uses))
    names = add_points(bodies)
    model = mujoco.MjModel.from_xml_string(ElementTree.tostring(root, encoding="unicode"))
    return model, hinges, names


def shoulder_hinges(side, value):
    """Flexion and abduction as a rotation vector -> plane of elevation, elevation and rotation hinges."""
    mirror = 1.0 if side == "right" else -1.0
    counter = MOTIONS["shoulder_girdle.elevation"]["counter"]  # a raised shoulder lets the arm hang
    abduction = value[f"shoulder_{side}.abduction"]
    abduction += counter["share"] * value[f"shoulder_girdle_{side}.elevation"]
    x = -mirror * abduction
    z = value[f"shoulder_{side}.flexion"]
    plane = np.arctan2(-z, x)
    turn = mirror * value[f"shoulder_{side}.internal_rotation"]
    return plane, np.hypot(x, z), turn - plane


@pytest.mark.parametrize("base", sorted(BASES))
def test_points_and_mass_centre_agree_with_mujoco(base):
    model, hinges, names = build(BASES[base])
    data = mujoco.MjData(model)
    body = skeleton()
    random = np.random.default_rng(20260914)
    worst_point = worst_centre = 0.0
    for _ in range(40):  # 5 bases x 40 = 200 poses
        q = neutral() + random.uniform(-1.4, 1.4, len(body.motions))
        value = {motion.name: q[i] for i, motion in enumerate(body.motions)}
        for axis in ("root.x", "root.y", "root.z"):
            data.joint(axis).qpos[0] = value[axis]
        for name, key, side, uses in hinges:
            angles = dict.fromkeys(range(3), 0.0)
            for slot, share, motion, zero in uses:
                angles[slot] += share * value[motion] + np.radians(zero)
            if key == "upper_arm":
                angles = dict(enumerate(shoulder_hinges(side, value)))
            for slot in range(3):
                joint = mujoco.mj_name2id(model, mujoco.mjtObj.mjOBJ_JOINT, f"{name}:{slot}")
                if joint >= 0:
                    data.joint(f"{name}:{slot}").qpos[0] = angles[slot]
        mujoco.mj_kinematics(model, data)
        mujoco.mj_comPos(model, data)
        ours = posed(q, BASES[base])
        for name in names:
            worst_point = max(worst_point, np.abs(data.site(name).xpos - ours.points[name]).max())
        worst_centre = max(worst_centre, np.abs(data.body("place").subtree_com - ours.mass_centre).max())
    assert worst_point < 1e-9
    assert worst_centre < 1e-5
