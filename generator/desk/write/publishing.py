"""Publishing from the desk: `limberleaf build` in a process of its own, and how it goes."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable, Mapping
from pathlib import Path
from threading import Thread
from typing import Any

from limberleaf.desk.answers import Asked

MAX_OUTPUT = 6_000
"""Characters of a build's output that the page shows, the last ones."""


class Publishing:
    """The questions that publish the library and follow the build."""

    def __init__(self, content: Path) -> None:
        self._content = content
        self._publishing: dict[str, Any] = {"running": False}

    @property
    def questions(self) -> Mapping[str, Callable[[Asked], Any]]:
        """Give the questions by name."""
        return {"publish": self.publish, "published": self.published}

    def publish(self, asked: Asked) -> dict[str, Any]:
        """Start `limberleaf build` in the library's folder; `published` tells how it goes."""
        if not self._publishing["running"]:
            self._publishing = {"running": True}
            Thread(target=self._build, daemon=True).start()
        return self._publishing

    def published(self, asked: Asked) -> dict[str, Any]:
        """Tell how the build goes."""
        return self._publishing

    def _build(self) -> None:
        content = self._content.absolute()
        code = "from limberleaf.cli import main; main()"
        first = [] if (content / "addresses.lock").exists() else ["--first"]
        command = [sys.executable, "-c", code, "build", "--content", str(content), *first]
        try:
            done = subprocess.run(command, cwd=content.parent, capture_output=True, check=False,
                                  encoding="utf-8", errors="replace",
                                  env={**os.environ, "PYTHONIOENCODING": "utf-8"})  # fmt: skip
        except OSError as error:
            self._publishing = {"running": False, "done": False, "output": str(error)}
            return
        output = (done.stdout + done.stderr).strip()
        last_line = output.rpartition("The site is in ")
        site = last_line[2].partition("\n")[0] if last_line[1] else "site"
        self._publishing = {
            "running": False,
            "done": done.returncode == 0,
            "output": output[-MAX_OUTPUT:],
            "where": Path(site).name,
        }
