"""The files pages load: style, scripts, the icon, and a finder index for each language.

Style and scripts carry a short hash of their bytes in the address, so that a reader never sees a new page with an
old style; the file itself keeps its name.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from pathlib import Path

FOLDER = "assets/"
HOME = Path(str(files("limberleaf.pages")))
"""The folder of templates and assets."""
_LINES = re.MULTILINE | re.DOTALL
STATIC = (
    "site.css", "site.js", "finder-core.js", "finder.js", "icon.svg",
    "plan.css", "plan-code.js", "plan-dose.js", "plan-page.js", "plan-add.js", "plan-view.js", "plan-rules.js",
    "plan-make.js", "plan-list.js", "plan-give.js",
    "plan-calendar.js", "plan-qr.js", "plan-own.js", "plan.js", "follow.js",
)  # fmt: skip


@cache
def static_assets() -> Mapping[str, bytes]:
    """Read the files that are the same in every site, by name."""
    read = {name: (HOME / "assets" / name).read_bytes() for name in STATIC}
    return {name: without_comments(data) if name.endswith(".js") else data for name, data in read.items()}


def without_comments(script: bytes) -> bytes:
    """Take away comments on lines of their own, and indents: what only people who read the source need."""
    return re.sub(
        rb"^\s+", b"", re.sub(rb"^[ \t]*(/\*.*?\*/|//[^\n]*)[ \t]*\n", b"", script, flags=_LINES), flags=re.M
    )


@cache
def asset_address(name: str) -> str:
    """Give the address of an asset relative to the site."""
    data = static_assets().get(name)
    if data is None:
        return FOLDER + name
    return f"{FOLDER}{name}?v={hashlib.blake2b(data, digest_size=4).hexdigest()}"
