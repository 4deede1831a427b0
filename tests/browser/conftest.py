"""Debian's Chromium on the built demo site. Nothing may leave the site; the console must stay silent."""

from __future__ import annotations

import functools
import threading
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

import pytest
from browser.plan_site import PlanSite, write_site
from conftest import Demo
from plan.sample import sample_library
from playwright.sync_api import Browser, Locator, Page, Request, expect, sync_playwright

expect.set_options(timeout=30_000)  # for a busy machine; nothing that is waited for is slow by design
CHROMIUM = (Path("/usr/bin/chromium-headless-shell"), Path("/usr/bin/chromium"))
"""The first that is there is used. The shell is the same engine without windows, in a third of the time."""
FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
         "--disable-component-update", "--disable-sync",
         "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1"]  # fmt: skip
"""The last one keeps every other host out of reach, names and numbers alike."""
OWN = ("file:", "data:", "blob:", "about:")
"""Beginnings of addresses that no network is asked for."""
FOLDER = "/practice/exercises/"
"""The site is in a folder below the host, so that every link is tried away from the root."""


@dataclass
class Visit:
    """A browser page and what it did."""

    page: Page
    base: str
    scripts: bool = True
    outside: list[str] = field(default_factory=list)
    console: list[str] = field(default_factory=list)

    def open(self, path: str) -> Page:
        """Open a page of the site by its path; style and scripts are there, pictures may still come.

        Scripts wait for the style, and the event for the scripts; where none run, only the last event tells of both.
        """
        self.page.goto(self.base + path, wait_until="domcontentloaded" if self.scripts else "load")
        return self.page


def settled(page: Page) -> None:
    """Wait until nothing on the page moves and what was asked of it is painted, however slow the machine is."""
    page.evaluate(
        """async () => {
            await Promise.all(document.getAnimations().map(one => one.finished.catch(() => null)));
            await new Promise(done => requestAnimationFrame(() => requestAnimationFrame(done)));
        }"""
    )


def pictures(images: Locator) -> list[tuple[str, int]]:
    """Wait until each picture has come or failed, those too that are fetched only when scrolled to.

    Gives their alternative texts and their widths in pixels; a picture that failed has none.
    """
    expect(images).not_to_have_count(0)
    found = images.evaluate_all(
        """async all => {
            await Promise.all(all.map(one => {
                one.loading = "eager";
                return one.complete || new Promise(done => {
                    one.addEventListener("load", done);
                    one.addEventListener("error", done);
                });
            }));
            return all.map(one => [one.alt, one.naturalWidth]);
        }"""
    )
    return [(alt, width) for alt, width in found]


def address_of(page: Page) -> str:
    """Give the page's address as it is now; `page.url` follows a script's changes only some time later."""
    return str(page.evaluate("location.href"))


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    """One browser for all tests; without Chromium they fail, they are never skipped."""
    program = next((path for path in CHROMIUM if path.exists()), None)
    assert program, (
        "Install Debian's Chromium (apt-get install chromium-headless-shell): browser tests need it."
    )
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=str(program), args=FLAGS)
        yield browser
        browser.close()


class Quiet(SimpleHTTPRequestHandler):
    """Gives the files of a folder, and prints nothing."""

    def translate_path(self, path: str) -> str:
        return super().translate_path(path.removeprefix(FOLDER.rstrip("/")))

    def log_message(self, format: str, *args: Any) -> None:
        pass


class _Server(ThreadingHTTPServer):
    def handle_error(self, request: Any, client_address: Any) -> None:
        """Say nothing when the browser leaves a page before its pictures have come."""


def serve(folder: Path, handler: type[Quiet] = Quiet) -> tuple[ThreadingHTTPServer, str]:
    """Serve a folder on loopback; gives the server and the address of the site."""
    server = _Server(("127.0.0.1", 0), functools.partial(handler, directory=str(folder)))
    threading.Thread(target=server.serve_forever, daemon=True).start()
    return server, f"http://127.0.0.1:{server.server_port}{FOLDER}"


@pytest.fixture(scope="session")
def site_url(demo: Demo) -> Iterator[str]:
    """The address of the demo site."""
    server, address = serve(demo.site)
    yield address
    server.shutdown()


@pytest.fixture(scope="session")
def plan_site(tmp_path_factory: pytest.TempPathFactory) -> Iterator[PlanSite]:
    """The small library of tests/plan as a served site."""
    library = sample_library(tmp_path_factory.mktemp("sample"))
    folder = tmp_path_factory.mktemp("plan-site")
    write_site(library, folder)
    server, address = serve(folder)
    yield PlanSite(library, folder, address)
    server.shutdown()


@pytest.fixture
def visit(chromium: Browser, request: pytest.FixtureRequest) -> Iterator[Callable[..., Visit]]:
    """Make visits: `visit(width=390, java_script_enabled=False)`. Each is checked at the end of the test.

    The site is the demo's, built when a visit first asks for it, unless `base` names another.
    """
    visits: list[Visit] = []

    def begin(width: int = 1280, height: int = 900, base: str = "", **options: Any) -> Visit:
        base = base or request.getfixturevalue("site_url")
        context = chromium.new_context(viewport={"width": width, "height": height}, **options)
        one = Visit(context.new_page(), base, options.get("java_script_enabled", True))

        def note(request: Request) -> None:
            if not request.url.startswith((base, *OWN)):
                one.outside.append(request.url)

        context.on("request", note)  # only looked at: to hold up every request costs a third of a page's time
        one.page.on("console", lambda message: one.console.append(message.text))
        one.page.on("pageerror", lambda error: one.console.append(str(error)))
        visits.append(one)
        return one

    yield begin
    for one in visits:
        assert one.outside == []
        assert one.console == []
        one.page.context.close()


@pytest.fixture(scope="session")
def addresses(demo: Demo) -> list[str]:
    """The path of every page that is not a redirect, below the site."""
    files = sorted(demo.site.rglob("*.html"))
    return [
        file.relative_to(demo.site).as_posix().removesuffix("index.html")
        for file in files
        if 'http-equiv="refresh"' not in file.read_text("utf-8") and file.name != "404.html"
    ]
