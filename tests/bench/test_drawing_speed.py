"""How fast figures are solved and drawn (pytest-benchmark; not part of the timed bars of a normal run).

Bar of the drawing design: solve and SVG for one pose, warm, on one quiet core: median under 45 ms. A picture once drawn
is kept for the other side and for other languages, so what is kept is dropped before each run.
"""

from __future__ import annotations

from typing import Any

import pytest
from drawing_help import NAMES, demo

from limberleaf.diagrams import draw, draw_figure, solve_figure


def one_figure(name: str) -> None:
    draw._SEEN.clear()
    solved = solve_figure(demo(name).spec, "right")
    drawing = draw_figure(solved)
    for index in range(len(drawing.pictures)):
        drawing.panel_svg(index)


@pytest.mark.parametrize("name", ["slump-slider", "figure-four-lying", "sit-to-stand"])
def test_solve_and_draw(benchmark: Any, name: str) -> None:
    one_figure(name)
    benchmark.extra_info["poses"] = len(demo(name).poses)
    benchmark(one_figure, name)


def test_draw_all(benchmark: Any) -> None:
    figures = [demo(name) for name in NAMES]
    for figure in figures:
        draw_figure(figure)

    def draw_them() -> None:
        draw._SEEN.clear()
        for figure in figures:
            draw_figure(figure).svg()

    benchmark.pedantic(draw_them, rounds=3)
