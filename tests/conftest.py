"""What many tests share: the demo library, built once for all workers of a run."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from approved import approve, starter_files
from hypothesis import HealthCheck, settings
from xdist.scheduler import LoadFileScheduling

from limberleaf.library import Clinic, Library, load_library

ROOT = Path(__file__).resolve().parent.parent
BIN = Path(sys.executable).parent

# Python keeps what it compiled, as it does for people: an environment that forbids it would make each of the hundreds
# of programs that tests start compile all of ours anew.
sys.dont_write_bytecode = False
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)

# A test must not fail because the machine is busy: no clock decides over made-up inputs.
# The gate makes up the same inputs each time, so that the same commit passes or fails alike on every machine;
# `pytest --hypothesis-profile=search` looks further: other inputs each time, and ten times as many.
NO_CLOCK = settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.register_profile("gate", NO_CLOCK, derandomize=True)
settings.register_profile("search", NO_CLOCK, max_examples=1000)
settings.load_profile("gate")


FIRST = (
    "browser/test_every_page.py",
    "diagrams",
    "browser",
    "publish",
    "handouts",
    "faults",
    "mutation",
    "desk",
    "cli",
)
"""Files and folders of tests that take longest, in the order in which they are given out; all others follow.

The first one builds the demo, the second needs none, so that nobody waits for it.
"""


PART = re.compile(r"::test_\w*_on_any_page\[\d+\]")
"""Tests that are parts of one long test: each may go to another worker."""


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Give out slow files first, so that neither worker ends a run alone with one."""

    def rank(item: pytest.Item) -> int:
        path = item.path.as_posix()
        return next((place for place, name in enumerate(FIRST) if f"/{name}" in path), len(FIRST))

    later = {item for item in items if PART.search(item.nodeid) and not item.nodeid.endswith("[0]")}
    items.sort(key=lambda item: FIRST.index("browser") if item in later else rank(item))


def pytest_xdist_make_scheduler(config: pytest.Config, log: Any) -> LoadFileScheduling:
    """Keep a file on one worker, so that its fixtures are made once; only parts of one long test are shared out."""

    class Shared(LoadFileScheduling):
        def _split_scope(self, nodeid: str) -> str:
            return nodeid if PART.search(nodeid) else super()._split_scope(nodeid)

    return Shared(config, log)


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


def tree(folder: Path) -> dict[str, bytes]:
    """Give the bytes of every file below `folder` by its path."""
    return {
        file.relative_to(folder).as_posix(): file.read_bytes()
        for file in sorted(folder.rglob("*"))
        if file.is_file()
    }


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
    """A library made by `limberleaf init` and approved, to write into."""
    folder = Path(shutil.copytree(fresh_library, tmp_path / "clinic"))
    approve(folder)
    return folder


@pytest.fixture
def content(tmp_path: Path) -> Path:
    """The content folder of the starter library, approved, written without starting a program."""
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
