"""What many tests share: the demo library, built once for all workers of a run."""

from __future__ import annotations

import fcntl
import gc
import os
import re
import shutil
import signal
import subprocess
import sys
from collections.abc import Callable
from contextlib import chdir
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from approved import approve, starter_files
from click.testing import CliRunner
from hypothesis import HealthCheck, settings
from xdist.scheduler import LoadFileScheduling

from limberleaf.cli import UNCOLLECTED, main
from limberleaf.library import Clinic, Library, load_library
from limberleaf.store.results import FOLDER

ROOT = Path(__file__).resolve().parent.parent
BIN = Path(sys.executable).parent

# Python keeps what it compiled, as it does for people: an environment that forbids it would make each of the hundreds
# of programs that tests start compile all of ours anew.
sys.dont_write_bytecode = False
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)

# As in our programs: looking for cycles after each 700 new objects takes a third of reading a library.
gc.set_threshold(UNCOLLECTED)

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
    "exchange",
    "faults",
    "checks",
    "desk",
    "cli",
    "mutation",
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
    """Make `folder` in one worker while the others wait for it, as long as it takes."""
    folder.parent.mkdir(parents=True, exist_ok=True)
    done = folder.with_suffix(".done")
    with folder.with_suffix(".lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not done.exists():
            shutil.rmtree(folder, ignore_errors=True)
            folder.mkdir()
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


def call(command: list[str], folder: Path, answers: str | None = None) -> subprocess.CompletedProcess[str]:
    """Give what `run` gives for a command of ours, without starting a program: for tests that are not about one."""
    assert command[0] == "limberleaf"
    before = signal.getsignal(signal.SIGTERM)  # a command takes it over for the rest of its process
    try:
        with chdir(folder):
            done = CliRunner().invoke(main, command[1:], input=answers, catch_exceptions=False)
    finally:
        signal.signal(signal.SIGTERM, before)
    return subprocess.CompletedProcess(command, done.exit_code, done.stdout, done.stderr)


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


def shared(tmp_path_factory: pytest.TempPathFactory, name: str) -> Path:
    """Give the place of what all workers of a run share."""
    base = tmp_path_factory.getbasetemp()
    return (base.parent if os.environ.get("PYTEST_XDIST_WORKER") else base) / name


@pytest.fixture(scope="session")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Demo:
    """The demo library of the repository and the site `limberleaf build` makes of it."""
    project = once(shared(tmp_path_factory, "demo-library"), _build_demo)
    return Demo(project, project / "site")


def _start_library(folder: Path) -> None:
    result = run(["limberleaf", "init", str(folder)], folder.parent)
    assert result.returncode == 0, result.stderr


@pytest.fixture(scope="session")
def fresh_library(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """What `limberleaf init` writes, made once; copy it before you write into it."""
    return once(shared(tmp_path_factory, "starter-library"), _start_library)


def _check_starter(folder: Path) -> None:
    for path, text in starter_files().items():
        file = folder / path
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(text, "utf-8")
    done = call(["limberleaf", "check"], folder)
    assert done.returncode == 0, done.stdout + done.stderr


@pytest.fixture(scope="session")
def kept_results(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """What a check of the starter keeps: its figures, readings and data, and no page. A folder to copy beside content.

    For tests that are not about making these things: to draw the starter takes longer than all else they do.
    """
    return once(shared(tmp_path_factory, "starter-checked"), _check_starter) / FOLDER


@pytest.fixture
def starter(fresh_library: Path, kept_results: Path, tmp_path: Path) -> Path:
    """A library made by `limberleaf init`, approved and checked, to write into."""
    folder = Path(shutil.copytree(fresh_library, tmp_path / "clinic"))
    approve(folder)
    shutil.copytree(kept_results, folder / FOLDER)
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
