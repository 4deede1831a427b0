"""How fast figures are solved and drawn (pytest-benchmark; not part of the timed bars of a normal run).

Bar of the figures design: solve and SVG for one pose, warm, on one core: median under 15 ms, 95th centile under 40 ms.
"""

from __future__ import annotations

from typing import Any

import pytest
from drawing_help import NAMES, demo

from limberleaf.diagrams import draw_figure, solve_figure


def one_figure(name: str) -> None:
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
    benchmark.pedantic(lambda: [draw_figure(figure).svg() for figure in figures], rounds=3)
