"""The wheel carries its templates, theme and data: built, installed elsewhere, and used on a new library there."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import sysconfig
import venv
import zipfile
from pathlib import Path

import pytest
from approved import approve
from conftest import ROOT


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel, built from a copy of the source so that nothing of this checkout is written to."""
    folder = tmp_path_factory.mktemp("wheel")
    source = folder / "source"
    source.mkdir()
    for name in ("generator", "diagrams"):
        shutil.copytree(ROOT / name, source / name, ignore=shutil.ignore_patterns("__pycache__"))
    for name in ("pyproject.toml", "README.md", "LICENSE"):
        shutil.copy(ROOT / name, source)
    command = [
        sys.executable,
        "-m",
        "pip",
        "wheel",
        "--quiet",
        "--no-deps",
        "--wheel-dir",
        str(folder),
        str(source),
    ]
    subprocess.run(command, check=True, capture_output=True)
    return next(folder.glob("limberleaf-*.whl"))


def test_every_data_file_is_in_the_wheel(wheel: Path) -> None:
    packed = set(zipfile.ZipFile(wheel).namelist())
    wanted = {
        f"{package}/{file.relative_to(ROOT / folder).as_posix()}"
        for folder, package in (("generator", "limberleaf"), ("diagrams", "limberleaf/diagrams"))
        for file in (ROOT / folder).rglob("*")
        if file.is_file() and not {"__pycache__", "guide"} & set(file.parts) and file.suffix != ".pyc"
    }
    assert sorted(wanted - packed) == []
    assert any(name.endswith(".data/data/share/man/man1/limberleaf.1") for name in packed), (
        "man finds it there"
    )


def test_a_new_library_builds_with_the_installed_wheel(wheel: Path, tmp_path: Path) -> None:
    """Dependencies are lent by this environment through a plain path, which does not lend its editable install."""
    home = tmp_path / "elsewhere"
    venv.create(home, with_pip=False, symlinks=True)
    paths = sysconfig.get_paths(vars={"base": str(home), "platbase": str(home)}, scheme="venv")
    packages = Path(paths["purelib"])
    (packages / "lent.pth").write_text(sysconfig.get_paths()["purelib"] + "\n", "utf-8")
    for name in ("diagrams", "generator"):  # packages of somebody else, by the names of our folders
        (packages / name).mkdir()
        (packages / name / "__init__.py").write_text("THEIRS = True\n", "utf-8")
    python = home / "bin" / "python"
    install = [
        sys.executable,
        "-m",
        "pip",
        "--python",
        str(python),
        "install",
        "--quiet",
        "--no-deps",
        str(wheel),
    ]
    subprocess.run(install, check=True, capture_output=True)
    program = home / "bin" / "limberleaf"
    environment = {name: value for name, value in os.environ.items() if name != "PYTHONPATH"}

    def run(*command: str) -> str:
        done = subprocess.run(
            command, cwd=tmp_path, env=environment, capture_output=True, text=True, check=False
        )
        assert done.returncode == 0, done.stdout + done.stderr
        return done.stdout

    where = run(
        str(python),
        "-c",
        "import limberleaf, limberleaf.diagrams as d; print(limberleaf.__file__, d.__file__)",
    )
    ours = packages / "limberleaf"
    assert where.split() == [str(ours / "__init__.py"), str(ours / "diagrams/__init__.py")]
    run(str(program), "init", "clinic")
    approve(tmp_path / "clinic")
    run(str(program), "check", "--content", "clinic/content")
    run(str(program), "build", "--config", "clinic/mkdocs.yml")
    assert (tmp_path / "clinic/site/kn-02/left/index.html").is_file()
    run(str(python), "-c", "import diagrams, generator; assert diagrams.THEIRS and generator.THEIRS")
