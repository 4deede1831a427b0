"""The live preview: it follows entries, and a mistake does not take it down."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import time
import urllib.error
import urllib.request
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from conftest import BIN


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@pytest.fixture(params=["limberleaf", "mkdocs"])
def preview(request: pytest.FixtureRequest, starter: Path) -> Iterator[tuple[Path, str]]:
    """A running preview of the starter library: its folder and its address."""
    address = f"127.0.0.1:{free_port()}"
    log = (starter / "serve.log").open("w")
    server = subprocess.Popen(
        [str(BIN / request.param), "serve", "-a", address],
        cwd=starter,
        stdout=log,
        stderr=subprocess.STDOUT,
        start_new_session=True,
    )
    try:
        wait_for(lambda: "Find an exercise" in page(address, ""))
        yield starter, address
    finally:
        os.killpg(server.pid, signal.SIGINT)
        server.wait(20)
        log.close()


def page(address: str, path: str) -> str:
    try:
        with urllib.request.urlopen(f"http://{address}/{path}", timeout=5) as answer:
            return str(answer.read().decode())
    except (urllib.error.URLError, ConnectionError, TimeoutError):
        return ""


def wait_for(condition: Callable[[], bool], seconds: float = 150) -> None:
    end = time.monotonic() + seconds
    while not condition():
        assert time.monotonic() < end, "waited in vain"
        time.sleep(0.2)


def test_the_preview_follows_an_entry_and_outlives_a_mistake(preview: tuple[Path, str]) -> None:
    library, address = preview
    entry = library / "content/exercises/knee/kn-02.yml"
    text = entry.read_text("utf-8")

    entry.write_text(text.replace("Lower your foot slowly.", "Lower your foot with care."), "utf-8")
    wait_for(lambda: "Lower your foot with care." in page(address, "kn-02/left/"))

    entry.write_text(text.replace("kind: strength", "kind: power"), "utf-8")
    wait_for(lambda: "kn-02.yml:6:7" in (library / "serve.log").read_text("utf-8"))
    assert "Traceback" not in (library / "serve.log").read_text("utf-8")
    wait_for(lambda: "Slide your heel" in page(address, "kn-01/"))

    entry.write_text(text.replace("Hold while you count", "Stay while you count"), "utf-8")
    wait_for(lambda: "Stay while you count" in page(address, "kn-02/"))

    clinic = library / "content/clinic.yml"
    clinic.write_text(clinic.read_text("utf-8").replace("01632 960171", "01632 960199"), "utf-8")
    wait_for(lambda: "01632 960199" in page(address, "kn-02/"))


def test_the_preview_does_not_touch_the_published_folder(preview: tuple[Path, str]) -> None:
    library, _ = preview
    assert not (library / "site").exists()
    assert not (library / "content/addresses.lock").exists()
