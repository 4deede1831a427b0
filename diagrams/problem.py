"""A finding about a figure: plain data, which is kept and reported without a body."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Severity = Literal["error", "warning", "note"]
Path = tuple[str | int, ...]


@dataclass(frozen=True)
class Problem:
    """A finding about a figure; `path` leads to its place in the `figure:` mapping."""

    code: str
    severity: Severity
    message: str
    hint: str
    path: Path
