"""How long one pose takes from an author's words to its SVG, warm, on one core.

Bar of the drawing design: solve and SVG for one pose on a quiet core, median under 45 ms, 95th centile under 90 ms. The
view is chosen again each time: a clinic draws each figure once. Processor time, so that other work does not count.
"""

from __future__ import annotations

import statistics
import time
from pathlib import Path

import pytest

from limberleaf.diagrams import draw, draw_figure, solve_figure
from limberleaf.diagrams.language.spec import FigureSpec
from limberleaf.diagrams.scene import view
from limberleaf.library import load_library
from tests.diagrams.figures_help import hard_pose, hard_pose_names


def milliseconds_a_pose(spec: FigureSpec) -> float:
    best = float("inf")
    for _ in range(4):
        view._CHOSEN.clear()
        draw._SEEN.clear()
        begin = time.process_time()
        drawing = draw_figure(solve_figure(spec, "right"))
        for number in range(len(drawing.pictures)):
            drawing.panel_svg(number)
        best = min(best, time.process_time() - begin)
    return best * 1000 / len(drawing.pictures)


def hard_poses() -> list[FigureSpec]:
    return [hard_pose(name)[1] for name in hard_pose_names()]


def demo_library() -> list[FigureSpec]:
    return [loaded.entry.figure for loaded in load_library(Path("content")).exercises.values()]


@pytest.mark.parametrize("figures", [hard_poses, demo_library])
def test_a_pose_is_solved_and_drawn_within_the_bars(figures) -> None:
    times = sorted(milliseconds_a_pose(spec) for spec in figures())
    median, high = statistics.median(times), times[int(0.95 * len(times))]
    figures_in_words = f"median {median:.1f} ms, 95th centile {high:.1f} ms a pose"
    assert median < 45, figures_in_words
    assert high < 90, figures_in_words
