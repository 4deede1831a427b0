"""The clinic's own face: every file is there and plain, every colour can be read, no language goes without."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from limberleaf.checks.own_files import PICTURES, missing_languages, own_file
from limberleaf.checks.own_styles import style_findings
from limberleaf.findings import Finding, Place
from limberleaf.library import Library
from limberleaf.library.colour import TEXT
from limberleaf.library.face_colours import faint_colours, like_a_warning
from limberleaf.library.files import read_text
from limberleaf.library.models.face import Colours, Face, Logo
from limberleaf.library.yaml.source import Loc, Source

FONTS = ("woff2", "woff", "otf", "ttf")
SMALLEST_ICON = 48
"""Pixels of a raster icon: what result lists and start screens ask for at least (common practice, no source)."""


def check_face(library: Library) -> Iterator[Finding]:
    """Say what of the clinic's face cannot be shown, cannot be read, or is used by nothing."""
    if library.clinic is None:
        return
    face, source = library.clinic.entry.face, library.clinic.source
    if face is not None:
        yield from _files(library, face, source)
        if face.colours:
            yield from _colours(face.colours, source)
        if face.logo:
            yield from _alternative(library, face.logo, source)
        yield from _languages(library, face, source)
    yield from _unused(library, face)


def stated_files(face: Face) -> Iterator[tuple[str, Loc, tuple[str, ...]]]:
    """Give every file the face names, where, and the kinds it may be of."""
    if face.logo:
        yield face.logo.file, ("face", "logo", "file"), PICTURES
        if face.logo.dark:
            yield face.logo.dark, ("face", "logo", "dark"), PICTURES
    if face.icon:
        yield face.icon, ("face", "icon"), ("svg", "png", "ico")
    if face.font:
        yield face.font.file, ("face", "font", "file"), FONTS
        if face.font.bold:
            yield face.font.bold, ("face", "font", "bold"), FONTS
    for at, style in enumerate(face.styles):
        yield style, ("face", "styles", at), ("css",)


def _files(library: Library, face: Face, source: Source) -> Iterator[Finding]:
    for path, loc, kinds in stated_files(face):
        found, findings = own_file(library, path, source, loc, kinds)
        yield from findings
        if found and found.kind == "css":
            text, finding = read_text(found.file, library.root, path)
            yield from [finding] if finding else style_findings(text, path)
        if (
            found
            and loc == ("face", "icon")
            and found.kind == "png"
            and min(found.width, found.height) < SMALLEST_ICON
        ):
            yield Finding(
                "warning",
                "icon-small",
                f"The icon has {found.width} by {found.height} pixels.",
                f"Give it {SMALLEST_ICON} or more each way, or an SVG, which is sharp at every size.",
                source.place(loc),
            )


def _colours(colours: Colours, source: Source) -> Iterator[Finding]:
    for one in faint_colours(colours):
        yield Finding(
            "error",
            "colour-too-faint",
            f"{one.colour} cannot be read well on {one.ground}: {one.ratio:.2f} to 1, where text needs {TEXT} "
            "(WCAG 2.2, 1.4.3).",
            f"The nearest colour that can is {one.instead}: write that.",
            source.place(("face", "colours", one.key)),
        )
    if like_a_warning(colours):
        yield Finding(
            "warning",
            "colour-like-warning",
            "This colour looks like the red of the boxes that say stop, so they stand out less.",
            "Choose another for pages, if you can; the logo may keep it.",
            source.place(("face", "colours")),
        )


def _alternative(library: Library, logo: Logo, source: Source) -> Iterator[Finding]:
    if not logo.holds_name:
        return
    clinic = library.settings
    for language in clinic.languages:
        alt = logo.alt.in_language(language).casefold()
        names = (clinic.name.in_language(language), clinic.short_name.in_language(language))
        if not any(name.casefold() in alt for name in names):
            yield Finding(
                "error",
                "logo-without-name",
                f"The logo stands for the clinic's name, and its words ({language}) do not say that name.",
                f"Write “{names[0]}” in `alt`: a screen reader says those words and nothing else (WCAG 2.2, 1.1.1).",
                source.place(("face", "logo", "alt")),
            )


def _languages(library: Library, face: Face, source: Source) -> Iterator[Finding]:
    texts: dict[Loc, Mapping[str, str]] = {}
    if face.logo:
        texts["face", "logo", "alt"] = face.logo.alt
    if face.footer:
        texts["face", "footer"] = face.footer
    for loc, text in texts.items():
        missing = missing_languages(library, text)
        if missing:
            yield Finding(
                "warning",
                "face-language-missing",
                f"{loc[-1]} is not written in {missing}; those pages show it in another language.",
                f"Add a line for {missing}.",
                source.place(loc),
            )


def _unused(library: Library, face: Face | None) -> Iterator[Finding]:
    stated = {path for path, _, _ in stated_files(face)} if face else set()
    for path in library.files:
        if path.startswith("face/") and path not in stated and not _read_by_a_style(library, stated, path):
            yield Finding(
                "note",
                "file-not-used",
                "This file is not used.",
                "Name it under `face:` in clinic.yml, or take it out.",
                Place(path),
            )


def _read_by_a_style(library: Library, stated: set[str], path: str) -> bool:
    sheets = [library.files[one] for one in stated if one.endswith(".css") and one in library.files]
    return any(path.rpartition("/")[2] in read_text(one, library.root, "")[0] for one in sheets)
