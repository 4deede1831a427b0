"""The files a drawing writes: SVG under a strict policy, pixels that agree with an independent rasteriser, motion."""

from __future__ import annotations

import gzip
import hashlib
import io
import os
import re
import subprocess
import sys
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest
import resvg_py
from drawing_help import KNEE, NAMES, SVG, demo, drawn, image, parse, points_of, solved
from PIL import Image

from limberleaf.diagrams import draw_figure, figure
from limberleaf.diagrams.frames import FRAMES
from limberleaf.diagrams.picture.displaylist import Box, Paint, PathBuilder, Picture, Shape, bounds, flatten
from limberleaf.diagrams.writing.motion import Pace, timeline
from limberleaf.diagrams.writing.raster import draw_image
from limberleaf.diagrams.writing.sheet import contact_sheet
from limberleaf.diagrams.writing.svg import FINENESS, draw_svg, path_data


@pytest.mark.parametrize("name", NAMES)
def test_svg_needs_no_style_script_or_outside_thing(name: str) -> None:
    """Presentation attributes only (a strict content policy forbids style), nothing that loads, ids that differ."""
    drawing = drawn(name)
    for index in range(len(drawing.pictures)):
        text = drawing.panel_svg(index, title="A & B", desc="<what moves>", id_prefix="kn-03-")
        root = parse(text)
        ids = [element.get("id") for element in root.iter() if element.get("id")]
        assert len(ids) == len(set(ids))
        assert all(i.startswith("kn-03-") for i in ids)
        for element in root.iter():
            assert element.tag.removeprefix(SVG) in {"svg", "g", "path", "title", "desc"}
            assert not {"style", "class", "href", "onload"} & set(element.attrib)
        assert root.find(f"{SVG}title").text == "A & B"  # type: ignore[union-attr]
        assert root.find(f"{SVG}desc").text == "<what moves>"  # type: ignore[union-attr]
        assert root.get("role") == "img"
        assert root.get("aria-labelledby") == "kn-03-title kn-03-desc"
        assert "url(" not in text


@pytest.mark.parametrize("name", NAMES)
def test_svg_stays_small(name: str) -> None:
    """Under 16 kB a panel, and 5.5 kB gzipped, insets and all."""
    drawing = drawn(name)
    for index in range(len(drawing.pictures)):
        text = drawing.panel_svg(index, title="Knee", desc="You sit.", id_prefix="kn-03-").encode()
        assert len(text) < 16_000
        assert len(gzip.compress(text, 9)) < 5_500


def test_svg_is_small_on_the_whole() -> None:
    """Half of all panels take 10 kB or less, and 5 kB or less gzipped."""
    drawings = [drawn(name) for name in NAMES]
    texts = [d.panel_svg(i).encode() for d in drawings for i in range(len(d.pictures))]
    assert np.median([len(text) for text in texts]) <= 10_000
    assert np.median([len(gzip.compress(text, 9)) for text in texts]) <= 5_000


def test_svg_names_what_it_shows() -> None:
    text = figure(KNEE).panel_svg(1, id_prefix="p-")
    for part in (
        "body",
        "shorts",
        "shirt",
        "hair",
        "affected",
        "lines",
        "face",
        "chair-1",
        "shadow",
        "arrow",
    ):
        assert f'id="p-{part}' in text


def test_path_data_keeps_its_place() -> None:
    """Relative numbers are measured from the rounded pen: after 300 steps the end is still within half a unit."""
    points = np.cumsum(np.full((300, 2), 0.3333), axis=0)
    path = PathBuilder().move(points[0])
    for point in points[1:]:
        path.line(point)
    ends = points_of(path_data(path.done()))[0]
    assert np.abs(np.array(ends) - points * FINENESS).max() <= 0.5 + 1e-9


