"""Redraw the golden figures: `python tests/diagrams/make_golden.py`. Look at what changed before you commit it."""

from __future__ import annotations

import sys
from pathlib import Path

HERE = Path(__file__).parent
sys.path[:0] = [str(HERE.parent.parent), str(HERE.parent)]

from drawing_help import GOLDEN_NAMES, demo  # noqa: E402

from limberleaf.diagrams import draw_figure  # noqa: E402


def main() -> None:
    folder = HERE / "golden"
    folder.mkdir(exist_ok=True)
    for path in folder.glob("*.svg"):
        if path.stem not in GOLDEN_NAMES:
            path.unlink()
    for name in GOLDEN_NAMES:
        (folder / f"{name}.svg").write_text(draw_figure(demo(name)).svg(title=name) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
