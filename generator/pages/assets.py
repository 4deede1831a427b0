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
_SPACED = re.compile(
    rb"""("(?:\\.|[^"\\\n])*"|'(?:\\.|[^'\\\n])*'|`(?:\\.|[^`\\])*`  # texts, as they are
    |/(?![*/ ])(?:\\.|\[(?:\\.|[^\]\\\n])*\]|[^/\\\n\[])+/[a-z]*)  # regular expressions, as they are
    |[ ]*(?://[^\n]*|/\*.*?\*/)  # comments beside a statement
    |[ ]*([{(\[,;:?=<>*&|!])[ \n]*  # signs after which a statement goes on or begins
    |[ ]*([})\]])[ ]*  # signs after which it may end
    |[ ]([+-])[ ](?![+-])  # not a + +b
    |[ ](/)[ ]""",
    re.VERBOSE | re.DOTALL,
)
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
    return {name: shortened(data) if name.endswith(".js") else data for name, data in read.items()}


def shortened(script: bytes) -> bytes:
    """Take away what only people who read the source need: comments, indents, and spaces and line breaks beside
    signs.

    Texts, regular expressions, and line breaks that may end a statement stay. Scripts are written as `deno fmt` writes
    them: a slash with a space behind it divides, one without begins a comment or a regular expression.
    """
    bare = re.sub(
        rb"^\s+", b"", re.sub(rb"^[ \t]*(/\*.*?\*/|//[^\n]*)[ \t]*\n", b"", script, flags=_LINES), flags=re.M
    )
    return _SPACED.sub(lambda found: next(filter(None, found.groups()), b""), bare)


@cache
def asset_address(name: str) -> str:
    """Give the address of an asset relative to the site."""
    data = static_assets().get(name)
    if data is None:
        return FOLDER + name
    return f"{FOLDER}{name}?v={hashlib.blake2b(data, digest_size=4).hexdigest()}"
