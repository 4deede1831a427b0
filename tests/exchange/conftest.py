"""Copies of the demo's content to write into: a part of it for most, all of it where each entry counts."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from conftest import ROOT
from part import copy_part


@pytest.fixture(scope="session")
def part(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The content folder of a part of the demo; do not write into it."""
    return copy_part(tmp_path_factory.mktemp("part"))


@pytest.fixture
def content(part: Path, tmp_path: Path) -> Path:
    """A copy of it, to write into."""
    return Path(shutil.copytree(part, tmp_path / "content"))


@pytest.fixture
def whole(tmp_path: Path) -> Path:
    """A copy of all of the demo's content, to write into."""
    return Path(shutil.copytree(ROOT / "content", tmp_path / "content"))
