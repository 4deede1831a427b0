"""A file of the clinic's own that a setting or an entry names: it is there, it is what it should be, it is ours."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from pathlib import PurePosixPath

from limberleaf.findings import Finding, Place, did_you_mean
from limberleaf.library import Library
from limberleaf.library.models.values import ANY_LANGUAGE
from limberleaf.library.own_files import KINDS, OwnFile, look_at
from limberleaf.library.yaml.source import Loc, Source

PICTURES = ("svg", "png", "webp", "jpeg")
PHOTOS = ("jpeg", "webp", "png")
_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]*(/[A-Za-z0-9][A-Za-z0-9._-]*)+")
HEAVY = {"jpeg": 400_000, "png": 400_000, "webp": 400_000, "svg": 100_000, "woff2": 200_000, "mp4": 20_000_000,
         "webm": 20_000_000}  # fmt: skip
"""Bytes above which a file is slow on a telephone (common practice, no source)."""


def missing_languages(library: Library, text: Mapping[str, str]) -> str:
    """Name the library's languages that a text of the clinic's own is not written in; "" when there are none."""
    missing = [one for one in library.settings.languages if not {one, ANY_LANGUAGE} & text.keys()]
    return ", ".join(missing)


def own_file(
    library: Library, path: str, source: Source, loc: Loc, kinds: Sequence[str]
) -> tuple[OwnFile | None, list[Finding]]:
    """Look at a stated file; give it when pages can use it, and everything wrong with it, at the place it is stated."""
    place = source.place(loc)
    if "://" in path or path.startswith("//"):
        return None, [
            Finding(
                "error",
                "file-from-elsewhere",
                f"{path} lies on another host, which would learn who opens a page.",
                f"Save the file in {library.root.name}/ (face or media) and name it here by its path there.",
                place,
            )
        ]
    if path not in library.files:
        return None, [_missing(library, path, place)]
    if not _NAME.fullmatch(path):
        return None, [
            Finding(
                "error",
                "file-name-not-plain",
                f"“{path}” has letters that break addresses on some hosts.",
                "Name the file with a to z, digits, hyphens and dots.",
                place,
            )
        ]
    try:
        found = look_at(path, library.files[path])
    except OSError as error:
        return None, [
            Finding(
                "error",
                "cannot-read",
                f"{path} cannot be read: {error.strerror}.",
                "Check the file's rights.",
                place,
            )
        ]
    findings = list(_wrong(found, kinds, place))
    return (None if any(one.severity == "error" for one in findings) else found), findings


def _missing(library: Library, path: str, place: Place) -> Finding:
    near = did_you_mean(path, library.files) if library.files else ""
    return Finding(
        "error",
        "own-file-missing",
        f"There is no file {library.root.name}/{path}.",
        f"Put it there: your own files lie in {library.root.name}/face and {library.root.name}/media. {near}".strip(),
        place,
    )


def _wrong(found: OwnFile, kinds: Sequence[str], place: Place) -> Iterator[Finding]:
    wanted = ", ".join(kind.upper() for kind in kinds)
    if found.kind not in kinds:
        is_ = (
            f"is a file of the kind {found.kind.upper()}"
            if found.kind
            else "is of no kind that pages can show"
        )
        yield Finding(
            "error", "file-kind-wrong", f"{found.path} {is_}.", f"Save it as one of: {wanted}.", place
        )
        return
    ending = PurePosixPath(found.path).suffix.removeprefix(".").lower()
    if ending not in KINDS[found.kind]:
        yield Finding(
            "error",
            "file-kind-differs",
            f"{found.path} is named .{ending} and is in truth {found.kind.upper()}: browsers would not show it.",
            f"End its name in .{KINDS[found.kind][0]}, or save it again as {ending.upper()}.",
            place,
        )
    for fault in found.faults:
        where = fault == "says where it was taken"
        yield Finding(
            "error",
            "photo-says-where" if where else "picture-not-plain",
            f"{found.path} {fault}.",
            "Save it again without its details (metadata): whoever saves the photo could read the place from it."
            if where
            else "Save it again as a plain picture: an SVG without programs and links, or a PNG.",
            place,
        )
    limit = HEAVY.get(found.kind)
    if limit and found.size > limit:
        yield Finding(
            "warning",
            "file-heavy",
            f"{found.path} has {_size(found.size)}; more than {_size(limit)} is slow on a telephone.",
            "Save it smaller: fewer pixels, a lower quality, a shorter clip.",
            place,
        )


def _size(size: int) -> str:
    return f"{size / 1e6:.1f} MB" if size >= 1_000_000 else f"{size / 1e3:.0f} kB"
