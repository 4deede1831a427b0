"""SVG from a display list: presentation attributes only, short numbers, stable ids, a title and a description.

Nothing here needs a style attribute, a class or a script, so the picture keeps working under a strict content policy.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import lru_cache
from itertools import chain, groupby, pairwise
from operator import itemgetter
from typing import Any
from xml.etree.ElementTree import Element, tostring

import numpy as np
from numpy.typing import NDArray

from limberleaf.diagrams.picture.displaylist import Box, Command, Paint, Picture, Shape
from limberleaf.diagrams.picture.style import OUTLINE

MIRROR = 2
"""Written units by which a control point may be off its mirror place: the curve then moves by less than one."""
FINENESS = 3
"""Written units to a user unit: paths are whole numbers of 1/900 of the body's height, which keeps files small."""


def number(value: float) -> str:
    """Return a length in written units as a whole number."""
    return str(round(value * FINENESS))


def plain(value: float) -> str:
    """Return a number with at most one decimal, as short as SVG allows."""
    return f"{value:.1f}".removesuffix(".0")


class _Written(dict[int, str]):
    """Whole numbers with what parts each from the one before: its sign, or a space."""

    def __missing__(self, value: int) -> str:
        self[value] = text = f" {value}" if value >= 0 else str(value)
        return text


_WRITTEN = _Written()


def path_data(path: Sequence[Command]) -> str:
    """Return the `d` attribute: relative commands measured from the rounded pen, so that errors never add up."""
    flat = np.array([*chain.from_iterable(values for _, values in path)])
    rounded = np.rint(flat * FINENESS).astype(np.int64)
    out: list[str] = []
    at = 0
    x = y = start_x = start_y = 0
    last = ""
    for name, group in groupby(path, key=itemgetter(0)):
        count = sum(1 for _ in group)
        if name == "Z":
            out.append("z" * count)
            x, y, last = start_x, start_y, ""
            continue
        size = SIZES[name]
        rows = rounded[at : at + size * count].reshape(count, size)
        pens = np.vstack([[(x, y)], rows[:-1, -2:]])
        if name == "M":
            for end_x, end_y in rows.tolist():
                out.append("m" + (_WRITTEN[end_x - x] + _WRITTEN[end_y - y]).removeprefix(" "))
                x, y = end_x, end_y
            # A capital M would make what follows absolute; after a small m the lines need no letter.
            start_x, start_y, last = x, y, "l"
            at += size * count
            continue
        if name == "A":
            arcs = flat[at : at + size * count].reshape(count, size)
            out += [
                _arc(values, end)
                for values, end in zip(arcs.tolist(), (rows[:, -2:] - pens).tolist(), strict=True)
            ]
            last = ""
        else:
            steps = (rows.reshape(count, -1, 2) - pens[:, None]).reshape(count, -1)
            for letter, run in _runs(steps) if name == "C" else [("l", steps)]:
                body = "".join(map(_WRITTEN.__getitem__, run.reshape(-1).tolist()))
                out.append(body if letter == last else letter + body.removeprefix(" "))
                last = letter
        x, y = rows[-1, -2:].tolist()
        at += size * count
    return "".join(out)


def _runs(steps: NDArray[np.int64]) -> list[tuple[str, NDArray[np.int64]]]:
    """Cut cubics (n, 6), measured from their pens, into runs of whole ones, `c`, and of short ones, `s` (SVG 2, 9.3.6).

    A cubic whose first control point mirrors the last one of the cubic before, give or take `MIRROR`, is written
    without it.
    """
    mirrored = steps[:-1, 4:] - steps[:-1, 2:4]
    short = np.concatenate([[False], (np.abs(steps[1:, :2] - mirrored) <= MIRROR).all(axis=1)])
    edges = [0, *(np.flatnonzero(short[1:] != short[:-1]) + 1).tolist(), len(steps)]
    return [
        ("s", steps[start:end, 2:]) if short[start] else ("c", steps[start:end])
        for start, end in pairwise(edges)
    ]


def _arc(values: Sequence[float], end: Sequence[int]) -> str:
    """Return a circular arc with its end measured from the pen."""
    radius = number(values[0])
    way = (_WRITTEN[end[0]] + _WRITTEN[end[1]]).removeprefix(" ")
    return f"a{radius} {radius} 0 {int(values[1])} {int(values[2])} {way}"


SIZES = {"M": 2, "L": 2, "C": 6, "A": 5, "Z": 0}
"""How many numbers a command has."""

COMMON = {
    "fill": "none",
    "stroke-width": plain(2 * OUTLINE * FINENESS),
    "stroke-linejoin": "round",
    "stroke-linecap": "round",
    "paint-order": "stroke",
}
"""Said once on the group; a shape repeats only what differs."""


def _short(colour: str) -> str:
    """Return a colour as short as it can be written: #ffffff is #fff."""
    pairs = colour[1::2], colour[2::2]
    return "#" + pairs[0] if pairs[0] == pairs[1] else colour


def _attributes(paint: Paint) -> dict[str, str]:
    result: dict[str, str] = {}
    if paint.fill:
        result["fill"] = _short(paint.fill)
        if paint.even_odd:
            result["fill-rule"] = "evenodd"
    if paint.stroke and paint.width > 0:
        result["stroke"] = _short(paint.stroke)
        width = plain(paint.width * (2 if paint.outside else 1) * FINENESS)
        if width != COMMON["stroke-width"]:
            result["stroke-width"] = width
        if paint.fill and not paint.outside:
            result["paint-order"] = "normal"
        if paint.cap != "round":
            result["stroke-linecap"] = paint.cap
        if paint.dash:
            result["stroke-dasharray"] = " ".join(number(v) for v in paint.dash)
    return result


