"""Photos and clips: every file is there and what it should be, with words for all, and nothing changed unseen."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from limberleaf.checks.own_files import PHOTOS, missing_languages, own_file
from limberleaf.findings import Finding, Place, did_you_mean
from limberleaf.library import Library
from limberleaf.library.files import read_text
from limberleaf.library.models.media import Clip, Media, Photo
from limberleaf.library.own_files import OwnFile
from limberleaf.library.yaml.source import Source

CLIPS = ("mp4", "webm")
_TIME = r"(?:(\d{2,}):)?([0-5]\d):([0-5]\d)\.(\d{3})"
_CUE = re.compile(rf"{_TIME}[ \t]+-->[ \t]+{_TIME}(?:[ \t].*)?")
Way = tuple[str, str, str]


def check_media(library: Library) -> Iterator[Finding]:
    """Say what of media.yml pages cannot show, or show to everybody, or show as it was approved."""
    media, source = (library.media.entry, library.media.source) if library.media else (None, None)
    if media is not None and source is not None and library.clinic is not None:
        for code, item in media.items.items():
            if code not in library.exercises:
                yield Finding(
                    "error", "unknown-exercise", f"There is no exercise “{code}”.",
                    did_you_mean(code, library.exercises), source.place(("items", code), key=True),
                )  # fmt: skip
            for name, one in (("photo", item.photo), ("clip", item.clip)):
                if one is not None:
                    yield from _one(library, one, source, ("items", code, name))
    yield from _unused(library, media)


def _one(library: Library, one: Photo | Clip, source: Source, way: Way) -> Iterator[Finding]:
    kinds = CLIPS if isinstance(one, Clip) else PHOTOS
    found, findings = own_file(library, one.file, source, (*way, "file"), kinds)
    yield from findings
    if found and found.digest[:12] != one.fingerprint:
        yield Finding(
            "error",
            "media-changed",
            f"{one.file} is not the file that was stated here.",
            f"Look at it with a clinician, then write `fingerprint: {found.digest[:12]}` and approve media.yml again.",
            source.place((*way, "fingerprint")),
        )
    texts: dict[str, Mapping[str, str]] = {"alt": one.alt}
    if isinstance(one, Clip):
        yield from own_file(library, one.poster, source, (*way, "poster"), PHOTOS)[1]
        for language, path in one.captions.items():
            loc = (*way, "captions", language)
            captions, findings = own_file(library, path, source, loc, ("vtt",))
            yield from findings
            if captions:
                yield from _cues(library, captions)
        texts |= {"captions": one.captions, "transcript": one.transcript}
    for name, text in texts.items():
        missing = missing_languages(library, text)
        if missing:
            yield Finding(
                "warning",
                "media-language-missing",
                f"“{name}” is not there in {missing}: those pages leave this out.",
                f"Add it for {missing}.",
                source.place((*way, name)),
            )


def _cues(library: Library, captions: OwnFile) -> Iterator[Finding]:
    """Say where a WebVTT file (W3C, 4 and 6.1) is none that browsers show: no cues, times that run backwards."""
    text, finding = read_text(captions.file, library.root, captions.path)
    if finding:
        yield finding
        return
    last = count = 0
    for number, line in enumerate(text.splitlines(), 1):
        if "-->" not in line:
            continue
        cue = _CUE.fullmatch(line.strip())
        start, end = (_milliseconds(cue.groups()[at : at + 4]) for at in (0, 4)) if cue else (0, 0)
        count += 1
        if not cue or end <= start or start < last:
            yield Finding(
                "error",
                "captions-times",
                f"“{line.strip()}” is no time of a caption, ends before it begins, or begins before the last one.",
                "Write 00:01.000 --> 00:03.500, each later than the one before.",
                Place(captions.path, number, 1),
            )
        last = max(last, start)
    if not count:
        yield Finding(
            "error", "captions-empty", "There is no caption in this file.",
            "Write what is said, and what is shown where nothing is said.", Place(captions.path, 1, 1),
        )  # fmt: skip


def _milliseconds(parts: tuple[str | None, ...]) -> int:
    hours, minutes, seconds, rest = (int(part or 0) for part in parts)
    return ((hours * 60 + minutes) * 60 + seconds) * 1000 + rest


def _unused(library: Library, media: Media | None) -> Iterator[Finding]:
    stated: set[str] = set()
    for item in media.items.values() if media else ():
        stated |= {item.photo.file} if item.photo else set()
        stated |= {item.clip.file, item.clip.poster, *item.clip.captions.values()} if item.clip else set()
    for path in library.files:
        if path.startswith("media/") and path not in stated:
            hint = "Name it in media.yml, or take it out."
            yield Finding("note", "file-not-used", "This file is not used.", hint, Place(path))
