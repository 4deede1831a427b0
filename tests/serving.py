"""Programs of ours that serve, run as children of a test: waited for, and always ended with all they started."""

from __future__ import annotations

import os
import re
import signal
import socket
import subprocess
import time
import urllib.error
import urllib.request
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path

from conftest import BIN


@dataclass(frozen=True)
class Served:
    """A running program and what it says."""

    process: subprocess.Popen[bytes]
    log: Path

    def output(self) -> str:
        """Give everything it has said so far, both streams."""
        return self.log.read_text("utf-8", errors="replace")

    def wait_for(self, condition: Callable[[], bool], seconds: float = 150) -> None:
        """Wait until `condition` holds; fail with the program's words when it ends or takes too long."""
        end = time.monotonic() + seconds
        while not condition():
            code = self.process.poll()
            assert code is None, f"it ended with {code}; it said:\n{self.output()}"
            assert time.monotonic() < end, f"waited {seconds:.0f} s in vain; it said:\n{self.output()}"
            time.sleep(0.2)


@contextmanager
def serving(command: list[str], folder: Path, **environment: str) -> Iterator[Served]:
    """Run one of our programs in `folder` and end its whole process group afterwards, whatever happens."""
    log = folder / "serve.log"
    with log.open("wb") as out:
        process = subprocess.Popen(
            [str(BIN / command[0]), *command[1:]],
            cwd=folder,
            stdout=out,
            stderr=subprocess.STDOUT,
            start_new_session=True,
            env={**os.environ, **environment},
        )
    served = Served(process, log)
    try:
        yield served
    finally:
        _end(served)


def _end(served: Served) -> None:
    """Ask the program to stop as Ctrl-C does; kill what is left of its group after 20 s."""
    group = served.process.pid  # it leads its own session
    with suppress(ProcessLookupError):
        os.killpg(group, signal.SIGINT)
    try:
        served.process.wait(20)
    except subprocess.TimeoutExpired:
        raise AssertionError(f"it did not stop when asked; it said:\n{served.output()}") from None
    finally:
        with suppress(ProcessLookupError):
            os.killpg(group, signal.SIGKILL)
        served.process.wait()


_DESK = re.compile(r"http://127\.0\.0\.1:(\d+)/\?key=(\S+) \(this machine only\)")


@dataclass(frozen=True)
class RunningDesk:
    """A desk that serves: its program, its port, and the key without which it shows nothing."""

    served: Served
    port: int
    key: str

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.port}/"

    @property
    def start(self) -> str:
        """The address that lets a browser in."""
        return f"{self.address}?key={self.key}"

    @property
    def cookie(self) -> tuple[str, str]:
        """Name and value of the cookie that the start address gives."""
        return f"limberleaf-desk-{self.port}", self.key


@contextmanager
def desk_running(library: Path, *options: str) -> Iterator[RunningDesk]:
    """Run `limberleaf desk` over a library, on a port that is free, until it says where it is."""
    with serving(["limberleaf", "desk", "--port", "0", *options], library) as served:
        served.wait_for(lambda: _DESK.search(served.output()) is not None)
        found = _DESK.search(served.output())
        assert found
        yield RunningDesk(served, int(found[1]), found[2])


def free_port() -> int:
    """Give a port of loopback that nothing listens on."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def page(address: str, path: str) -> str:
    """Give a page as text; empty while nobody answers."""
    try:
        with urllib.request.urlopen(f"http://{address}/{path}", timeout=5) as answer:
            return str(answer.read().decode())
    except (urllib.error.URLError, ConnectionError, TimeoutError):
        return ""


@contextmanager
def previewing(command: list[str], library: Path, **environment: str) -> Iterator[tuple[Served, str]]:
    """Run a preview (`[program, "serve", ...]`) of a library until its first page is served: it and its address."""
    address = f"127.0.0.1:{free_port()}"
    with serving([*command, "-a", address], library, **environment) as served:
        served.wait_for(lambda: "Find an exercise" in page(address, ""))
        yield served, address
