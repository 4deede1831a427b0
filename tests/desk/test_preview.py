"""The desk beside the live preview of MkDocs and ProperDocs: there, following edits, and in no file of the site."""

from __future__ import annotations

import urllib.request
from collections.abc import Iterator
from pathlib import Path

import pytest
from serving import Served, page, previewing


@pytest.fixture(params=["limberleaf", "properdocs"])
def preview(request: pytest.FixtureRequest, starter: Path) -> Iterator[tuple[Path, Served, str]]:
    """A running preview of the starter library: its folder, the program and its address."""
    more = ["-f", "mkdocs.yml"] if request.param == "properdocs" else []
    with previewing([request.param, "serve", *more], starter) as (served, address):
        yield starter, served, address


def test_the_desk_is_beside_the_site_and_follows_an_edit(preview: tuple[Path, Served, str]) -> None:
    library, served, address = preview
    assert f"The editor's desk is at http://{address}/desk/" in served.output()
    assert "Straighten your knee in sitting" in page(address, "desk/")
    with urllib.request.urlopen(f"http://{address}/desk", timeout=20) as moved:
        assert moved.url == f"http://{address}/desk/"
    hard = page(address, "desk/exercises/kn-02.html")
    assert "How it reads" in hard
    assert "try-text" not in hard, "the preview has no try-out box"
    assert page(address, "desk/../content/clinic.yml") == ""
    entry = library / "content/exercises/knee/kn-02.yml"
    entry.write_text(
        entry.read_text("utf-8").replace("Lower your foot slowly.", "Utilise your musculature."), "utf-8"
    )
    served.wait_for(lambda: "musculature" in page(address, "desk/exercises/kn-02.html"))
    assert not list(library.rglob("*sign-off*"))
