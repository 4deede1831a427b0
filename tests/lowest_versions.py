"""Prove the lower bounds of our dependencies: install each at its lowest, then check, build and draw with it.

Run by hand: `python tests/lowest_versions.py [FOLDER]`. Makes a virtual environment in FOLDER (a temporary one by
default) with exactly the versions that pyproject.toml names as lowest, installs the project with nothing newer, and
runs the commands a clinic runs. Exits with 1 at the first failure.
"""

from __future__ import annotations

import re
import subprocess
import sys
import tempfile
import tomllib
import venv
from pathlib import Path

from approved import approve

ROOT = Path(__file__).resolve().parent.parent


def lowest(requirements: list[str]) -> list[str]:
    """Pin each requirement to its lower bound: `click>=8.4,<9` becomes `click==8.4`."""
    pins = []
    for requirement in requirements:
        found = re.match(r"([A-Za-z0-9_.-]+)\s*[^,]*?>=\s*([0-9][0-9A-Za-z.]*)", requirement)
        if found is None:
            sys.exit(f"pyproject.toml: “{requirement}” has no lower bound.")
        pins.append(f"{found[1]}=={found[2]}")
    return pins


def run(*command: str, folder: Path) -> None:
    """Run one command and stop everything when it fails."""
    print("+", *command, flush=True)
    subprocess.run(command, cwd=folder, check=True)


def main(folder: Path) -> None:
    """Make the environment and use it."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    pins = lowest(project["dependencies"])
    home = folder / "venv"
    venv.create(home, with_pip=True)
    scripts = home / "bin"
    run(str(scripts / "pip"), "install", "--quiet", *pins, folder=folder)
    run(str(scripts / "pip"), "install", "--quiet", "--no-deps", str(ROOT), folder=folder)
    run(str(scripts / "pip"), "check", folder=folder)
    tool = str(scripts / "limberleaf")
    run(tool, "init", "clinic", folder=folder)
    approve(folder / "clinic")
    run(tool, "check", folder=folder / "clinic")
    run(tool, "build", folder=folder / "clinic")
    run(tool, "handout", "kn-02", folder=folder / "clinic")
    run(tool, "draw", "kn-02", folder=folder / "clinic")
    print("Lowest versions that work:", ", ".join(pins))


if __name__ == "__main__":
    try:
        if len(sys.argv) > 1:
            chosen = Path(sys.argv[1]).resolve()
            chosen.mkdir(parents=True, exist_ok=True)
            main(chosen)
        else:
            with tempfile.TemporaryDirectory() as folder:
                main(Path(folder))
    except subprocess.CalledProcessError as error:
        sys.exit(f"failed: {' '.join(map(str, error.cmd))}")
