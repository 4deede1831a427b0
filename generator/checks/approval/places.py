"""Where a change of an approved text stands: at its value, and in a prose page at its line."""

from __future__ import annotations

from typing import Any

from limberleaf.clinical.governance.approval import Part
from limberleaf.clinical.governance.change_kinds import KEPT_BY
from limberleaf.findings import Place
from limberleaf.library.prose import ProsePage
from limberleaf.library.yaml.source import Loc


def place_of(part: Part, loc: Loc, new: Any) -> Place:
    """Give the place of a change; `new` is the text that stands there now."""
    page = part.entry
    if loc == (KEPT_BY,):
        return part.source.place(("review", "owner"))
    if not isinstance(page, ProsePage):
        return part.source.place(loc)
    at = page.markdown.find(new) if loc[0] == "markdown" and isinstance(new, str) else -1
    return page.place(at) if at >= 0 else part.source.place()
