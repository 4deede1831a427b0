"""Makes the pictures of the README's tour in `.tour/`, from the demo library: `.venv/bin/python tests/tour.py`.

Pages are photographed in Debian's Chromium, figures are drawn by `limberleaf draw`, handouts are typeset by
`limberleaf handout` and turned into pictures by pdftoppm.
"""

from __future__ import annotations

import functools
import http.server
import shutil
import subprocess
import sys
import tempfile
import threading
from pathlib import Path

from PIL import Image
from playwright.sync_api import sync_playwright

ROOT = Path(__file__).resolve().parent.parent
TOUR = ROOT / ".tour"
BIN = Path(sys.executable).parent
PAGES = {
    "finder": ("", 1280, 900),
    "exercise": ("kn-03/left/", 1280, 1500),
    "exercise-phone": ("kn-03/left/", 390, 1300),
    "ladder": ("ladders/knee-strength/", 1280, 1000),
}
DESK = {"desk": ("", 1280, 900)}
"""Name of the picture: address, width and height."""
COLOURS = 64


def main() -> None:
    """Build the demo library and take every picture."""
    TOUR.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as name:
        work = Path(name)
        shutil.copytree(ROOT / "content", work / "content")
        limberleaf("build", "--plain", folder=work)
        photograph(work / "site", PAGES)
        limberleaf("desk", "--output", "desk", "--today", "2026-11-25", folder=work)
        photograph(work / "desk", DESK)
        limberleaf("draw", "kn-03", "--width", "900", folder=work)
        keep(work / "kn-03.png", "figure")
        limberleaf("handout", "kn-03", "--side", "left", "--output", "sheets", folder=work)
        sheet = next((work / "sheets").rglob("*.pdf"))
        subprocess.run(
            ["pdftoppm", "-r", "70", "-png", "-singlefile", str(sheet), str(work / "sheet")], check=True
        )
        keep(work / "sheet.png", "handout")


def limberleaf(*arguments: str, folder: Path) -> None:
    """Run a command of ours."""
    subprocess.run([str(BIN / "limberleaf"), *arguments], cwd=folder, check=True)


def photograph(site: Path, pages: dict[str, tuple[str, int, int]]) -> None:
    """Take the pictures of pages, from a server on loopback."""
    handler = functools.partial(Silent, directory=str(site))
    server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), handler)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path="/usr/bin/chromium", args=["--no-sandbox"])
        for name, (address, width, height) in pages.items():
            page = browser.new_page(viewport={"width": width, "height": height})
            page.goto(f"http://127.0.0.1:{server.server_port}/{address}")
            page.screenshot(path=str(TOUR / f"{name}.png"))
            keep(TOUR / f"{name}.png", name)
        browser.close()
    server.shutdown()


class Silent(http.server.SimpleHTTPRequestHandler):
    """Serves files without a word."""

    def log_message(self, *_: object) -> None:
        """Say nothing."""


def keep(picture: Path, name: str) -> None:
    """Keep a picture small: few colours are enough for paper, ink and one accent."""
    with Image.open(picture) as opened:
        small = opened.convert("RGB").quantize(COLOURS, dither=Image.Dither.NONE)
    small.save(TOUR / f"{name}.png", optimize=True)


if __name__ == "__main__":
    main()
