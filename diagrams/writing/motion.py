"""A figure that moves, as one SVG file or as an animated picture.

The story in order: `timeline` says when each frame is shown (there, hold, back, rest); `motion_svg` and `motion_image`
write them. The SVG needs no script: each frame is switched on and off by the file's own timing, so a page shows it by
swapping the source of an image when the reader presses play.
"""

from __future__ import annotations

import io
from dataclasses import dataclass

from limberleaf.diagrams.picture.displaylist import Picture
from limberleaf.diagrams.writing.raster import draw_image
from limberleaf.diagrams.writing.svg import (
    COMMON,
    animate_display,
    document,
    element,
    number,
    path_element,
    picture_group,
    plain,
    text_of,
)


@dataclass(frozen=True)
class Pace:
    """Seconds for one way out, the hold, the way back and the rest before it begins again."""

    out: float = 2.0
    hold: float = 1.0
    back: float = 2.5
    rest: float = 1.0


def timeline(count: int, pace: Pace) -> list[tuple[int, float]]:
    """Return (frame, seconds) in the order shown: out, hold, back, rest. A single frame just stays."""
    if count == 1:
        return [(0, pace.hold)]
    step_out, step_back = pace.out / (count - 1), pace.back / (count - 1)
    out = [(k, step_out) for k in range(1, count - 1)]
    back = [(k, step_back) for k in range(count - 2, 0, -1)]
    return [(0, pace.rest), *out, (count - 1, pace.hold), *back]


def motion_svg(pictures: list[Picture], *, title: str = "", desc: str = "", pace: Pace | None = None) -> str:
    """Return the movement as one standalone SVG file that plays by itself and repeats."""
    frame = pictures[0].frame
    view_box = " ".join(number(v) for v in (frame.left, frame.top, frame.width, frame.height))
    root = document(frame.width, frame.height, view_box, title=title, desc=desc, id_prefix="motion-")
    shared = _shared(pictures)
    root.append(picture_group(Picture(frame, pictures[0].shapes[:shared]), "motion-still-"))
    plan = timeline(len(pictures), pace or Pace())
    total = sum(seconds for _, seconds in plan)
    shown: dict[int, list[tuple[float, float]]] = {}
    now = 0.0
    for index, seconds in plan:
        shown.setdefault(index, []).append((now / total, (now + seconds) / total))
        now += seconds
    moving = element("g", dict(COMMON))
    for index, picture in enumerate(pictures):
        group = element("g", {} if index == 0 else {"display": "none"})
        for shape in picture.shapes[shared:]:
            group.append(path_element(shape))
        if len(pictures) > 1:
            group.append(animate_display(shown[index], total))
        moving.append(group)
    root.append(moving)
    return text_of(root)


def mirrored(svg: str) -> str:
    """Return a moving picture without numbers in it for the other side of the body."""
    left, _, width, _ = (float(value) for value in svg.split('viewBox="', 1)[1].split('"', 1)[0].split())
    head, rest = svg.split(">", 1)
    turn = f'<g transform="matrix(-1 0 0 1 {plain(2 * left + width)} 0)">'
    return f"{head}>{turn}{rest.removesuffix('</svg>')}</g></svg>"


def _shared(pictures: list[Picture]) -> int:
    """How many shapes all frames begin with alike: the floor and what stands still behind the body."""
    least = min(len(picture.shapes) for picture in pictures)
    for index in range(least):
        if any(picture.shapes[index] != pictures[0].shapes[index] for picture in pictures[1:]):
            return index
    return least


def motion_image(
    pictures: list[Picture], width: int, *, kind: str = "webp", pace: Pace | None = None
) -> bytes:
    """Return the movement as an animated "webp" or "gif", `width` pixels wide. ValueError for another kind."""
    if kind not in {"webp", "gif"}:
        raise ValueError(f"an animated picture is webp or gif, not {kind!r}")
    images = [draw_image([picture], width) for picture in pictures]
    plan = timeline(len(pictures), pace or Pace())
    stream = io.BytesIO()
    frames = [images[index] for index, _ in plan]
    durations = [round(seconds * 1000) for _, seconds in plan]
    extra = {"quality": 80, "method": 4} if kind == "webp" else {"optimize": True}
    frames[0].save(
        stream, kind.upper(), save_all=True, append_images=frames[1:], duration=durations, loop=0, **extra
    )
    return stream.getvalue()
