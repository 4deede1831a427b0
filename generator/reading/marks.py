"""A mark: a place in the text, the rule that put it there, and what to do about it."""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass, replace
from typing import Literal, TypeAlias

Level: TypeAlias = Literal["error", "warning", "note"]


@dataclass(frozen=True, slots=True)
class Mark:
    """A finding in the text.

    `block` is the index of the block, `start` and `end` character offsets in its text, `key` the block's
    own key. `replacement` is text that may take the place of the marked words, when there is one; `reasons`
    are the words that make a sentence hard. A mark that was switched off carries the reason in `off`.
    """

    rule: str
    level: Level
    block: int
    start: int
    end: int
    message: str
    suggestion: str = ""
    replacement: str | None = None
    reasons: tuple[str, ...] = ()
    key: Hashable = None
    off: str | None = None

    def switched_off(self, reason: str) -> Mark:
        """The same mark, switched off for a reason."""
        return replace(self, off=reason)
