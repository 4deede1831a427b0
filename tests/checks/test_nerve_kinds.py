"""A nerve exercise is what its kind says: a slider lets one end of the nerve's bed go, a tensioner tightens both.

Slider and tensioner: Coppieters & Butler 2008, Man Ther 13:213 (from memory). The joints of the bed are in
`diagrams/checks_ladder.py` with their sources.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from limberleaf.checks.figures import check_figures
from limberleaf.figures import Figures
from limberleaf.library import load_library

KNEE = "joints:\n        affected: {knee: {flexion: 5}}"
NECK_GIVES = "joints:\n        affected: {knee: {flexion: 5}}\n        neck: {extension: 25}"
NECK_TIGHTENS = "joints:\n        affected: {knee: {flexion: 5}}\n        neck: {flexion: 25}"
FOOT_GIVES = "joints:\n        affected: {knee: {flexion: 5}, ankle: {plantarflexion: 25}}"
ALL_GO = "joints:\n        affected: {knee: {flexion: 110}}\n        neck: {extension: 25}"


@pytest.fixture(scope="module")
def figures() -> Figures:
    return Figures()


@pytest.mark.parametrize(
    ("kind", "pose", "code"),
    [
        ("nerve_slider", NECK_GIVES, None),
        ("nerve_slider", FOOT_GIVES, None),
        ("nerve_slider", NECK_TIGHTENS, "slider-does-not-slide"),
        ("nerve_slider", ALL_GO, "slider-does-not-slide"),
        ("nerve_slider", KNEE, "slider-does-not-slide"),
        ("nerve_tensioner", NECK_TIGHTENS, None),
        ("nerve_tensioner", NECK_GIVES, "tensioner-slides"),
        ("strength", NECK_GIVES, None),
    ],
)
def test_the_figure_moves_as_the_kind_says(
    content: Path, figures: Figures, kind: str, pose: str, code: str | None
) -> None:
    entry = content / "exercises/knee/kn-02.yml"
    text = entry.read_text("utf-8")
    assert KNEE in text
    assert "kind: strength" in text
    entry.write_text(text.replace(KNEE, pose).replace("kind: strength", f"kind: {kind}"), "utf-8")
    found = [one for one in check_figures(load_library(content), figures) if "slide" in one.code]
    assert [one.code for one in found] == ([code] if code else [])
    for one in found:
        assert str(one.place).endswith("exercises/knee/kn-02.yml:6:7")
