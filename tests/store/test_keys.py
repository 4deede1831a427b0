"""What is kept is made again when a library that decides it has another version."""

from __future__ import annotations

import re
import sys
from importlib.metadata import packages_distributions
from pathlib import Path

from limberleaf.handouts.fonts import PACKAGES
from limberleaf.store.keys import LIBRARIES

ROOT = Path(__file__).parents[2]
NOT_KEPT = (
    "commands",
    "exchange",
    "desk",
    "comprehension",
    "reading/build",
    "cli.py",
    "make_manual.py",
    "progress.py",
)
"""Where nothing is made that a store keeps."""
IMPORT = re.compile(r"^\s*(?:import|from) (\w+)", re.MULTILINE)


def test_each_library_that_kept_work_imports_is_part_of_its_keys() -> None:
    files = [
        file
        for folder in ("generator", "diagrams")
        for file in (ROOT / folder).rglob("*.py")
        if not str(file.relative_to(ROOT / folder)).startswith(NOT_KEPT)
    ]
    imported = {name for file in files for name in IMPORT.findall(file.read_text("utf-8"))}
    named = packages_distributions()
    libraries = {
        library.lower().replace("_", "-")
        for name in (imported | set(PACKAGES)) - sys.stdlib_module_names - {"limberleaf"}
        for library in named.get(name, ())
    }
    assert {"phonenumbers", "numpy", "pydantic-core"} <= libraries
    assert libraries <= set(LIBRARIES)
