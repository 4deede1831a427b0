"""Publishing in a child process that kills itself at a change of the disk.

The children are forked from a small process that has loaded this file and little else: to fork one that has run
hundreds of tests takes longer than what the child does.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
import sys
from functools import cache
from multiprocessing import forkserver
from multiprocessing.context import ForkServerContext
from pathlib import Path

import pytest
from faults.test_interrupted import Refusing, publish

from limberleaf.publish import swap


@cache
def children() -> ForkServerContext:
    """Start the small process; it finds what it is to load as this one does."""
    context = multiprocessing.get_context("forkserver")
    context.set_forkserver_preload([__name__])
    with pytest.MonkeyPatch.context() as patched:
        patched.setenv("PYTHONPATH", os.pathsep.join(sys.path))
        forkserver.ensure_running()
    return context


class Dying(Refusing):
    """Dies at the change after `allowed` of them."""

    def _ask(self, name: str) -> None:
        self.count += 1
        if self.count == self._allowed + 1:
            os.kill(os.getpid(), signal.SIGKILL)


def _publish(site: Path, lock: Path, files: dict[str, str | bytes], allowed: int, fallback: bool) -> None:
    patched = pytest.MonkeyPatch()
    if fallback:
        patched.setattr(swap, "_exchange", lambda *_: False)
    Dying(patched, allowed, 0, lasting=False)
    failed = publish(site, lock, files)
    os._exit(int(failed))


def killed(site: Path, lock: Path, files: dict[str, str | bytes], allowed: int, *, fallback: bool) -> bool:
    """Publish files in a child that dies at a change of the disk; tell whether it did."""
    process = children().Process(target=_publish, args=(site, lock, files, allowed, fallback))
    process.start()
    process.join()
    assert process.exitcode in (0, -signal.SIGKILL), process.exitcode
    return process.exitcode != 0
