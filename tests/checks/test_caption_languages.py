"""A caption names the side that moves in every language it is written in, and is reported at its own line."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from limberleaf.checks.figures import check_figures
from limberleaf.figures import Figures
from limberleaf.findings import Finding
from limberleaf.library import load_library

DEMO = Path(__file__).parents[2] / "content"


@pytest.fixture
def arm_exercise(tmp_path: Path) -> Path:
    """The demo library with one exercise of the arm and its Dutch words."""
    for name in ("clinic.yml", "equipment.yml"):
        shutil.copy(DEMO / name, tmp_path)
    folder = tmp_path / "exercises/neck"
    folder.mkdir(parents=True)
    for name in ("ne-04.yml", "ne-04.nl.yml"):
        shutil.copy(DEMO / "exercises/neck" / name, folder)
    return tmp_path


def caption_findings(content: Path) -> list[Finding]:
    return [one for one in check_figures(load_library(content), Figures()) if one.code.startswith("caption-")]


def test_captions_that_name_the_moving_side_are_not_reported(arm_exercise: Path) -> None:
    assert caption_findings(arm_exercise) == []


def test_a_dutch_caption_of_the_wrong_side_is_reported_at_its_line(arm_exercise: Path) -> None:
    file = arm_exercise / "exercises/neck/ne-04.nl.yml"
    lines = file.read_text("utf-8").splitlines(keepends=True)
    first = next(number for number, line in enumerate(lines) if "captions:" in line) + 1
    lines[first + 1] = "    - Strek uw {other} arm.\n"
    file.write_text("".join(lines), "utf-8")
    [found] = caption_findings(arm_exercise)
    assert found.code == "caption-side"
    assert (found.place.path, found.place.line) == ("exercises/neck/ne-04.nl.yml", first + 2)
