"""Entry files as plain values and as the text they would become: only what changed differs."""

from __future__ import annotations

import hashlib
from codecs import BOM_UTF8
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from limberleaf.library.yaml.source import compose
from limberleaf.library.yaml.yaml_edit import CannotEditError, edited, plain_values
from limberleaf.library.yaml.yaml_values import after_key, scalar
from limberleaf.output import OutputError, explained, write_atomically, write_new

__all__ = ["CannotEditError", "Change", "edited", "new_text", "plain_value", "state_of", "write_changes"]


@dataclass(frozen=True)
class Change:
    """One file of the content folder: what it says now (None: there is none) and what it is to say."""

    path: str
    before: str | None
    after: str


def plain_value(text: str) -> dict[str, Any]:
    """Give the plain values of an entry's text, numbers as they were written; empty when it holds no keys."""
    node = compose(text)
    value = plain_values(node) if node is not None else None
    return value if isinstance(value, dict) else {}


def new_text(value: Mapping[str, Any], head: str = "") -> str:
    """Write a new entry; `head` is a comment that goes before it."""
    lines = [
        f"{scalar(key, flow=False)}:{after_key(item, 0)}\n" for key, item in value.items() if item is not None
    ]
    return head + "".join(lines)


def state_of(text: str) -> str:
    """Give 12 hexadecimal digits of a file's text."""
    return hashlib.blake2b(text.encode(), digest_size=6).hexdigest()


def write_changes(content: Path, changes: list[Change]) -> None:
    """Write all files or, when one of them cannot be written, none; raise OutputError then.

    A file that somebody changed since it was read stops the run before anything is written.
    """
    old = {
        change.path: (content / change.path).read_bytes() for change in changes if change.before is not None
    }
    for change in changes:
        if change.before is not None and old[change.path].decode("utf-8-sig", "replace") != change.before:
            raise OutputError(f"{change.path} changed while this ran; nothing was written. Run it again.")
    write_new({content / change.path: change.after for change in changes if change.before is None})
    done: list[str] = []
    try:
        for change in changes:
            if change.before is not None:
                mark = BOM_UTF8 if old[change.path].startswith(BOM_UTF8) else b""
                write_atomically(content / change.path, mark + change.after.encode())
                done.append(change.path)
    except OSError as error:
        for path in done:
            write_atomically(content / path, old[path])
        for change in changes:
            if change.before is None:
                (content / change.path).unlink(missing_ok=True)
        raise explained(error, content) from None
