"""Reading the bytes of a file of the content folder: plain files inside it, never more than an entry needs."""

from __future__ import annotations

import os
import stat
from pathlib import Path

from limberleaf.findings import Finding, Place

MAX_BYTES = 1_000_000
"""An entry is a few kilobytes; a file of a megabyte is a mistake, not an entry."""

_KINDS = (
    (stat.S_ISDIR, "a folder"),
    (stat.S_ISFIFO, "a pipe"),
    (stat.S_ISSOCK, "a socket"),
    (stat.S_ISCHR, "a device"),
    (stat.S_ISBLK, "a device"),
)


def shown_path(file: Path, root: Path) -> str:
    """Give the path of a file below `root`, in characters that can be printed."""
    return file.relative_to(root).as_posix().encode("utf-8", "replace").decode()


def is_plain(file: Path) -> bool:
    """Tell whether a path is a file itself and no link; a folder that is a link is never walked into."""
    try:
        return stat.S_ISREG(os.lstat(file).st_mode)
    except OSError:
        return False


def refused(file: Path, root: Path, path: str) -> Finding | None:
    """Say why a file must not be opened: a link that leads out, a pipe, a name that is no text; None: it may be."""

    def refuse(code: str, message: str, hint: str) -> Finding:
        return Finding("error", code, message, hint, Place(path))

    if path != file.relative_to(root).as_posix():
        return refuse("name-not-utf8", "The file's name is not UTF-8 text.", "Give it another name.")
    try:
        inside = file.resolve().is_relative_to(root.resolve())
    except (OSError, RuntimeError):  # Python 3.13 raises the first for a loop of links, older ones the second
        return refuse("cannot-read", "This link leads round in a circle.", "Put the file here instead of it.")
    if not inside:
        return refuse(
            "link-leads-out",
            "This is a link to a file outside the content folder.",
            "Put a copy of the file here instead of the link.",
        )
    try:
        kind = next((name for test, name in _KINDS if test(file.stat().st_mode)), None)
    except OSError as error:
        return refuse(
            "cannot-read", f"The file cannot be read: {error.strerror}.", "Check the file and its rights."
        )
    if kind:
        return refuse("cannot-read", f"This is {kind}, not a file.", "Take it out of the content folder.")
    return None


def read_text(file: Path, root: Path, path: str) -> tuple[str, Finding | None]:
    """Give the text of a file, or what keeps it from being read."""

    def refuse(code: str, message: str, hint: str, line: int = 0, column: int = 0) -> tuple[str, Finding]:
        return "", Finding("error", code, message, hint, Place(path, line, column))

    finding = refused(file, root, path)
    if finding:
        return "", finding
    try:
        with open(file, "rb", opener=_without_waiting) as opened:
            data = opened.read(MAX_BYTES + 1)
            size = max(len(data), os.fstat(opened.fileno()).st_size)
    except OSError as error:
        return refuse(
            "cannot-read", f"The file cannot be read: {error.strerror}.", "Check the file and its rights."
        )
    if size > MAX_BYTES:
        return refuse(
            "file-too-large",
            f"The file holds {size / 1e6:.1f} MB; {MAX_BYTES / 1e6:.0f} MB is the limit, an entry is a few kilobytes.",
            "One entry a file. Move anything else out of the content folder.",
        )
    try:
        return data.decode("utf-8-sig"), None
    except UnicodeDecodeError as error:
        before = data[: error.start]
        column = error.start - (before.rfind(b"\n") + 1) + 1
        return refuse(
            "not-utf8",
            "The file is not UTF-8 text.",
            "Save it again as UTF-8 in your editor.",
            before.count(b"\n") + 1,
            column,
        )


def _without_waiting(path: str, flags: int) -> int:
    """Open a file so that a pipe put in its place meanwhile holds nobody up."""
    return os.open(path, flags | getattr(os, "O_NONBLOCK", 0))
