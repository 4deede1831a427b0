"""Photos and clips: what is missing, changed or without words is named; what is whole stands beside the figure.

Sources: WebVTT (W3C), 4 and 6.1, for cue times; WCAG 2.2, 1.1.1, 1.2.1, 1.2.2: words, transcript, captions.
"""

from __future__ import annotations

from datetime import date
from html import unescape
from pathlib import Path

import html5lib
import pytest
from approved import record
from conftest import tree
from PIL import Image

from limberleaf.checks.media import check_media
from limberleaf.library import load_library
from limberleaf.library.own_files import look_at
from limberleaf.publish.plain import write_site

CUES = "WEBVTT\n\n00:00.000 --> 00:02.000\nLie on your back.\n\n00:02.000 --> 00:04.500\nSlide your heel.\n"


def put(content: Path, *, find: str = "", instead: str = "") -> None:
    """Write a photo and a clip beside kn-01, with one slip."""
    folder = content / "media"
    folder.mkdir(exist_ok=True)
    for name in ("kn-01.jpg", "poster.jpg"):
        Image.new("RGB", (640, 360), "white").save(folder / name)
    (folder / "kn-01.mp4").write_bytes(b"\0\0\0\x18ftypmp42" + bytes(200))
    (folder / "kn-01.en.vtt").write_text(CUES, "utf-8")
    photo, clip = (look_at(f"media/{name}", folder / name).digest[:12] for name in ("kn-01.jpg", "kn-01.mp4"))
    text = f"""items:
  kn-01:
    photo:
      file: media/kn-01.jpg
      alt: A woman lies on a bed, one heel near her hip
      side: left
      fingerprint: {photo}
    clip:
      file: media/kn-01.mp4
      poster: media/poster.jpg
      alt: She slides her heel in and out
      captions: {{en: media/kn-01.en.vtt}}
      transcript: She lies on her back. She slides her left heel towards her and back.
      side: left
      fingerprint: {clip}
"""
    assert find in text
    (content / "media.yml").write_text(text.replace(find, instead, 1), "utf-8")


def found(content: Path) -> list[tuple[str, str, int]]:
    library = load_library(content)
    every = [*library.findings, *check_media(library)]
    return [(one.code, one.place.path, one.place.line) for one in every]


def test_a_photo_and_a_clip_stand_beside_the_figure_with_words_for_all(content: Path, tmp_path: Path) -> None:
    put(content)
    assert found(content) == []
    record(content)
    pages, findings = write_site(content, tmp_path / "site", today=date(2026, 9, 1), cache=None)
    assert pages, findings
    site = tree(tmp_path / "site")
    left, right = (unescape(site[f"kn-01/{side}/index.html"].decode()) for side in ("left", "right"))
    html5lib.HTMLParser(strict=True).parse(site["kn-01/left/index.html"].decode())
    for page in (left, right):
        assert 'alt="A woman lies on a bed, one heel near her hip" width="640" height="360"' in page
        assert '<track kind="captions" src="../../assets/media/kn-01.en.vtt?v=' in page
        assert 'preload="none"' in page
        assert "autoplay" not in page
        assert "She slides her left heel towards her and back." in page
        assert "media-src 'self';" in page
    assert "Do it on your other side." not in left
    assert right.count("This shows the left side. Do it on your other side.") == 2
    assert "media-src" not in site["kn-02/index.html"].decode()
    assert site["assets/media/kn-01.en.vtt"].decode() == CUES
    assert site["assets/media/kn-01.mp4"][4:8] == b"ftyp"


@pytest.mark.parametrize(
    ("find", "instead", "code", "line"),
    [
        ("  kn-01:", "  kn-77:", "unknown-exercise", 2),
        ("media/kn-01.jpg", "media/kn-01.jgp", "own-file-missing", 4),
        ("media/kn-01.jpg", "https://photos.example/1.jpg", "file-from-elsewhere", 4),
        ("      alt: A woman lies on a bed, one heel near her hip\n", "", "missing-key", 3),
        ("side: left", "side: front", "not-a-choice", 6),
        ("media/kn-01.mp4", "media/kn-01.jpg", "file-kind-wrong", 9),
        ("      poster: media/poster.jpg\n", "", "missing-key", 8),
        ("      captions: {en: media/kn-01.en.vtt}\n", "", "missing-key", 8),
        ("captions: {en: media/kn-01.en.vtt}", "captions: {nl: media/kn-01.en.vtt}", "media-language-missing", 12),
        ("captions: {en: media/kn-01.en.vtt}", "captions: {en: media/poster.jpg}", "file-kind-wrong", 12),
        ("      transcript: She lies", "      # transcript: She lies", "missing-key", 8),
    ],
)  # fmt: skip
def test_a_slip_is_named_at_its_line(content: Path, find: str, instead: str, code: str, line: int) -> None:
    put(content, find=find, instead=instead)
    named = found(content)
    assert line in {at for one, path, at in named if path == "media.yml" and one == code}, named


def test_another_file_of_the_same_name_is_noticed(content: Path) -> None:
    put(content)
    Image.new("RGB", (640, 360), "black").save(content / "media/kn-01.jpg")
    assert ("media-changed", "media.yml", 7) in found(content)


def test_a_photo_that_says_where_it_was_taken_is_refused(content: Path) -> None:
    put(content)
    exif = Image.Exif()
    exif.get_ifd(0x8825)[1] = "N"
    exif[0x8825] = {1: "N", 2: (54.0, 36.0, 0.0)}
    Image.new("RGB", (640, 360)).save(content / "media/kn-01.jpg", exif=exif)
    assert ("photo-says-where", "media.yml", 4) in found(content)


@pytest.mark.parametrize(
    ("text", "code", "line"),
    [
        ("WEBVTT\n\n", "captions-empty", 1),
        (CUES.replace("00:02.000\nLie", "00:00.000\nLie"), "captions-times", 3),
        (CUES.replace("00:02.000 --> 00:04.500", "00:02,000 --> 00:04,500"), "captions-times", 6),
        ("WEBVTT\n\n00:05.000 --> 00:06.000\nA\n\n00:01.000 --> 00:02.000\nB\n", "captions-times", 6),
    ],
)
def test_captions_that_no_browser_shows_are_named_at_their_line(
    content: Path, text: str, code: str, line: int
) -> None:
    put(content)
    (content / "media/kn-01.en.vtt").write_text(text, "utf-8")
    assert (code, "media/kn-01.en.vtt", line) in found(content)


def test_a_file_nothing_names_is_a_note(content: Path) -> None:
    put(content)
    (content / "media/old.jpg").write_bytes((content / "media/poster.jpg").read_bytes())
    assert found(content) == [("file-not-used", "media/old.jpg", 0)]
