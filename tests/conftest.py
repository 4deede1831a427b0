"""What many tests share: the demo library, built once for all workers of a run."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from limberleaf.library import Clinic, Library, load_library
from limberleaf.starter import starter_files

ROOT = Path(__file__).resolve().parent.parent
BIN = Path(sys.executable).parent


@dataclass(frozen=True)
class Demo:
    """A copy of the demo library and its built site; do not write into either."""

    project: Path
    site: Path

    @property
    def content(self) -> Path:
        return self.project / "content"


def once(folder: Path, make: Callable[[Path], None]) -> Path:
    """Make `folder` in one worker while the others wait for it."""
    folder.parent.mkdir(parents=True, exist_ok=True)
    done = folder.with_suffix(".done")
    try:
        folder.mkdir()
    except FileExistsError:
        for _ in range(3000):
            if done.exists():
                return folder
            time.sleep(0.1)
        pytest.fail(f"another worker never finished {folder.name}")
    make(folder)
    done.touch()
    return folder


def copy_project(folder: Path) -> None:
    """Copy the demo library, without what builds left."""
    shutil.copytree(ROOT / "content", folder / "content", ignore=shutil.ignore_patterns(".schema"))
    shutil.copy(ROOT / "mkdocs.yml", folder)


def run(
    command: list[str], folder: Path, answers: str | None = None, **environment: str
) -> subprocess.CompletedProcess[str]:
    """Run one of our programs in `folder`; `answers` are typed when it asks."""
    return subprocess.run(
        [str(BIN / command[0]), *command[1:]],
        cwd=folder,
        capture_output=True,
        input=answers,
        text=True,
        check=False,
        env={**os.environ, "NO_COLOR": "1", **environment},
    )


def _build_demo(folder: Path) -> None:
    copy_project(folder)
    built = run(["limberleaf", "build"], folder, PYTHONHASHSEED="1")
    assert built.returncode == 0, built.stdout + built.stderr


@pytest.fixture(scope="session")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Demo:
    """The demo library of the repository and the site `limberleaf build` makes of it."""
    base = tmp_path_factory.getbasetemp()
    shared = base.parent if os.environ.get("PYTEST_XDIST_WORKER") else base
    project = once(shared / "demo-library", _build_demo)
    return Demo(project, project / "site")


@pytest.fixture(scope="session")
def fresh_library(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """What `limberleaf init` writes, made once; copy it before you write into it."""
    folder = tmp_path_factory.mktemp("init") / "clinic"
    result = run(["limberleaf", "init", str(folder)], folder.parent)
    assert result.returncode == 0, result.stderr
    return folder


@pytest.fixture
def starter(fresh_library: Path, tmp_path: Path) -> Path:
    """A fresh library made by `limberleaf init`, to write into."""
    return Path(shutil.copytree(fresh_library, tmp_path / "clinic"))


@pytest.fixture
def content(tmp_path: Path) -> Path:
    """The content folder of a fresh library, written without starting a program."""
    for path, text in starter_files().items():
        if path.startswith("content/"):
            file = tmp_path / path
            file.parent.mkdir(parents=True, exist_ok=True)
            file.write_text(text, "utf-8")
    return tmp_path / "content"


@pytest.fixture
def library(content: Path) -> Library:
    """That content folder, read."""
    return load_library(content)


@pytest.fixture
def clinic(library: Library) -> Clinic:
    """Its clinic's settings."""
    return library.settings
