"""The desk beside the live preview of MkDocs and ProperDocs: there, following edits, and in no file of the site."""

from __future__ import annotations

import os
import signal
import subprocess
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import pytest
from conftest import BIN
from publish.test_serve import free_port, page, wait_for


@pytest.fixture(params=["limberleaf", "properdocs"])
def preview(request: pytest.FixtureRequest, starter: Path) -> Iterator[tuple[Path, str]]:
    address = f"127.0.0.1:{free_port()}"
    log = (starter / "serve.log").open("w")
    more = ["-f", "mkdocs.yml"] if request.param == "properdocs" else []
    server = subprocess.Popen(
        [str(BIN / request.param), "serve", "-a", address, *more],
        cwd=starter, stdout=log, stderr=subprocess.STDOUT, start_new_session=True,
    )  # fmt: skip
    try:
        wait_for(lambda: "Find an exercise" in page(address, ""))
        yield starter, address
    finally:
        os.killpg(server.pid, signal.SIGINT)
        server.wait(20)
        log.close()


def test_the_desk_stands_beside_the_site_and_follows_an_edit(preview: tuple[Path, str]) -> None:
    library, address = preview
    assert f"The editor's desk stands at http://{address}/desk/" in (library / "serve.log").read_text("utf-8")
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
    wait_for(lambda: "musculature" in page(address, "desk/exercises/kn-02.html"))
    assert not list(library.rglob("*sign-off*"))