def test_a_curve_that_goes_on_as_it_came_is_written_short_and_lies_where_it_did() -> None:
    """SVG 2, 9.3.6: `s` mirrors the control point of the curve before; drawn by resvg, both are one picture."""
    wave = [(float(x), 40 + 30 * np.sin(x / 15)) for x in range(10, 190, 12)]
    smooth = PathBuilder().move(wave[0]).through(np.array(wave))
    corner = np.array([[40.0, 20, 60, 20, 90, 80], [100, 20, 160, 20, 190, 80]])
    bent = PathBuilder().move((10, 80)).curves(corner)
    for path, short in ((smooth.done(), True), (bent.done(), False)):
        data = path_data(path)
        assert ("s" in data) is short
        whole = " ".join(
            name + " ".join(f"{value * FINENESS:.2f}" for value in values) for name, values in path
        )
        pixels = [
            by_resvg(
                f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 600 300"><path d="{d}" fill="none" '
                'stroke="#000" stroke-width="8"/></svg>',
                600,
            )
            for d in (data, whole)
        ]
        assert (np.abs(pixels[0] - pixels[1]) > 128).mean() < 0.0005


def test_arc_is_cut_as_svg_defines_it() -> None:
    """SVG 2, appendix B.2.4: every point of a flattened arc lies on the circle."""
    circle = PathBuilder().circle((10.0, 20.0), 7.0).done()
    (points, closed), *_ = flatten(circle)
    assert closed
    assert np.hypot(*(points - (10.0, 20.0)).T) == pytest.approx(np.full(len(points), 7.0))
    box = bounds([Shape(circle, Paint("#000000"))])
    assert (box.left, box.right, box.top, box.bottom) == pytest.approx((3, 17, 13, 27))


def by_resvg(svg: str, width: int) -> np.ndarray:
    """Pixels by resvg, an independent SVG rasteriser."""
    return image(bytes(resvg_py.svg_to_bytes(svg_string=svg, width=width, background="#ffffff")))


def blurred(pixels: np.ndarray) -> np.ndarray:
    """3 x 3 mean: what anti-aliasing moves to a neighbour comes back."""
    padded = np.pad(pixels, 1, mode="edge")
    return (
        sum(padded[y : y + pixels.shape[0], x : x + pixels.shape[1]] for y in range(3) for x in range(3)) / 9
    )


@pytest.mark.parametrize("style", ["screen", "print"])
@pytest.mark.parametrize(
    "name", ["figure-four-lying", "band-row", "pelvic-tilt", "seated-trunk-turn", "stick-overhead", "clam"]
)
def test_pixels_agree_with_an_independent_rasteriser(name: str, style: str) -> None:
    drawing = drawn(name, style)
    width = round(drawing.size[0]) * 2  # whole pixels to a unit, so that both lay the frame on the same grid
    for whole in drawing.pictures:
        # Where a dash falls depends on the rounding of all the line before it, so dashed outlines are left out.
        picture = Picture(whole.frame, tuple(s for s in whole.shapes if not s.paint.dash), whole.insets)
        ours = np.asarray(draw_image([picture], width).convert("L")).astype(int)
        theirs = by_resvg(draw_svg([picture]), width)
        assert ours.shape == theirs.shape
        difference = np.abs(blurred(ours) - blurred(theirs))
        assert difference.mean() < 3.0  # the file's whole numbers move a line by up to a third of a pixel
        # No patch of the picture differs: at most a few thin places by more than an edge's blur.
        assert (difference > 60).mean() < 0.001


def test_holes_stay_open_in_both_writers() -> None:
    """A ring filled by the even-odd rule: its middle shows what lies under it."""
    ring = PathBuilder().circle((50, 50), 40).circle((50, 50), 20).done()
    picture = Picture(Box(0, 0, 100, 100), (Shape(ring, Paint("#000000", even_odd=True)),))
    for pixels in (
        np.asarray(draw_image([picture], 200).convert("L")).astype(int),
        by_resvg(draw_svg([picture]), 200),
    ):
        assert pixels[100, 100] > 250
        assert pixels[100, 40] < 5


def test_png_width_is_checked() -> None:
    drawing = figure(KNEE)
    assert image(drawing.png(321)).shape[1] == 321
    with pytest.raises(ValueError, match="at least 1 pixel"):
        drawing.png(0)
    with pytest.raises(IndexError):
        drawing.panel_svg(7)
    with pytest.raises(KeyError):
        draw_figure(demo("clam"), style="oil")


