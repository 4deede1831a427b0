"""The starter library as a clinic has it that approved all of it and keeps no list of approvers.

`limberleaf init` writes drafts. Tests of pages, handouts and the desk need entries that go out.
"""

from __future__ import annotations

from pathlib import Path

from limberleaf.starter import starter_files as drafts

REVIEW = "review: {owner: Lead physiotherapist, version: 1}"
SIGNED = "approved_by: Clinical lead, reviewed: 2026-09-01, due: 2028-09-01"
APPROVED = f"review: {{owner: Lead physiotherapist, {SIGNED}, version: 1}}"
APPROVERS = ", approvers: [Clinical lead]}   # the roles that may approve"


def starter_files() -> dict[str, str]:
    """Give every file of the library by its path."""
    return {path: approved(text) if path.startswith("content/") else text for path, text in drafts().items()}


def approve(folder: Path) -> None:
    """Make what `limberleaf init` wrote into the folder such a library."""
    for path, text in starter_files().items():
        if path.startswith("content/"):
            (folder / path).write_text(text, "utf-8")
    (folder / "content/approved.lock").unlink()


def approved(text: str) -> str:
    """Give a file of the starter as it is once approved."""
    text = text.replace("\nstatus: draft    ", "\nstatus: approved ").replace(
        "\nstatus: draft\n", "\nstatus: approved\n"
    )
    return text.replace(REVIEW, APPROVED).replace(APPROVERS, "}")
