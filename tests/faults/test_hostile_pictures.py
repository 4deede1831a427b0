"""Pictures made to do harm: each is a fault in words, opened or not, in little time and memory."""

from __future__ import annotations

import struct
import tracemalloc
import zlib
from pathlib import Path

import pytest

from limberleaf.library.own_files import look_at

SVG = '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" viewBox="0 0 9 9">{}</svg>'
LAUGHS = "".join(f'<!ENTITY l{n} "{f"&l{n - 1};" * 10}">' for n in range(1, 9))


def _chunk(name: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))


def _png(width: int, height: int, pixels: bytes, *more: bytes) -> bytes:
    """A PNG (ISO/IEC 15948) of any stated size, whatever its pixels are."""
    head = _chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0))
    return (
        b"\x89PNG\r\n\x1a\n"
        + head
        + b"".join(more)
        + _chunk(b"IDAT", zlib.compress(pixels))
        + _chunk(b"IEND", b"")
    )


HOSTILE: dict[str, bytes] = {
    "entities.svg": f'<!DOCTYPE svg [<!ENTITY l0 "ha">{LAUGHS}]>{SVG.format("<text>&l8;</text>")}'.encode(),
    "outside-entity.svg": f'<!DOCTYPE svg [<!ENTITY e SYSTEM "file:///etc/passwd">]>{SVG.format("&e;")}'.encode(),
    "parameter-entity.svg": f'<!DOCTYPE svg SYSTEM "http://x.test/a.dtd" [ %e; ]>{SVG.format("")}'.encode(),
    "style-sheet.svg": f'<?xml-stylesheet href="https://x.test/a.css"?>{SVG.format("")}'.encode(),
    "link.svg": SVG.format('<a xlink:href="javascript:alert(1)"><rect width="9" height="9"/></a>').encode(),
    "set.svg": SVG.format('<rect><set attributeName="onclick" to="alert(1)"/></rect>').encode(),
    "animated-link.svg": SVG.format('<a><animate attributeName="xlink:href" values="javascript:"/></a>').encode(),
    "escaped.svg": SVG.format(r"<style>rect { fill: \75rl(https://x.test/a) }</style>").encode(),
    "imported.svg": SVG.format('<style>@IMPORT "https://x.test/a.css";</style>').encode(),
    "picture-inside.svg": SVG.format('<image href="https://x.test/a.png"/>').encode(),
    "used.svg": SVG.format('<use href="https://x.test/a.svg#b"/>').encode(),
    "html.svg": SVG.format('<foreignObject><body xmlns="http://www.w3.org/1999/xhtml"/></foreignObject>').encode(),
    "unclosed.svg": b'<svg xmlns="http://www.w3.org/2000/svg"><g>',
    "odd-encoding.svg": b'<?xml version="1.0" encoding="no-such"?><svg xmlns="http://www.w3.org/2000/svg"/>',
    "nothing-in-it.svg": b"<svg",
    "sizeless.svg": b'<svg xmlns="http://www.w3.org/2000/svg" width="1e999" height="nan"/>',
    "endless.png": _png(60_000, 60_000, b""),
    "four-billion.png": _png(2**31 - 1, 2**31 - 1, b""),
    "wide.png": _png(2**31 - 1, 1, b""),
    "empty.png": _png(0, 0, b""),
    "cut-short.png": _png(50, 50, b"\0" * 2550)[:60],
    "no-pixels.png": b"\x89PNG\r\n\x1a\n",
    "text-bomb.png": _png(4, 4, b"\0" * 20, _chunk(b"zTXt", b"a\0\0" + zlib.compress(b"a" * 200_000_000))),
    "cut-short.jpg": b"\xff\xd8\xff\xe0\0\x10JFIF",
    "cut-short.webp": b"RIFF\xff\xff\xff\x7fWEBPVP8X",
    "cut-short.ico": b"\0\0\1\0\xff\xff",
}  # fmt: skip


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_picture_is_a_fault_in_words(tmp_path: Path, name: str) -> None:
    file = tmp_path / name
    file.write_bytes(HOSTILE[name])
    tracemalloc.start()
    found = look_at(f"media/{name}", file)
    _, most = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert found.faults
    assert all("Traceback" not in fault and len(fault) < 200 for fault in found.faults)
    assert most < 30_000_000


def test_a_plain_picture_has_no_fault(tmp_path: Path) -> None:
    for name, data in {
        "plain.svg": SVG.format('<defs><g id="a"/></defs><use href="#a"/><title>\\o/</title>').encode(),
        "plain.png": _png(50, 51, b"\0" * 51 * 51),
    }.items():
        (tmp_path / name).write_bytes(data)
        assert look_at(f"media/{name}", tmp_path / name).faults == ()