def test_same_input_same_bytes_whatever_the_hash_seed() -> None:
    code = (
        "import hashlib; from limberleaf import diagrams;"
        "d = diagrams.figure({'poses': [{'posture': 'sitting'}, {'joints': {'affected': {'knee': {'flexion': 5}}}}]});"
        "print(hashlib.sha256((d.svg() + d.motion_svg()).encode() + d.png(200)).hexdigest())"
    )
    digests = {
        subprocess.run(
            [sys.executable, "-c", code],
            env={**os.environ, "PYTHONHASHSEED": seed},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for seed in ("1", "2")
    }
    assert len(digests) == 1


SAME_BYTES = """
import hashlib, sys
sys.path.insert(0, sys.argv[1])
from drawing_help import demo
from limberleaf.diagrams import draw_figure
for name in sys.argv[2:]:
    print(name, hashlib.sha256(draw_figure(demo(name)).svg().encode()).hexdigest())
"""
OTHER_MACHINES = (
    {"OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1", "OPENBLAS_CORETYPE": "Prescott"},
    {"OPENBLAS_NUM_THREADS": "2", "OMP_NUM_THREADS": "2", "NPY_DISABLE_CPU_FEATURES": "X86_V3"},
)
"""The settings by which OpenBLAS and NumPy play an older processor, with one thread and with two (their manuals:
OpenBLAS "Runtime variables", NumPy "CPU build options")."""


@pytest.mark.parametrize("machine", OTHER_MACHINES, ids=["one thread, old kernels", "two threads, no AVX2"])
def test_same_input_same_bytes_on_another_processor(machine: dict[str, str]) -> None:
    """A long sum taken in another order ends in another last digit; none may reach the picture."""
    names = ["band-row", "figure-four-lying", "pelvic-tilt"]
    done = subprocess.run(
        [sys.executable, "-W", "ignore", "-c", SAME_BYTES, str(Path(__file__).parents[1]), *names],
        env={**os.environ, **machine},
        capture_output=True,
        text=True,
        check=True,
    )
    theirs = dict(line.split() for line in done.stdout.splitlines())
    ours = {name: hashlib.sha256(draw_figure(demo(name)).svg().encode()).hexdigest() for name in names}
    assert theirs == ours


def shown_at(group: ElementTree.Element, share: float) -> bool:
    """Whether SMIL's discrete timing (SVG animations, keyTimes) shows a frame at a share of the loop."""
    timing = group.find(f"{SVG}animate")
    assert timing is not None
    values = timing.get("values", "").split(";")
    times = [float(t) for t in timing.get("keyTimes", "").split(";")]
    assert timing.get("calcMode") == "discrete"
    assert len(values) == len(times)
    assert times[0] == 0
    assert all(a < b for a, b in pairwise(times))
    return values[max(i for i, t in enumerate(times) if t <= share)] == "inline"


def test_motion_shows_one_frame_at_a_time_from_start_to_finish_and_back() -> None:
    drawing = figure(KNEE)
    root = parse(drawing.motion_svg(title="Knee", desc="It straightens."))
    frames = [g for g in root.iter(f"{SVG}g") if g.find(f"{SVG}animate") is not None]
    assert len(frames) == FRAMES + 1
    order = []
    for share in np.linspace(0.0005, 0.9995, 1500):
        now = [i for i, frame in enumerate(frames) if shown_at(frame, share)]
        assert len(now) == 1
        if not order or order[-1] != now[0]:
            order.append(now[0])
    assert order == [*range(FRAMES + 1), *range(FRAMES - 1, 0, -1)]
    # Without any timing the first frame alone is seen.
    assert [frame.get("display") for frame in frames] == [None] + ["none"] * FRAMES


def test_motion_ends_where_the_panels_are() -> None:
    """The first and last frame show the start and finish panels (at half their pixels), on the same chair."""
    drawing = figure(KNEE)
    frames = drawing._frames()
    shared = {path_data(shape.path) for shape in frames[0].shapes if shape.part.startswith("chair")}
    for frame, panel in ((frames[0], 0), (frames[-1], 1)):
        still = {p.get("d") for p in parse(drawing.panel_svg(panel)).iter(f"{SVG}path")}
        chair = next(s for s in drawing.pictures[panel].shapes if s.part.startswith("chair"))
        assert path_data(chair.path) in shared & still
        boxes = [
            bounds([next(s for s in p.shapes if s.part == "affected")])
            for p in (frame, drawing.pictures[panel])
        ]
        for side in ("left", "top", "right", "bottom"):
            assert getattr(boxes[0], side) == pytest.approx(getattr(boxes[1], side), abs=2.5)


def test_timeline_adds_up() -> None:
    pace = Pace(out=2.0, hold=3.0, back=4.0, rest=1.0)
    plan = timeline(13, pace)
    assert [frame for frame, _ in plan] == [*range(13), *range(11, 0, -1)]
    steps = dict(plan[:13])
    assert steps[12] == 3.0
    assert steps[0] == 1.0
    assert sum(seconds for _, seconds in plan) == pytest.approx(1 + 3 + 11 / 12 * 2 + 11 / 12 * 4)
    assert timeline(1, pace) == [(0, 3.0)]


@pytest.mark.parametrize("kind", ["webp", "gif"])
def test_animated_picture_holds_every_frame(kind: str) -> None:
    picture = Image.open(io.BytesIO(figure(KNEE).motion_image(160, kind=kind)))
    assert picture.size[0] == 160
    assert picture.n_frames == 2 * FRAMES
    assert picture.format == kind.upper()
    with pytest.raises(ValueError, match="webp or gif"):
        figure(KNEE).motion_image(160, kind="avi")


def test_single_pose_moves_nothing() -> None:
    drawing = figure({"poses": [{"posture": "supine"}]})
    assert "<animate" not in drawing.motion_svg()


def test_contact_sheet_shows_all_figures() -> None:
    figures = [(name, drawn(name)) for name in ("clam", "wall-slide", "plank")]
    sheet = Image.open(io.BytesIO(contact_sheet(figures, columns=2, width=240)))
    assert sheet.size[0] == 2 * 240 + 3 * 12
    pixels = np.asarray(sheet.convert("L"))
    assert (pixels[:, :250] < 128).any()
    assert (pixels[:, 260:] < 128).any()
    with pytest.raises(ValueError, match="at least one"):
        contact_sheet([])


def test_inset_is_cut_to_its_box() -> None:
    drawing = drawn("pelvic-tilt")
    ((box, inset),) = drawing.pictures[0].insets
    assert inset.frame.width / box.width == pytest.approx(1.0)
    pixels = image(drawing.png(600, panel=0))
    scale = 600 / drawing.size[0]
    left = round((box.left - drawing.pictures[0].frame.left) * scale)
    top = round((box.top - drawing.pictures[0].frame.top) * scale)
    assert (pixels[top + 6 : top + round(box.height * scale) - 6, left + 6 : left + 60] < 128).any()
    assert "spine-line" in drawing.panel_svg(0)
    assert re.search(r"<svg[^>]*>.*<svg ", drawing.panel_svg(0), re.DOTALL)


def test_no_two_sides_share_words() -> None:
    """The left page's picture is the right one's mirror image, but for a number, which stays readable."""
    mapping = {**KNEE, "view": "side", "angle": "affected knee"}
    right, left = (draw_figure(solved(mapping, side)).pictures[1] for side in ("right", "left"))
    for one, two in zip(right.shapes, left.shapes, strict=True):
        if one.part == "angle-number":
            xs = [np.array([v[-2] for _, v in shape.path if v]) for shape in (one, two)]
            assert np.diff(xs[0]) == pytest.approx(np.diff(xs[1]))
            assert (bounds([one]).left + bounds([one]).right) == pytest.approx(
                -(bounds([two]).left + bounds([two]).right)
            )
