"""The clinic's own files beside the entries: a logo, a font, a photo, a clip. Which kind each is, and how large.

A file is told by its first bytes and not by its name: PNG (ISO/IEC 15948), JPEG (ISO/IEC 10918), WebP (RFC 9649), SVG,
ICO, WOFF and WOFF2 (W3C), OpenType (ISO/IEC 14496-22), MP4 (ISO/IEC 14496-12), WebM (RFC 9559) and WebVTT (W3C).
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path, PurePosixPath
from xml.etree import ElementTree

from limberleaf.store.keys import file_stamp

FOLDERS = ("face", "media")
"""Folders of the content folder that hold such files."""

PLACE = "assets/"
"""Where they lie in the site: below the folder of our own assets, where no entry's address can be."""

KINDS: Mapping[str, tuple[str, ...]] = {
    "svg": ("svg",), "png": ("png",), "jpeg": ("jpg", "jpeg"), "webp": ("webp",), "ico": ("ico",),
    "woff2": ("woff2",), "woff": ("woff",), "otf": ("otf",), "ttf": ("ttf",),
    "mp4": ("mp4", "m4v"), "webm": ("webm",), "vtt": ("vtt",), "css": ("css",),
}  # fmt: skip
"""The endings by which hosts tell browsers what a file is."""

_SIGNS: tuple[tuple[str, int, bytes], ...] = (
    ("png", 0, b"\x89PNG\r\n\x1a\n"), ("jpeg", 0, b"\xff\xd8\xff"), ("webp", 8, b"WEBP"), ("ico", 0, b"\0\0\1\0"),
    ("woff2", 0, b"wOF2"), ("woff", 0, b"wOFF"), ("otf", 0, b"OTTO"), ("ttf", 0, b"\0\1\0\0"), ("ttf", 0, b"true"),
    ("mp4", 4, b"ftyp"), ("webm", 0, b"\x1aE\xdf\xa3"), ("vtt", 0, b"WEBVTT"), ("vtt", 0, b"\xef\xbb\xbfWEBVTT"),
)  # fmt: skip
MOST_PIXELS = 40_000_000
"""Pixels above which a picture is refused unopened: the largest photos of telephones in use have about as many."""
_GPS = 0x8825
"""The tag of Exif under which a camera writes where it was (CIPA DC-008)."""


@dataclass(frozen=True)
class OwnFile:
    """A file as pages use it. `path` is relative to the content folder; `width` and `height` are those of a picture."""

    path: str
    file: Path = field(compare=False)
    kind: str
    size: int
    digest: str
    width: int = 0
    height: int = 0
    faults: tuple[str, ...] = ()
    """What is wrong with a picture, each in words that follow its name."""

    @property
    def address(self) -> str:
        """Give its address in the site, with a short hash, so that no browser shows an old one."""
        return f"{PLACE}{self.path}?v={self.digest[:8]}"

    @property
    def site_path(self) -> str:
        """Give its path below the site's folder."""
        return PLACE + self.path


_known: dict[Path, tuple[object, OwnFile]] = {}


def look_at(path: str, file: Path) -> OwnFile:
    """Look at a file once; again only when it changed. Raises OSError when it cannot be read."""
    stamp = file_stamp(file)
    known = _known.get(file)
    if known is None or known[0] != stamp:
        known = (stamp, _looked(path, file))
        _known[file] = known
    return known[1]


def _looked(path: str, file: Path) -> OwnFile:
    data = file.read_bytes()
    kind = _kind(data, PurePosixPath(path).suffix)
    digest = hashlib.blake2b(data, digest_size=16).hexdigest()
    width, height = 0, 0
    faults: tuple[str, ...] = ()
    if kind == "svg":
        width, height, faults = _drawing(data)
    elif kind in ("png", "jpeg", "webp", "ico"):
        width, height, faults = _picture(file)
    return OwnFile(path, file, kind, len(data), digest, width, height, faults)


def _kind(data: bytes, ending: str) -> str:
    for kind, at, sign in _SIGNS:
        if data[at : at + len(sign)] == sign:
            return kind
    if b"<svg" in data[:4096]:
        return "svg"
    return "css" if ending == ".css" else ""


def _picture(file: Path) -> tuple[int, int, tuple[str, ...]]:
    from PIL import Image, UnidentifiedImageError

    bombs = (Image.DecompressionBombError, Image.DecompressionBombWarning)
    try:
        with Image.open(file) as opened:
            place = bool(opened.getexif().get_ifd(_GPS)) if opened.format == "JPEG" else False
            turned = opened.getexif().get(0x0112, 1) in (5, 6, 7, 8)
            size = opened.size[::-1] if turned else opened.size
            if size[0] * size[1] > MOST_PIXELS:  # a few bytes can ask for all the memory there is
                return *size, (f"has {size[0]} x {size[1]} pixels, more than any screen shows",)
            opened.load()
    except (UnidentifiedImageError, OSError, ValueError, SyntaxError, OverflowError, MemoryError, *bombs):
        return 0, 0, ("cannot be opened as a picture",)
    return *size, (("says where it was taken",) if place else ())


_LENGTH = re.compile(r"^\s*([\d.]+)(?:px)?\s*$")
_AWAY = re.compile(rb"url\(\s*['\"]?\s*(?!#|data:|['\")])[^)]|@import", re.IGNORECASE)


def _drawing(data: bytes) -> tuple[int, int, tuple[str, ...]]:
    """Read the size of an SVG, and what in it is no drawing: programs, and files fetched from elsewhere."""
    if b"<!ENTITY" in data or (b"<!DOCTYPE" in data and b"[" in data):
        return 0, 0, ("declares entities, which a drawing does not need",)
    if b"<?xml-stylesheet" in data:
        return 0, 0, ("fetches something from another file",)
    try:
        root = ElementTree.fromstring(data)  # noqa: S314 - without entities, and expat limits what it expands
    except (ElementTree.ParseError, ValueError, LookupError) as error:
        return 0, 0, (f"is no well-formed SVG ({error})",)
    faults = tuple(dict.fromkeys(_foreign(root)))
    if _AWAY.search(data):
        faults = (*faults, "fetches something from another file")
    size = [_LENGTH.match(root.get(name, "")) for name in ("width", "height")]
    box = root.get("viewBox", "").replace(",", " ").split()
    if all(size):
        width, height = (float(one[1]) for one in size if one)
    elif len(box) == 4 and all(re.fullmatch(r"-?[\d.]+(e-?\d+)?", one) for one in box):
        width, height = float(box[2]), float(box[3])
    else:
        return 0, 0, (*faults, "says neither its width and height nor a viewBox")
    return max(round(width), 1), max(round(height), 1), faults


def _foreign(root: ElementTree.Element) -> Iterator[str]:
    for element in root.iter():
        name = str(element.tag).rpartition("}")[2].lower()
        if name in ("script", "foreignobject", "iframe"):
            yield f"holds <{name}>"
        for key, value in element.attrib.items():
            attribute = key.rpartition("}")[2].lower()
            if attribute.startswith("on"):
                yield f"holds a program ({attribute})"
            elif attribute in ("href", "src") and not value.strip().startswith(("#", "data:image/")):
                yield "holds a link" if name == "a" else "fetches something from another file"
            elif attribute == "attributename" and value.strip().lower().rpartition(":")[2].startswith(
                ("on", "href")
            ):
                yield f"holds a program ({name} of {value.strip()})"
            elif attribute == "style" and "\\" in value:
                yield "hides what its style does behind backslashes"
        if name == "style" and "\\" in "".join(element.itertext()):
            yield "hides what its style does behind backslashes"
