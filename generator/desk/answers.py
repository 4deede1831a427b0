"""What an answer over HTTP is made of, and the refusal that every part of the desk can give."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

TYPES = {"html": "text/html; charset=utf-8", "css": "text/css; charset=utf-8", "js": "text/javascript; charset=utf-8",
         "svg": "image/svg+xml", "json": "application/json"}  # fmt: skip

Answer = tuple[str, bytes]
"""The media type of an answer and its bytes."""


Asked = Mapping[str, Any]
"""What a question of the page holds, as it came: nothing in it is checked yet."""


class RefusedError(Exception):
    """A request the desk does not answer: its status, and why."""

    def __init__(self, status: str, why: str, *headers: tuple[str, str]) -> None:
        super().__init__(why)
        self.status, self.why, self.headers = status, why, headers
