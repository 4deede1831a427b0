"""The fonts of handouts: packaged families, or a folder the clinic names.

Three families under the SIL Open Font License 1.1 come as Python packages: Source Sans 3 (Latin, Greek, Cyrillic),
Almarai (Arabic) and Noto Sans Arabic for the letters of other languages in that script. Almarai comes first because
its letters are whole: Noto's are built of a body and dots, which readers of PDF take for two letters. No system font
is ever used, so that a handout looks the same on every machine; a letter that no font has is refused (typeset.py),
never replaced by an empty box.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from pathlib import Path

import typst

from limberleaf.findings import Finding, Place

PACKAGES = ("fontpkg_source_sans_3", "fontpkg_almarai", "fontpkg_noto_sans_arabic")
"""Wheels of the `fontpkg` project on PyPI; each holds a `files` folder of TrueType fonts."""

FAMILIES = ("Source Sans 3", "Almarai", "Noto Sans Arabic")
"""What templates ask for, in order: the first family that has a letter gives it."""


@dataclass(frozen=True)
class FontSet:
    """Fonts that were found: what typst takes, and the families in the order templates ask for them."""

    fonts: typst.Fonts
    families: tuple[str, ...]
    folders: tuple[Path, ...]


def packaged_folders() -> list[Path]:
    """Give the folders of the packaged families that are installed."""
    found = []
    for package in PACKAGES:
        try:
            folder = Path(str(files(package))) / "files"
        except ModuleNotFoundError:
            continue
        if folder.is_dir():
            found.append(folder)
    return found


@lru_cache(maxsize=8)
def find_fonts(folder: Path | None = None) -> FontSet:
    """Gather the fonts: those of `folder` first, then the packaged ones. Its families may be none at all."""
    folders = [*([folder] if folder and folder.is_dir() else []), *packaged_folders()]
    fonts = typst.Fonts(
        include_system_fonts=False,
        include_embedded_fonts=False,
        font_paths=[str(one) for one in folders],
    )
    return FontSet(fonts, _in_order(fonts.families(), folder, fonts), tuple(folders))


def _in_order(families: Sequence[str], folder: Path | None, fonts: typst.Fonts) -> tuple[str, ...]:
    own: dict[str, None] = {}
    if folder:
        inside = str(folder)
        own = dict.fromkeys(
            info.family for info in fonts.fonts() if info.path and str(info.path).startswith(inside)
        )
    rest = [family for family in FAMILIES if family in families and family not in own]
    return (*sorted(own), *rest)


def font_findings(found: FontSet, folder: Path | None = None) -> list[Finding]:
    """Say when the folder is not there, or when there is no font at all."""
    findings = []
    if folder and not folder.is_dir():
        findings.append(
            Finding(
                "error",
                "no-font-folder",
                f"There is no font folder at {folder}.",
                "Name a folder with .ttf or .otf files, or leave --fonts out.",
                Place(str(folder)),
            )
        )
    if not found.families:
        findings.append(
            Finding(
                "error",
                "no-fonts",
                "No font was found for handouts.",
                "Install fontpkg-source-sans-3, or name a folder of .ttf files with --fonts.",
                Place(str(folder or "")),
            )
        )
    return findings
