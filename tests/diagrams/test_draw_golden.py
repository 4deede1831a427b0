"""Twelve figures of all kinds stay as they were looked at, and the authors' guide is fresh.

A changed picture is not wrong by itself: look at it at full size and at 150 px, then redraw the golden files with
`python tests/diagrams/make_golden.py` (and the guide with `python -m limberleaf.diagrams.make_guide`) and say why in
the commit.
"""

from __future__ import annotations

from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest
from drawing_help import GOLDEN_NAMES, SVG, drawn, parse, points_of

from limberleaf.diagrams.language.spec_joints import Joints, Limb
from limberleaf.diagrams.language.words import posture_rows, prop_rows
from limberleaf.diagrams.make_guide import guide_figures, stale_files

GOLDEN = Path(__file__).parent / "golden"
ROOM = 3.0
"""Written units (1/900 of the body's height) a point may move: what another processor's rounding can do."""


def signature(element: ElementTree.Element) -> tuple[str, dict[str, str]]:
    return element.tag, {
        key: value for key, value in element.attrib.items() if key not in {"d", "viewBox", "transform"}
    }


@pytest.mark.parametrize("name", GOLDEN_NAMES)
def test_figure_is_as_it_was_looked_at(name: str) -> None:
    golden = parse((GOLDEN / f"{name}.svg").read_text(encoding="utf-8"))
    now = parse(drawn(name).svg(title=name))
    old, new = list(golden.iter()), list(now.iter())
    assert [signature(e) for e in old] == [signature(e) for e in new]
    for one, two in zip(old, new, strict=True):
        if one.tag == f"{SVG}path":
            first = np.vstack([np.vstack(run) for run in points_of(one.get("d", ""))])
            second = np.vstack([np.vstack(run) for run in points_of(two.get("d", ""))])
            assert first.shape == second.shape
            assert np.abs(first - second).max() <= ROOM


def test_every_chosen_pose_has_its_golden_file() -> None:
    assert sorted(path.stem for path in GOLDEN.glob("*.svg")) == GOLDEN_NAMES


def test_guide_is_fresh() -> None:
    """Every picture and gallery of the authors' guide is what the code draws today."""
    assert stale_files() == []


def test_guide_shows_every_posture_prop_and_motion() -> None:
    shown = {gallery: set() for gallery in ("postures", "props", "motions")}  # type: ignore[var-annotated]
    for gallery, name, _, _ in guide_figures():
        shown[gallery].add(name)
    assert set(posture_rows()) <= shown["postures"]
    assert set(prop_rows()) <= {
        name.removesuffix("_rolled").removesuffix("_folded") for name in shown["props"]
    }
    joints = {"scapula", *Limb.model_fields, *Joints.model_fields} - {"affected", "other", "both"}
    assert joints == {name.split(".")[0] for name in shown["motions"]}


def test_guide_names_every_key_an_author_may_write() -> None:
    from limberleaf.diagrams.language.spec import FigureSpec, Pose

    text = (Path(__file__).parents[2] / "diagrams" / "README.md").read_text(encoding="utf-8")
    for key in {*FigureSpec.model_fields, *Pose.model_fields}:
        assert key in text, key
