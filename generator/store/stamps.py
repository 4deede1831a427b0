"""Files by their stamp and hash: one that is as it was by its stamp is not read to know its hash."""

from __future__ import annotations

import os
import stat
import time
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path

from limberleaf.store.keys import JUST_NOW, Stamped, file_stamp, text_key


def files_below(folder: Path) -> Iterator[str]:
    """Give every file below a folder, hidden ones too, in order; a link to a folder counts as one."""
    for where, folders, names in os.walk(folder):
        folders.sort()
        here = [os.path.join(where, name) for name in folders]  # noqa: PTH118 - ten thousand of them
        yield from filter(os.path.islink, here)
        yield from (os.path.join(where, name) for name in sorted(names))  # noqa: PTH118


def stamped(
    files: Iterable[str], known: Stamped, stamp_of: Callable[[str], tuple[int, ...] | None] = file_stamp
) -> Stamped:
    """Give each file's stamp and hash; one whose stamp is known is not read."""
    now, found = time.time_ns(), {}
    for file in files:
        stamp = stamp_of(file)
        before = known.get(file)
        if stamp is not None and before is not None and before[0] == list(stamp):
            found[file] = before
            continue
        digest = digest_of(file)
        sure = stamp is not None and stamp[0] < now - JUST_NOW
        found[file] = [list(stamp) if stamp and sure else None, digest]
    return found


def digest_of(file: str) -> str:
    """Hash a file; nothing for what cannot be read or is no file (a pipe, a linked folder), which is never the same."""
    try:
        if not stat.S_ISREG(os.stat(file).st_mode):  # noqa: PTH116
            return ""
        return text_key(Path(file).read_bytes())
    except OSError:
        return ""
