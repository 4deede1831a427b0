"""All pages of the desk: each is made when it is asked for, so that a preview makes only what somebody looks at."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date
from functools import cache, cached_property, partial
from importlib.resources import files

from limberleaf.desk.git import Checkout
from limberleaf.desk.read.entries import DeskEntry, desk_entries
from limberleaf.desk.read.entry_view import EntryView, entry_view
from limberleaf.desk.read.marked import rule_titles
from limberleaf.desk.read.overview import Overview, overview
from limberleaf.desk.read.readings import Readings
from limberleaf.desk.read.sign_off import sign_off
from limberleaf.desk.read.tryout import KIND_WORDS, Tried
from limberleaf.desk.read.versions import history_of
from limberleaf.desk.render import document, fragment
from limberleaf.desk.write.form.form_words import in_form_words
from limberleaf.findings import Finding
from limberleaf.library import Library
from limberleaf.pages.assets import static_assets

TRY = "try.html"
READING_CODES = frozenset({"reading-above-target"})
"""Findings the desk shows in its own way, beside those of the reading rules."""


@cache
def desk_assets() -> dict[str, bytes]:
    """Give the desk's style and scripts by path; the site's own sheet brings type and colours."""
    folder = files("limberleaf.desk").joinpath("assets")
    own = {
        name: folder.joinpath(name).read_bytes() for name in ("desk.css", "overview.js", "marks.js", "try.js")
    }
    shared = {name: static_assets()[name] for name in ("site.css", "icon.svg")}
    return {f"assets/{name}": data for name, data in {**shared, **own}.items()}


@cache
def writing_assets() -> dict[str, bytes]:
    """Give the style and scripts of the writing pages by path, and the pictures of postures and things."""
    own, guide = (
        files("limberleaf.desk.write").joinpath("assets"),
        files("limberleaf.diagrams").joinpath("guide"),
    )
    found = {
        f"assets/{folder}{one.name}": one.read_bytes()
        for folder in ("", "pose/")
        for one in own.joinpath(folder).iterdir()
        if one.name.endswith((".js", ".css"))
    }
    pictures = (one for one in guide.iterdir() if one.name.startswith(("postures-", "props-")))
    return {**found, **{f"assets/guide/{one.name}": one.read_bytes() for one in pictures}}


class Desk:
    """The desk over one state of a library; `live` adds the try-out box, which needs somebody to answer."""

    def __init__(
        self,
        library: Library,
        findings: Sequence[Finding],
        today: date,
        readings: Readings,
        *,
        live: bool = False,
        writes: bool = False,
    ) -> None:
        """Take a library that has its settings, and all findings on it."""
        readings.follow(library)
        self.library, self.today = library, today
        self.findings = [in_form_words(one) for one in findings]
        self.readings, self.live, self.writes = readings, live, writes

    @cached_property
    def entries(self) -> tuple[DeskEntry, ...]:
        """Give every page of the library."""
        return desk_entries(self.library, self.today)

    @cached_property
    def overview(self) -> Overview:
        """Give the overview; pages the store does not know are read for it."""
        sums = self.readings.sums([entry.wording for entry in self.entries])
        return overview(self.library, self.entries, sums, self.findings)

    @cached_property
    def checkout(self) -> Checkout:
        """Give the git checkout the content folder lies in."""
        return Checkout.of(self.library.root)

    @cached_property
    def _makers(self) -> dict[str, Callable[[], str]]:
        makers: dict[str, Callable[[], str]] = {"index.html": self._index}
        if self.live:
            makers[TRY] = self._try
        if self.writes:
            makers["write/index.html"] = partial(self._write, "write/index.html", "start.js")
            makers["write/edit.html"] = partial(self._write, "write/edit.html", "write.js")
        for entry in self.entries:
            makers[entry.address] = partial(self._entry, entry)
            makers[entry.sheet] = partial(self._sheet, entry)
        return makers

    @property
    def paths(self) -> list[str]:
        """Name every page and file, the overview first."""
        return [*self._makers, *desk_assets(), *(writing_assets() if self.writes else ())]

    def file(self, path: str) -> str | bytes | None:
        """Make a page, or give a file; None for a path the desk does not have."""
        maker = self._makers.get(path)
        if maker:
            return maker()
        return desk_assets().get(path) or (writing_assets().get(path) if self.writes else None)

    def files(self) -> dict[str, str | bytes]:
        """Make everything, by path."""
        contents = {path: self.file(path) for path in self.paths}
        return {path: data for path, data in contents.items() if data is not None}

    def view(self, entry: DeskEntry) -> EntryView:
        """Give the view of an entry."""
        own = [
            found
            for found in self.findings
            if found.place.path == entry.path and found.code not in READING_CODES | rule_titles().keys()
        ]
        past = history_of(self.library, entry, self.checkout, self.readings)
        return entry_view(self.library, entry, self.readings, own, past)

    def tried(self, answer: Tried) -> str:
        """Give the answer of the try-out box as HTML."""
        return fragment("tried.html", t=answer)

    def _index(self) -> str:
        return self._document(
            "overview.html", "index.html", "Editor's desk", ("overview.js",), v=self.overview
        )

    def _entry(self, entry: DeskEntry) -> str:
        scripts = ("marks.js", "try.js") if self.live else ("marks.js",)
        return self._document("entry.html", entry.address, entry.title, scripts, v=self.view(entry))

    def _sheet(self, entry: DeskEntry) -> str:
        sheet = sign_off(self.view(entry))
        return self._document("sign_off.html", entry.sheet, f"Sign-off sheet: {entry.title}", (), v=sheet)

    def _try(self) -> str:
        return self._document("try.html", TRY, "Try out wording", ("marks.js", "try.js"))

    def _write(self, path: str, script: str) -> str:
        return self._document(
            "write.html", path, "Write", (script,), styles=("write.css",), modules=(script,)
        )

    def _document(
        self, template: str, path: str, title: str, scripts: Sequence[str], **values: object
    ) -> str:
        clinic = self.library.settings
        return document(
            template, path, title, scripts,
            live=self.live, writes=self.writes, today=self.today, clinic=clinic, kinds=KIND_WORDS,
            clinic_name=clinic.short_name.in_language(clinic.language), **{"styles": (), "modules": (), **values},
        )  # fmt: skip


def desk_files(
    library: Library, findings: Sequence[Finding], today: date, readings: Readings | None = None
) -> dict[str, str | bytes]:
    """Give every file of the desk by path, to be written to a folder: without the try-out box."""
    return Desk(library, findings, today, readings or Readings()).files()
