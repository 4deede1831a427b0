"""A copy of the demo's content to write into."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from conftest import ROOT


@pytest.fixture
def content(tmp_path: Path) -> Path:
    """A copy of the demo's content folder, to write into."""
    return Path(shutil.copytree(ROOT / "content", tmp_path / "content"))