def element(name: str, attributes: Mapping[str, str], text: str | None = None) -> Element:
    """Return an element with attributes as they are, and a text inside."""
    node = Element(name, dict(attributes))
    node.text = text
    return node


def picture_group(picture: Picture, id_prefix: str, **extra: Any) -> Element:
    """Return the shapes of a picture as one group; neighbouring shapes of one part share a sub-group with its id,
    and a part of one shape carries it itself."""
    root = element("g", {**COMMON, **extra})
    seen: dict[str, int] = {}
    for part, shapes in groupby(picture.shapes, key=lambda shape: shape.part):
        members = list(shapes)
        paths = [path_element(shape) for shape in members]
        home = root
        if part:
            seen[part] = seen.get(part, 0) + 1
            name = id_prefix + (part if seen[part] == 1 else f"{part}-{seen[part]}")
            if len(paths) == 1:
                paths[0].attrib["id"] = name
            else:
                home = element("g", {"id": name, **_shared(paths)})
                root.append(home)
        for path in paths:
            home.append(path)
    for number_of, (box, inset) in enumerate(picture.insets, start=1):
        root.append(_inset(box, inset, f"{id_prefix}inset{number_of}-"))
    return root


def _shared(paths: Sequence[Element]) -> dict[str, str]:
    """Take the attributes that all paths of a group have alike off them, for the group to say once."""
    common = {
        key: value
        for key, value in paths[0].attrib.items()
        if key != "d" and all(path.attrib.get(key) == value for path in paths)
    }
    for path in paths:
        for key in common:
            del path.attrib[key]
    return common


def _inset(box: Box, inset: Picture, id_prefix: str) -> Element:
    """A picture in a box: a nested <svg> cuts off at its edge by itself."""
    frame = inset.frame
    nested = element(
        "svg",
        {
            "x": number(box.left),
            "y": number(box.top),
            "width": number(box.width),
            "height": number(box.height),
            "viewBox": " ".join(number(v) for v in (frame.left, frame.top, frame.width, frame.height)),
        },
    )
    nested.append(picture_group(inset, id_prefix))
    return nested


def path_element(shape: Shape) -> Element:
    """Return one shape as a path."""
    return element("path", {"d": path_data(shape.path), **_attributes(shape.paint)})


def document(width: float, height: float, view_box: str, *, title: str, desc: str, id_prefix: str) -> Element:
    """Return an empty SVG root with its title and description tied to it."""
    root = element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg",
            "viewBox": view_box,
            "width": plain(width),
            "height": plain(height),
            "role": "img",
        },
    )
    names = []
    for tag, text in (("title", title), ("desc", desc)):
        if text:
            root.append(element(tag, {"id": f"{id_prefix}{tag}"}, text))
            names.append(f"{id_prefix}{tag}")
    if names:
        root.attrib["aria-labelledby"] = " ".join(names)
    return root


def animate_display(shown: list[tuple[float, float]], seconds: float) -> Element:
    """Return timing that shows a group only in given spans (shares of the whole) of an endless loop."""
    values, times = ["none"], [0.0]
    for start, end in shown:
        if start <= 0.0:
            values[0] = "inline"
        else:
            values.append("inline")
            times.append(start)
        if end < 1.0 - 1e-9:
            values.append("none")
            times.append(end)
    return element(
        "animate",
        {
            "attributeName": "display",
            "calcMode": "discrete",
            "values": ";".join(values),
            "keyTimes": ";".join(f"{time:.4f}".rstrip("0").rstrip(".") for time in times),
            "dur": f"{seconds:g}s",
            "repeatCount": "indefinite",
        },
    )


def text_of(root: Element) -> str:
    """Return an element as text, attributes in the order of their names: the same bytes whatever came first."""
    for node in root.iter():
        ordered = sorted(node.attrib.items())
        node.attrib.clear()
        node.attrib.update(ordered)
    return tostring(root, encoding="unicode")


def draw_svg(
    pictures: Sequence[Picture], *, title: str = "", desc: str = "", id_prefix: str = "", gap: float = 0.0
) -> str:
    """Return one SVG document with the pictures side by side."""
    width = sum(picture.frame.width for picture in pictures) + gap * (len(pictures) - 1)
    height = max(picture.frame.height for picture in pictures)
    first = pictures[0].frame
    view_box = " ".join(number(v) for v in (first.left, first.top, width, height))
    root = text_of(document(width, height, view_box, title=title, desc=desc, id_prefix=id_prefix))
    groups = []
    left = first.left
    for index, picture in enumerate(pictures, start=1):
        prefix = id_prefix if len(pictures) == 1 else f"{id_prefix}{index}-"
        shift = (
            left - picture.frame.left,
            first.top - picture.frame.top if left != picture.frame.left else 0.0,
        )
        groups.append(_group_text(picture, *shift).replace(PREFIX, prefix))
        left += picture.frame.width + gap
    head = root.removesuffix(" />") + ">" if root.endswith(" />") else root.removesuffix("</svg>")
    return f"{head}{''.join(groups)}</svg>"


PREFIX = "\ue000"
"""Placeholder for the prefix of ids in a cached text; no name holds it."""


@lru_cache(maxsize=32)
def _group_text(picture: Picture, right: float, down: float) -> str:
    """Return a picture as text, moved in the document: most are written for several pages, which differ in ids only."""
    extra = {"transform": f"translate({number(right)} {number(down)})"} if right else {}
    return text_of(picture_group(picture, PREFIX, **extra))
