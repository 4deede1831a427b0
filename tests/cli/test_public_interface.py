"""`import limberleaf` gives the declared names and no others, and they do what the docstring shows."""

from __future__ import annotations

import subprocess
import sys
from datetime import date
from pathlib import Path

import limberleaf

PUBLIC = {
    "Block",
    "Finding",
    "Library",
    "build_site",
    "check_library",
    "draw_figure",
    "load_library",
    "read_text",
}
"""What other programs may rely on. A name is added or taken away here, in CHANGES.md and by the version rule."""


def test_no_undeclared_name_leaks_into_the_interface() -> None:
    """A new process, so that rooms imported by other tests do not count."""
    code = (
        "import limberleaf\n"
        "names = {name for name in vars(limberleaf) if not name.startswith('_')}\n"
        "print(*sorted(names - {'annotations', 'import_module', 'TYPE_CHECKING', 'Any'}))\n"
        "print(*sorted(dir(limberleaf)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    leaked, listed = done.stdout.splitlines()
    assert leaked == ""
    assert set(listed.split()) == set(limberleaf.__all__) == PUBLIC


def test_every_public_name_says_what_it_does() -> None:
    for name in limberleaf.__all__:
        assert len(getattr(limberleaf, name).__doc__ or "") > 40, name


def test_a_library_is_loaded_checked_drawn_read_and_built(content: Path, tmp_path: Path) -> None:
    library = limberleaf.load_library(content)
    assert isinstance(library, limberleaf.Library)
    findings = limberleaf.check_library(library)
    assert all(isinstance(found, limberleaf.Finding) for found in findings)
    assert not [found for found in findings if found.severity == "error"]
    assert "<svg" in limberleaf.draw_figure({"poses": [{"posture": "sitting"}]}).svg()
    assert limberleaf.read_text([limberleaf.Block("prose", "Bend your knee.")]).counts.all.words == 3
    pages, _ = limberleaf.build_site(content, tmp_path / "site", today=date(2026, 10, 1), cache=None)
    assert pages > 10
    assert (tmp_path / "site/kn-02/left/index.html").is_file()


def test_a_name_that_is_not_there_is_an_attribute_error() -> None:
    assert not hasattr(limberleaf, "no_such_name")
