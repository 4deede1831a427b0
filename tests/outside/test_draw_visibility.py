"""What the depth buffer says is seen, against an independent ray caster and a second renderer on the same surface.

Rays: MuJoCo's `mj_ray` over the body's triangles (DeepMind, Apache 2.0). Silhouette: Pillow's filled polygons.
"""

from __future__ import annotations

import mujoco
import numpy as np
import pytest
from drawing_help import demo
from PIL import Image, ImageDraw

from limberleaf.diagrams import draw_figure
from limberleaf.diagrams.surface.buffers import rasterise
from limberleaf.diagrams.surface.mesh import mesh, vertices


@pytest.mark.parametrize("name", ["sit-to-stand", "book-opening", "dead-bug"])
def test_silhouette_agrees_with_a_polygon_filler(name: str) -> None:
    figure = demo(name)
    world = vertices(figure.poses[-1].posed, {})
    b = rasterise(world, draw_figure(figure).camera)
    height, width = b.quad.shape
    filled = Image.new("1", (width, height))
    pen = ImageDraw.Draw(filled)
    for corners in b.points[mesh().quads][:, :, :2] - 0.5:
        pen.polygon([tuple(corner) for corner in corners.tolist()], fill=1)
    theirs, ours = np.asarray(filled), b.quad >= 0
    assert (theirs & ours).sum() / (theirs | ours).sum() > 0.97


def caster(world: np.ndarray) -> tuple[mujoco.MjModel, mujoco.MjData, np.ndarray]:
    """Return a still model of the surface's triangles, and where MuJoCo moved their middle to."""
    quads = mesh().quads
    faces = np.concatenate([quads[:, [0, 1, 2]], quads[:, [0, 2, 3]]])
    corners = world[faces]
    size = np.linalg.norm(np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]), axis=1)
    faces = faces[size > 1e-9]
    spec = mujoco.MjSpec()
    spec.add_mesh(
        name="body",
        uservert=world.reshape(-1).tolist(),
        userface=faces.reshape(-1).tolist(),
        inertia=mujoco.mjtMeshInertia.mjMESH_INERTIA_SHELL,
    )
    spec.worldbody.add_geom(type=mujoco.mjtGeom.mjGEOM_MESH, meshname="body")
    model = spec.compile()
    data = mujoco.MjData(model)
    mujoco.mj_forward(model, data)
    return model, data, faces


@pytest.mark.parametrize("name", ["sit-to-stand", "book-opening"])
def test_depth_agrees_with_a_ray_caster(name: str) -> None:
    """At 400 pixels away from edges the nearest surface is where a ray from the eye meets it, to half a pixel."""
    figure = demo(name)
    world = vertices(figure.poses[-1].posed, {})
    camera = draw_figure(figure).camera
    b = rasterise(world, camera)
    model, data, _ = caster(world)
    calm = np.zeros_like(b.quad, dtype=bool)
    middle = b.z[1:-1, 1:-1]
    around = [b.z[:-2, 1:-1], b.z[2:, 1:-1], b.z[1:-1, :-2], b.z[1:-1, 2:]]
    calm[1:-1, 1:-1] = (middle > -1e3) & (np.max([np.abs(z - middle) for z in around], axis=0) < 1.5)
    places = np.argwhere(calm)
    chosen = places[:: max(len(places) // 400, 1)]
    scale = camera.scale * b.px
    off = []
    for y, x in chosen:
        right = (x + 0.5 + b.left * b.px) / scale
        up = -(y + 0.5 + b.top * b.px) / scale
        eye = right * camera.right + up * camera.up + 3.0 * camera.toward
        hit = np.zeros(1, dtype=np.int32)
        distance = mujoco.mj_ray(model, data, eye, -camera.toward, None, 1, -1, hit)
        off.append(abs((3.0 - distance) * scale - b.z[y, x]) if distance >= 0 else np.inf)
    assert (np.array(off) < 1.5).mean() > 0.97
