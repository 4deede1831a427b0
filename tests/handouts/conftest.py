"""One edition of the demo library with drawings that cost nothing, one of the starter's, one typesetter."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import pytest
from approved import starter_files

from limberleaf.handouts import Typesetter
from limberleaf.library import Library, load_library
from limberleaf.pages import PanelView, SiteContext
from limberleaf.pages.language_edition import LanguageEdition

ROOT = Path(__file__).resolve().parents[2]
LEG = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {w} 320" width="{w}" height="320" role="img">'
    '<title>{alt}</title><g id="{id}"><path d="M10 310h{floor}" fill="none" stroke="#9a9a9a" stroke-width="2"/>'
    '<circle cx="130" cy="60" r="34" fill="#fff" stroke="#000" stroke-width="3"/>'
    '<path d="M110 100h40v200h-40z" fill="#6a6a6a" stroke="#000" stroke-width="3"/></g></svg>'
)


@dataclass(frozen=True)
class Legs:
    """A simple drawing for each pose, wide or tall by `width`."""

    width: int = 260

    def panels(self, exercise, side, language, side_words):
        alt = f"Person, {side_words['affected']} side"
        return tuple(
            PanelView(self._draw(alt, f"{exercise.code}-{i}"), alt, pose.caption or "")
            for i, pose in enumerate(exercise.figure.poses)
        )

    def thumbnail(self, exercise, language, side_words):
        return self._draw("", f"{exercise.code}-t")

    def motion(self, exercise, side, language, side_words):
        return None

    def _draw(self, alt: str, name: str) -> str:
        return LEG.format(w=self.width, floor=self.width - 20, alt=alt, id=name)


def edition_of(library: Library, width: int = 260) -> LanguageEdition:
    return LanguageEdition(SiteContext(library, Legs(width)), library.settings.language)


@pytest.fixture(scope="session")
def library() -> Library:
    return load_library(ROOT / "content")


@pytest.fixture(scope="session")
def edition(library: Library) -> LanguageEdition:
    return edition_of(library)


@pytest.fixture(scope="session")
def editions(library: Library) -> dict[str, LanguageEdition]:
    context = SiteContext(library, Legs())
    return {language: LanguageEdition(context, language) for language in library.settings.languages}


@pytest.fixture(scope="session")
def starter_edition(tmp_path_factory: pytest.TempPathFactory) -> LanguageEdition:
    folder = tmp_path_factory.mktemp("starter")
    for path, text in starter_files().items():
        file = folder / path
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(text, "utf-8")
    return edition_of(load_library(folder / "content"))


@pytest.fixture(scope="session")
def typesetter() -> Typesetter:
    return Typesetter()
