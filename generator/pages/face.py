"""The clinic's own face on pages: its files in the site, the logo, the style sheet of its colours and font."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from limberleaf.library import Library
from limberleaf.library.face_colours import PageColours, page_colours
from limberleaf.library.models.face import Face
from limberleaf.library.own_files import OwnFile, look_at
from limberleaf.pages.assets import FOLDER
from limberleaf.store.keys import text_key

STYLE = f"{FOLDER}face.css"
LOGO_HEIGHT = 44
"""Height of the logo in the head, in pixels: no page moves when it comes."""

_FORMATS = {"woff2": "woff2", "woff": "woff", "otf": "opentype", "ttf": "truetype"}
_FAMILY = (
    '"Clinic font", -apple-system, "Segoe UI", Roboto, "Noto Sans", "Liberation Sans", Arial, "Noto Sans Arabic", '
    "sans-serif"
)


@dataclass(frozen=True)
class LogoView:
    """The logo in the head of a page. `width` is that at the height it is shown in; `dark` may be empty."""

    src: str
    dark: str
    alt: str
    width: int
    height: int
    stands_alone: bool


@dataclass(frozen=True)
class OwnFiles:
    """The clinic's own files as pages of one build use them, by their path below the content folder."""

    face: Face | None = None
    files: Mapping[str, OwnFile] = field(default_factory=dict)

    def address(self, path: str | None) -> str:
        """Give the address of a file in the site; empty when there is none."""
        found = self.files.get(path) if path else None
        return found.address if found else ""

    @property
    def has_font(self) -> bool:
        """Tell whether pages load a font of the clinic's."""
        return bool(self.face and self.face.font and self.address(self.face.font.file))

    @property
    def style(self) -> str:
        """Give the style sheet of the clinic's colours and font; empty when it has neither."""
        if self.face is None:
            return ""
        colours = page_colours(self.face.colours) if self.face.colours else None
        return "".join([*(_colour_rules(colours) if colours else ()), *self._font_rules()])

    @property
    def styles(self) -> tuple[str, ...]:
        """Give the addresses of the style sheets that come after ours, in order."""
        own = [self.address(path) for path in (self.face.styles if self.face else ())]
        made = [f"{STYLE}?v={text_key(self.style)[:8]}"] if self.style else []
        return (*made, *(one for one in own if one))

    @property
    def key(self) -> list[str]:
        """Name all that the head and foot of every page take from here, so that other files make them again."""
        return (
            []
            if self.face is None
            else sorted(
                f"{one.path} {one.digest}" for one in self.files.values() if one.path.startswith("face/")
            )
        )

    def logo(self, language: str) -> LogoView | None:
        """Give the logo as the head of a page in this language shows it; addresses are relative to the site."""
        logo = self.face.logo if self.face else None
        found = self.files.get(logo.file) if logo else None
        if logo is None or found is None or not found.height:
            return None
        return LogoView(
            found.address,
            self.address(logo.dark),
            logo.alt.in_language(language),
            max(round(LOGO_HEIGHT * found.width / found.height), 1),
            LOGO_HEIGHT,
            logo.holds_name,
        )

    def outputs(self) -> Iterator[tuple[str, bytes | str]]:
        """Give every file that goes into the site, by its path there."""
        for one in self.files.values():
            yield one.site_path, one.file.read_bytes()
        if self.style:
            yield STYLE, self.style

    def _font_rules(self) -> Iterator[str]:
        font = self.face.font if self.face else None
        if font is None or not self.has_font:
            return
        for path, weight in ((font.file, "100 599" if font.bold else "100 900"), (font.bold, "600 900")):
            found = self.files.get(path) if path else None
            if found:
                relative, form = found.address.removeprefix(FOLDER), _FORMATS[found.kind]
                yield (
                    f'@font-face {{ font-family: "Clinic font"; src: url("{relative}") format("{form}"); '
                    f"font-weight: {weight}; font-display: swap; }}\n"
                )
        yield f"body {{ font-family: {_FAMILY}; }}\n"


def own_files(library: Library) -> OwnFiles:
    """Gather the clinic's own files that pages may use; what cannot be read is left to the checks."""
    found: dict[str, OwnFile] = {}
    for path, file in library.files.items():
        try:
            one = look_at(path, file)
        except OSError:
            continue
        if one.kind:
            found[path] = one
    return OwnFiles(library.settings.face, found)


def _colour_rules(colours: PageColours) -> Iterator[str]:
    """Give the rules for screens alone: on paper every colour of ours is black, and stays it."""
    yield f"@media screen {{ :root {{ --accent: {colours.light}; }} }}\n"
    yield f"@media screen and (prefers-color-scheme: dark) {{ :root {{ --accent: {colours.dark}; }} }}\n"
    if colours.band:
        yield (
            "@media screen { .clinic .plate { background: #fff; } "
            f".top {{ background: {colours.band}; border-color: {colours.band}; }} "
            f'.top, .top a, .top nav a[aria-current="page"] {{ color: {colours.letters}; }} '
            f'.top nav a[aria-current="page"] {{ box-shadow: inset 0 -3px {colours.letters}; }} '
            f".top :focus-visible {{ outline-color: {colours.letters}; }} }}\n"
        )
