"""The files pages load: style, scripts, the icon, and a finder index for each language.

Style and scripts carry a short hash of their bytes in the address, so that a reader never sees a new page with an
old style; the file itself keeps its name.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from pathlib import Path

from limberleaf.pages.shorten import shortened

FOLDER = "assets/"
HOME = Path(str(files("limberleaf.pages")))
"""The folder of templates and assets."""
STATIC = (
    "site.css", "site.js", "finder-core.js", "finder.js", "icon.svg",
    "plan.css", "plan-code.js", "plan-dose.js", "plan-page.js", "plan-add.js", "plan-view.js", "plan-calendar.js",
    "plan-qr.js", "plan-own.js", "plan.js", "follow.js",
)  # fmt: skip
JOINED = {"plan-making.js": ("plan-rules.js", "plan-make.js", "plan-list.js", "plan-give.js")}
"""Scripts that are always loaded together: one file packs a sixth smaller than its parts, and comes in one go."""


@cache
def static_assets() -> Mapping[str, bytes]:
    """Read the files that are the same in every site, by name."""
    read = {name: (HOME / "assets" / name).read_bytes() for name in STATIC}
    for name, parts in JOINED.items():
        read[name] = b"".join((HOME / "assets" / part).read_bytes() for part in parts)
    return {
        name: shortened(data.decode()).encode() if name.endswith(".js") else data
        for name, data in read.items()
    }


@cache
def asset_address(name: str) -> str:
    """Give the address of an asset relative to the site."""
    data = static_assets().get(name)
    if data is None:
        return FOLDER + name
    return f"{FOLDER}{name}?v={hashlib.blake2b(data, digest_size=4).hexdigest()}"
