"""The guard at the top: whatever nobody expected becomes a report to send, never a traceback."""

from __future__ import annotations

import errno
import os
import signal
import sys
import threading
from pathlib import Path
from types import FrameType

from limberleaf.output import OutputError

_DISK = (errno.ENOSPC, errno.EDQUOT, errno.EROFS, errno.EFBIG, errno.EIO, errno.EMFILE, errno.ENFILE)

UNEXPECTED = 3
"""The exit code of a failure nobody expected; 1 is for findings and refusals, 2 for a wrong call."""


def failure_report(error: Exception) -> str:
    """Say an unexpected failure in plain words: what, where, and how to send it. The whole is kept in a file."""
    where = _place(error)
    lines = [
        f"limberleaf {_version()} met something it did not expect and stopped: {_named(error)}.",
        f"Where: {where}. The published folder is as it was.",
        "This is a fault of the program, not of yours.",
    ]
    report = _write_report(error, lines)
    if report:
        lines.append(f"Please send the report in {report} to whoever looks after your copy of limberleaf.")
    else:
        lines.append("Please send these lines to whoever looks after your copy of limberleaf.")
    lines.append(
        "`limberleaf check --content FOLDER` on a copy with half of the entries finds the one it stumbled on."
    )
    return "\n".join(lines)


def is_expected(error: Exception) -> bool:
    """Tell whether an error is a refusal that says itself what to do: a place that cannot be written, a full disk."""
    if isinstance(error, OSError):
        return error.filename is not None or error.errno in _DISK
    return isinstance(error, OutputError)


def in_words(error: Exception) -> str:
    """Give the words of such a refusal."""
    if isinstance(error, OSError):
        named = f"{os.fsdecode(error.filename)}: " if error.filename is not None else ""
        return f"{named}{error.strerror or error}."
    return str(error)


def end_like_ctrl_c() -> None:
    """Let SIGTERM unwind the program as Ctrl-C does, so that temporary folders go; the exit code shows it."""
    if threading.current_thread() is not threading.main_thread():
        return
    if signal.getsignal(signal.SIGTERM) is signal.SIG_DFL:
        signal.signal(signal.SIGTERM, _terminated)


def _terminated(number: int, _frame: FrameType | None) -> None:
    signal.signal(
        signal.SIGTERM, signal.SIG_IGN
    )  # once is enough: clearing up must not be cut short by another
    sys.exit(128 + number)


def _named(error: Exception) -> str:
    text = " ".join(str(error).split())[:200]
    return f"{type(error).__name__}{f': {text}' if text else ''}"


def _place(error: Exception) -> str:
    import traceback

    frames = traceback.extract_tb(error.__traceback__)
    ours = [frame for frame in frames if "limberleaf" in frame.filename or "generator" in frame.filename]
    if not ours:
        return "outside the program"
    last = ours[-1]
    return f"{'/'.join(Path(last.filename).parts[-2:])}, line {last.lineno}, in {last.name}"


def _version() -> str:
    from importlib.metadata import PackageNotFoundError, version  # a tenth of the start of a command

    try:
        return version("limberleaf")
    except PackageNotFoundError:
        return "(version unknown)"


def _write_report(error: Exception, lines: list[str]) -> str:
    """Write the report with the traceback to a file of its own; empty when even that fails."""
    import platform
    import tempfile
    import traceback

    system = f"Python {platform.python_version()} on {platform.system()} {platform.release()}"
    trace = "".join(traceback.format_exception(error, limit=-30))
    text = "\n".join([*lines, system, "", trace])
    try:
        handle, name = tempfile.mkstemp(prefix="limberleaf-report-", suffix=".txt")
        with os.fdopen(handle, "w", encoding="utf-8", errors="backslashreplace") as file:
            file.write(text)
    except OSError:
        return ""
    return name
