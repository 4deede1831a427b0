"""Walking a content folder in sorted order, and what is wrong with its folders and names."""

from __future__ import annotations

import os
from collections.abc import Collection, Iterator
from pathlib import Path

from limberleaf.findings import Finding, Place
from limberleaf.library.files import shown_path

ASKED_FILE = "asked.csv"
"""What people saw in figures, round by round (comprehension/kept.py)."""
OTHER_FILES = {"addresses.lock", "approved.lock", ASKED_FILE}


def files_below(root: Path, settings: Collection[str], findings: list[Finding]) -> Iterator[Path]:
    """Give every file that is not hidden, in order; say folders that cannot be read, links and clashing names."""

    def unreadable(error: OSError) -> None:
        path = shown_path(Path(os.fsdecode(error.filename)), root)
        findings.append(
            Finding(
                "error",
                "cannot-read",
                f"The folder cannot be read: {error.strerror}. Nothing in it is on a page.",
                "Check the folder and its rights.",
                Place(path),
            )
        )

    for folder, names, files in os.walk(root, onerror=unreadable):
        here = Path(folder)
        for name in sorted(names):
            if (here / name).is_symlink():
                findings.append(_linked_folder(here / name, root))
            elif here == root and name in (*OTHER_FILES, *settings):
                findings.append(no_file(here / name, root))
        findings.extend(_clashing(here, root, [*names, *files]))
        names[:] = sorted(name for name in names if not name.startswith("."))
        yield from (here / name for name in sorted(files) if not name.startswith("."))


def no_file(path: Path, root: Path) -> Finding:
    """Say that something that should be a file is none."""
    return Finding(
        "error",
        "cannot-read",
        f"{path.name} is no file.",
        "Take the file back from your version history.",
        Place(shown_path(path, root)),
    )


def _linked_folder(folder: Path, root: Path) -> Finding:
    try:
        inside = folder.resolve().is_relative_to(root.resolve())
    except (OSError, RuntimeError):  # a loop of links
        inside = True
    return Finding(
        "error",
        "folder-is-a-link" if inside else "link-leads-out",
        f"This is a link to a folder{'' if inside else ' outside the content folder'}; nothing in it is read.",
        "Put the folder here instead of the link.",
        Place(shown_path(folder, root)),
    )


def _clashing(here: Path, root: Path, names: list[str]) -> Iterator[Finding]:
    """Say names that differ by case alone: on many disks one of the two files takes the other's place."""
    first: dict[str, str] = {}
    for name in sorted(names):
        other = first.setdefault(name.casefold(), name)
        if other != name:
            yield Finding(
                "error",
                "names-differ-by-case",
                f"“{shown_path(here / name, here)}” and “{shown_path(here / other, here)}” are one name on many disks.",
                "Give one of them another name.",
                Place(shown_path(here / name, root)),
            )
