"""The photo and the clip of an exercise as its page shows them. What a language lacks is left out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from limberleaf.library import Side
from limberleaf.library.models.media import Clip, Photo, SideShown
from limberleaf.library.models.values import ANY_LANGUAGE
from limberleaf.pages.language_edition import LanguageEdition, TextRenderer

_TYPES = {"mp4": "video/mp4", "webm": "video/webm"}


@dataclass(frozen=True)
class PhotoView:
    """A photo: its address, words and size in pixels, and what is said of its side."""

    src: str
    alt: str
    width: int
    height: int
    side: str


@dataclass(frozen=True)
class ClipView:
    """A clip: its file and kind, the picture before it plays, captions, transcript, and what is said of its side."""

    src: str
    type: str
    poster: str
    alt: str
    width: int
    height: int
    captions: str
    captions_language: str
    captions_label: str
    transcript: list[str]
    side: str


@dataclass(frozen=True)
class MediaView:
    """What stands beside the figure."""

    photo: PhotoView | None
    clip: ClipView | None


def media_view(
    edition: LanguageEdition, code: str, side: Side | None, renderer: TextRenderer
) -> MediaView | None:
    """Give the photo and clip of an exercise on the page of a side, or None where it has neither."""
    loaded = edition.context.library.media
    item = loaded.entry.items.get(code) if loaded else None
    if item is None:
        return None
    photo = _photo(edition, item.photo, side, renderer) if item.photo else None
    clip = _clip(edition, item.clip, side, renderer) if item.clip else None
    return MediaView(photo, clip) if photo or clip else None


def _in(text: Mapping[str, str], language: str) -> str:
    return text.get(language) or text.get(ANY_LANGUAGE) or ""


def _photo(
    edition: LanguageEdition, photo: Photo, side: Side | None, renderer: TextRenderer
) -> PhotoView | None:
    found, alt = edition.context.own.files.get(photo.file), _in(photo.alt, edition.language)
    if found is None or not alt:
        return None
    return PhotoView(
        renderer.href(found.address), alt, found.width, found.height, _side_words(edition, photo.side, side)
    )


def _clip(edition: LanguageEdition, clip: Clip, side: Side | None, renderer: TextRenderer) -> ClipView | None:
    own, language = edition.context.own, edition.language
    found, poster = own.files.get(clip.file), own.files.get(clip.poster)
    captions = own.files.get(clip.captions.get(language, ""))
    alt, transcript = _in(clip.alt, language), _in(clip.transcript, language)
    if found is None or poster is None or captions is None or not (alt and transcript):
        return None
    return ClipView(
        src=renderer.href(found.address),
        type=_TYPES[found.kind],
        poster=renderer.href(poster.address),
        alt=alt,
        width=poster.width,
        height=poster.height,
        captions=renderer.href(captions.address),
        captions_language=language,
        captions_label=edition.words.say("media.captions"),
        transcript=[line for line in transcript.splitlines() if line.strip()],
        side=_side_words(edition, clip.side, side),
    )


def _side_words(edition: LanguageEdition, shown: SideShown, side: Side | None) -> str:
    """Say which side is shown, and on the page of the other side that it is not the one to move."""
    if shown == "both":
        return ""
    say = edition.words.say
    return (
        f"{say(f'media.{shown}')} {say('media.other')}"
        if side not in (None, shown)
        else say(f"media.{shown}")
    )
