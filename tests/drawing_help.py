"""Helpers for the drawing tests: the demo poses, an SVG path reader of our own, masks."""

from __future__ import annotations

import io
import re
from functools import cache
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import numpy as np
from PIL import Image

from limberleaf.data_files import safe_load
from limberleaf.diagrams import Drawing, FigureSpec, SolvedFigure, draw_figure, solve_figure
from limberleaf.diagrams.surface.buffers import Buffers
from limberleaf.diagrams.surface.mesh import mesh, piece_number

POSES = Path(__file__).parent / "diagrams" / "poses"
NAMES = sorted(path.stem for path in POSES.glob("*.yml"))
GOLDEN_NAMES = [
    "band-row",
    "book-opening",
    "calf-stretch-wall",
    "clam",
    "figure-four-lying",
    "knee-rolls",
    "pelvic-tilt",
    "plank",
    "seated-trunk-turn",
    "sit-to-stand",
    "step-down",
    "stick-overhead",
]
"""Poses whose pictures are kept: every way of lying, sitting and standing, props held and stood on, insets."""
SVG = "{http://www.w3.org/2000/svg}"
KNEE = {"poses": [{"posture": "sitting"}, {"joints": {"affected": {"knee": {"flexion": 5}}}}]}


@cache
def demo(name: str, side: str = "right") -> SolvedFigure:
    """Return one of the forty demo figures, solved."""
    mapping = safe_load((POSES / f"{name}.yml").read_text(encoding="utf-8"))
    return solve_figure(FigureSpec.model_validate(mapping["figure"]), side)  # type: ignore[arg-type]


@cache
def drawn(name: str, style: str = "screen") -> Drawing:
    """Return a demo figure as it is drawn, drawn once for all tests that look at it."""
    return draw_figure(demo(name), style=style)


def solved(mapping: dict[str, Any], side: str = "right") -> SolvedFigure:
    return solve_figure(FigureSpec.model_validate(mapping), side)  # type: ignore[arg-type]


def parse(svg: str) -> ElementTree.Element:
    """Parse an SVG of our own making."""
    return ElementTree.fromstring(svg)  # noqa: S314 - made here


def group(svg: str, name: str) -> ElementTree.Element:
    """Return the element (a group, or a single path in one) whose id ends in `name`."""
    for element in parse(svg).iter():
        if element.get("id", "").endswith(name):
            return element
    raise AssertionError(f"no group {name}")


def points_of(d: str) -> list[list[np.ndarray]]:
    """Read a path's data by the SVG grammar (only M m l c s a z): absolute end points of each sub-path."""
    tokens = re.findall(r"[MmlLcCsaAzZ]|-?\d+(?:\.\d+)?", d)
    runs: list[list[np.ndarray]] = []
    renderer, i, command = np.zeros(2), 0, ""
    while i < len(tokens):
        if re.match(r"[A-Za-z]", tokens[i]):
            command = tokens[i]
            i += 1
            if command in "zZ":
                renderer = runs[-1][0]
                continue
        size = {"M": 2, "m": 2, "l": 2, "c": 6, "s": 4, "a": 7}[command]
        values = [float(t) for t in tokens[i : i + size]]
        i += size
        renderer = np.array(values[-2:]) if command == "M" else renderer + values[-2:]
        if command in "Mm":
            runs.append([renderer])
            command = "l"
        else:
            runs[-1].append(renderer)
    return runs


def pixels_of(b: Buffers, name: str) -> np.ndarray:
    """Return where a piece of the body's surface is seen."""
    return np.asarray((b.quad >= 0) & (mesh().piece[b.quad] == piece_number(name)))


def stand(held: str) -> dict[str, Any]:
    """Return a standing pose with something in both hands."""
    return {"posture": "standing", "contacts": [{"part": "both hands", "holding": held}]}


def image(png: bytes) -> np.ndarray:
    return np.asarray(Image.open(io.BytesIO(png)).convert("L")).astype(int)


def pieces(mask: np.ndarray) -> int:
    """Count the connected pieces (4-neighbours) of a mask, specks under 12 pixels left out."""
    left = mask.copy()
    count = 0
    while left.any():
        start = np.argwhere(left)[0]
        stack, size = [tuple(start)], 0
        left[tuple(start)] = False
        while stack:
            y, x = stack.pop()
            size += 1
            for ny, nx in ((y - 1, x), (y + 1, x), (y, x - 1), (y, x + 1)):
                if 0 <= ny < left.shape[0] and 0 <= nx < left.shape[1] and left[ny, nx]:
                    left[ny, nx] = False
                    stack.append((ny, nx))
        count += size >= 12
    return count
