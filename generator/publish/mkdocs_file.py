"""What `mkdocs.yml` says that a library must agree with or pages must honour: the site's address, own styles, scripts.

Only this file is read here, not MkDocs: `limberleaf check` must report what a build would refuse. Values behind a tag
(`!ENV`, `!relative`) are known to MkDocs alone and are left to the build.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import urlsplit

import yaml

from limberleaf.checks.own_styles import style_findings
from limberleaf.data_files import MkdocsLoader
from limberleaf.findings import Finding, Place
from limberleaf.library import Library
from limberleaf.library.files import read_text

FILE = "mkdocs.yml"


@dataclass(frozen=True)
class Stated:
    """A text of the file with its line and column, both counted from 1."""

    text: str
    line: int
    column: int


@dataclass(frozen=True)
class MkdocsFile:
    """What concerns us of one `mkdocs.yml`; paths of styles and scripts are relative to the documents folder."""

    path: Path
    site_url: Stated | None = None
    docs_dir: str = "docs"
    theme: str = ""
    styles: tuple[Stated, ...] = ()
    scripts: tuple[Stated, ...] = ()


def read_mkdocs_file(path: Path) -> MkdocsFile:
    """Read the file; one that is absent or no mapping states nothing, and MkDocs itself says what is wrong with it."""
    try:
        node = yaml.compose(path.read_text("utf-8"), MkdocsLoader)
    except (OSError, ValueError, yaml.YAMLError):
        return MkdocsFile(path)
    keys = _mapping(node)
    theme = keys.get("theme")
    docs, name = _texts(keys.get("docs_dir")), _texts(_mapping(theme).get("name", theme))
    return MkdocsFile(
        path,
        next(iter(_texts(keys.get("site_url"))), None),
        docs[0].text if docs else "docs",
        name[0].text if name else "",
        tuple(_texts(keys.get("extra_css"))),
        tuple(_texts(keys.get("extra_javascript"))),
    )


def _mapping(node: yaml.Node | None) -> dict[str, yaml.Node]:
    if not isinstance(node, yaml.MappingNode):
        return {}
    return {key.value: value for key, value in node.value if isinstance(key, yaml.ScalarNode)}


def _texts(node: yaml.Node | None) -> list[Stated]:
    """Give the plain texts of a scalar, of a list, or of the `path` keys of a list."""
    if isinstance(node, yaml.SequenceNode):
        return [text for part in node.value for text in _texts(_mapping(part).get("path", part))]
    if not isinstance(node, yaml.ScalarNode) or not node.tag.startswith("tag:yaml.org") or not node.value:
        return []
    return [Stated(node.value, node.start_mark.line + 1, node.start_mark.column + 1)]


def host_findings(library: Library, file: MkdocsFile, *, site_url: str | None = None) -> Iterator[Finding]:
    """Say where the file and the library differ, and what of it no page of our own theme will honour.

    `site_url` is the address MkDocs settled on, where it did (its file may take it from the environment).
    """
    yield from _address(library, file, site_url)
    if file.theme == "limberleaf":
        yield from _styles(file)
        yield from _scripts(file)
    elif library.clinic and library.settings.face and file.path.exists():
        yield Finding(
            "warning",
            "face-in-other-theme",
            f"The theme {file.theme or 'of MkDocs'} has a logo, colours and a font of its own: `face` is not used.",
            f"Set the face in that theme, or use the theme limberleaf in {FILE}.",
            library.clinic.source.place(("face",)),
        )


def _address(library: Library, file: MkdocsFile, site_url: str | None) -> Iterator[Finding]:
    stated = site_url or (file.site_url.text if file.site_url else None)
    if library.clinic is None or not stated or same_address(stated, library.settings.site):
        return
    place = library.clinic.source.place(("site",))
    where = f"{FILE} line {file.site_url.line}" if file.site_url else FILE
    yield Finding(
        "error",
        "site-address-differs",
        f"The site has two addresses: clinic.yml line {place.line} says {library.settings.site} "
        f"and {where} says {stated}.",
        f"Links and QR codes are made from `site` in clinic.yml. Write the same address as `site_url` in {FILE}.",
        place,
    )


def same_address(one: str, other: str) -> bool:
    """Tell whether two addresses lead to the same place: host in any case, a last slash or none (RFC 3986, 6.2)."""
    parts = [urlsplit(address) for address in (one, other)]
    first, second = ((p.scheme.lower(), p.netloc.lower(), p.path.rstrip("/")) for p in parts)
    return first == second


def _styles(file: MkdocsFile) -> Iterator[Finding]:
    folder = file.path.parent / file.docs_dir
    for stated in file.styles:
        if _elsewhere(stated.text):
            yield Finding(
                "error",
                "style-from-elsewhere",
                f"The style sheet {stated.text} comes from another host; pages ask no other host for anything.",
                f"Save the style sheet in {file.docs_dir}/ and name it here by its path in that folder.",
                _place(stated),
            )
        elif not (folder / stated.text).is_file():
            yield Finding(
                "error",
                "style-missing",
                f"There is no style sheet {file.docs_dir}/{stated.text}.",
                f"Put the file there, or take the line out of `extra_css` in {FILE}.",
                _place(stated),
            )
        else:
            text, finding = read_text(folder / stated.text, folder, stated.text)
            found = [finding] if finding else style_findings(text, stated.text)
            yield from (one.inside(f"../{file.docs_dir}") for one in found)


def _scripts(file: MkdocsFile) -> Iterator[Finding]:
    for stated in file.scripts:
        yield Finding(
            "warning",
            "script-not-loaded",
            f"{stated.text} is not loaded: our pages run no scripts but their own, so that no patient is followed.",
            f"Take the line out of `extra_javascript` in {FILE}, or use another theme and answer for what it loads.",
            _place(stated),
        )


def _elsewhere(address: str) -> bool:
    return "://" in address or address.startswith("//")


def _place(stated: Stated) -> Place:
    return Place(f"../{FILE}", stated.line, stated.column)
