"""The files pages load: style, scripts, the icon, and a finder index for each language.

Style and scripts carry a short hash of their bytes in the address, so that a reader never sees a new page with an
old style; the file itself keeps its name.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from functools import cache
from importlib.resources import files

FOLDER = "assets/"
STATIC = (
    "site.css", "site.js", "finder.js", "icon.svg",
    "plan.css", "plan-code.js", "plan-dose.js", "plan-page.js", "plan-add.js", "plan-make.js", "plan-calendar.js",
    "plan-qr.js", "plan.js", "follow.js",
)  # fmt: skip


@cache
def static_assets() -> Mapping[str, bytes]:
    """Read the files that are the same in every site, by name."""
    folder = files("generator.pages").joinpath("assets")
    return {name: folder.joinpath(name).read_bytes() for name in STATIC}


@cache
def asset_address(name: str) -> str:
    """Give the address of an asset relative to the site."""
    data = static_assets().get(name)
    if data is None:
        return FOLDER + name
    return f"{FOLDER}{name}?v={hashlib.blake2b(data, digest_size=4).hexdigest()}"
