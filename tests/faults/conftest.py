"""A small library that builds in a tenth of a second: its figures are drawn once and kept beside each copy."""

from __future__ import annotations

import shutil
import signal
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from approved import starter_files
from click.testing import CliRunner, Result

from limberleaf.cli import main
from limberleaf.publish.plain import write_site

TODAY = date(2026, 10, 1)

Call = Callable[..., Result]


@pytest.fixture(scope="session")
def drawn(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The starter library with the results of its first build; do not write into it."""
    folder = tmp_path_factory.mktemp("drawn")
    for path, text in starter_files().items():
        file = folder / path
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(text, "utf-8")
    pages, findings = write_site(
        folder / "content", folder / "away", today=TODAY, cache=folder / ".limberleaf", name_files=True
    )
    assert pages, findings
    shutil.rmtree(folder / "away")
    return folder


@pytest.fixture
def clinic_folder(drawn: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A copy of that library to break, and the folder the commands run in."""
    folder = tmp_path / "clinic"
    shutil.copytree(drawn, folder)
    (folder / "mkdocs.yml").unlink()  # the plain way is the quick one; tests that want MkDocs write it back
    monkeypatch.chdir(folder)
    return folder


@pytest.fixture
def call(clinic_folder: Path) -> Call:
    """Run a command in that folder, in this process; nothing but its exit code and words come out."""

    def run(*arguments: str | Path) -> Result:
        before = signal.getsignal(signal.SIGTERM)  # a command takes it over for the rest of its process
        try:
            return CliRunner().invoke(main, [str(one) for one in arguments], catch_exceptions=False)
        finally:
            signal.signal(signal.SIGTERM, before)

    return run
