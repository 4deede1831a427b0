"""The starter library as a clinic has it that approved all of it, with the record of it and no list of approvers.

`limberleaf init` writes drafts. Tests of pages, handouts and the desk need entries that go out. One that edits an entry
and then needs a library without errors has the edit approved: `record`.
"""

from __future__ import annotations

import tempfile
from functools import cache
from pathlib import Path

from limberleaf.clinical.governance.approval import lock_text
from limberleaf.clinical.governance.lock import LOCK
from limberleaf.library import load_library
from limberleaf.starter import starter_files as drafts

REVIEW = "review: {owner: Lead physiotherapist, version: 1}"
SIGNED = "approved_by: Clinical lead, reviewed: 2026-09-01, due: 2028-09-01"
APPROVED = f"review: {{owner: Lead physiotherapist, {SIGNED}, version: 1}}"
APPROVERS = ", approvers: [Clinical lead]}   # the roles that may approve"


def starter_files() -> dict[str, str]:
    """Give every file of the library by its path."""
    return dict(_starter_files())


@cache
def _starter_files() -> dict[str, str]:
    files = {path: approved(text) if path.startswith("content/") else text for path, text in drafts().items()}
    with tempfile.TemporaryDirectory() as folder:
        for path, text in files.items():
            file = Path(folder, path)
            file.parent.mkdir(parents=True, exist_ok=True)
            file.write_text(text, "utf-8")
        record(Path(folder, "content"))
        return {**files, f"content/{LOCK}": Path(folder, "content", LOCK).read_text("utf-8")}


def approve(folder: Path) -> None:
    """Make what `limberleaf init` wrote into the folder such a library."""
    for path, text in starter_files().items():
        if path.startswith("content/"):
            (folder / path).write_text(text, "utf-8")


def record(content: Path) -> None:
    """Have all that is approved in a content folder recorded as it is now, by two people."""
    (content / LOCK).write_text(lock_text(load_library(content), None), "utf-8")


def approved(text: str) -> str:
    """Give a file of the starter as it is once approved."""
    text = text.replace("\nstatus: draft    ", "\nstatus: approved ").replace(
        "\nstatus: draft\n", "\nstatus: approved\n"
    )
    return text.replace(REVIEW, APPROVED).replace(APPROVERS, "}")
