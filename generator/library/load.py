"""Reading a content folder into a library of typed entries.

The folder is walked in sorted order; every file is read (source.py), shaped (shape.py) and filed by its code or
name. Nothing stops at the first mistake: a file that cannot be used is left out and its findings are kept.
"""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping
from dataclasses import astuple, dataclass, field
from pathlib import Path
from typing import Any, Generic, ParamSpec, TypeVar

from pydantic import BaseModel

from limberleaf.findings import Finding, Place
from limberleaf.library.files import refused, shown_path
from limberleaf.library.models.clinic import Clinic, Equipment, Words
from limberleaf.library.models.exercise import Exercise, Translation
from limberleaf.library.models.group_words import GROUP_WORDS, GroupWords
from limberleaf.library.models.groups import Caution, Collection, Ladder
from limberleaf.library.models.media import Media
from limberleaf.library.models.plans import Plans
from limberleaf.library.own_files import FOLDERS
from limberleaf.library.prose import ProsePage, read_prose
from limberleaf.library.shape import shape
from limberleaf.library.yaml.source import Source, as_json, from_json, read_source
from limberleaf.store import Store, code_key, text_key
from limberleaf.store.kept import ResultCache, StoredForm
from limberleaf.store.keys import Stamp, file_stamp

Record = TypeVar("Record", bound=BaseModel)
Item = TypeVar("Item")
P = ParamSpec("P")

ENTRY_FOLDERS: Mapping[str, type[BaseModel]] = {
    "exercises": Exercise,
    "ladders": Ladder,
    "collections": Collection,
    "cautions": Caution,
}
SETTINGS: Mapping[str, type[BaseModel]] = {
    "clinic.yml": Clinic,
    "equipment.yml": Equipment,
    "words.yml": Words,
    "plans.yml": Plans,
    "media.yml": Media,
}
ASKED_FILE = "asked.csv"
"""What people saw in figures, round by round (comprehension/kept.py)."""
OTHER_FILES = {"addresses.lock", "approved.lock", ASKED_FILE}
_TRANSLATION = re.compile(r"^(?P<stem>.+)\.(?P<language>[a-z]{2})\.ya?ml$")


_FINDING = StoredForm(
    Finding,
    lambda found: [found.severity, found.code, found.message, found.hint, *astuple(found.place)],
    lambda row: Finding(row[0], row[1], row[2], row[3], Place(*row[4:])),
)


@dataclass(frozen=True)
class Loaded(Generic[Record]):
    """A typed entry and the file it came from."""

    entry: Record
    source: Source

    @property
    def content_key(self) -> str:
        """Name the file and what it says; the entry is what is read from it."""
        return self.source.content_key


class ReadCache:
    """Files as they were read before and what was worked out from them, so that a preview repeats only what changed.

    With a store the values of files without findings are kept for the next build too, by their text.
    """

    def __init__(self, store: Store | None = None) -> None:
        """Begin with what the store keeps."""
        self.store = store or Store()
        self._read: dict[Path, tuple[Stamp, Loaded[Any] | None, list[Finding]]] = {}
        self._results = ResultCache(self.store, _FINDING)

    def cached(
        self,
        what: tuple[Hashable, ...],
        given: tuple[object, ...],
        make: Callable[P, Iterable[Item]],
        *args: P.args,
        **more: P.kwargs,
    ) -> list[Item]:
        """Give all that `make` gave when what it is made from (`given`) was the same, or call it with `args`.

        Findings are kept over builds too, once `save` was called.
        """
        return self._results.cached(what, given, make, *args, **more)

    def save(self) -> None:
        """Hand what was found to the store."""
        self._results.save()

    def values(self, text: str) -> Any:
        """Give the values of a text that was read before without a finding, or None."""
        stored = self.store.read([self._key(text)], "values").get(self._key(text))
        return from_json(stored) if isinstance(stored, str) else None

    def keep_values(self, text: str, value: Any) -> None:
        """Keep the values of a text that was read without a finding."""
        written = as_json(value)
        if written is not None:
            self.store.keep({self._key(text): written}, "values")

    def _key(self, text: str) -> str:
        return text_key(f"{code_key('limberleaf.library')}\n{text}")

    def recall(
        self, file: Path, read: Callable[[], tuple[Loaded[Any] | None, list[Finding]]]
    ) -> tuple[Loaded[Any] | None, list[Finding]]:
        """Give what `read` gave for the same bytes on disk (by times, size and inode), or call it."""
        stamp = file_stamp(file)
        if stamp is None:
            return read()
        known = self._read.get(file)
        if known is None or known[0] != stamp:
            known = (stamp, *read())
            self._read[file] = known
        return known[1], known[2]


@dataclass
class Library:
    """All that a clinic wrote, by code or name, in the order of its files."""

    root: Path
    clinic: Loaded[Clinic] | None = None
    equipment: Loaded[Equipment] | None = None
    words: Loaded[Words] | None = None
    plans: Loaded[Plans] | None = None
    media: Loaded[Media] | None = None
    exercises: dict[str, Loaded[Exercise]] = field(default_factory=dict)
    translations: dict[tuple[str, str], Loaded[Translation]] = field(default_factory=dict)
    group_translations: dict[tuple[str, str, str], Loaded[GroupWords]] = field(default_factory=dict)
    """Translations of ladders, collections and cautions, by folder, id and language."""
    ladders: dict[str, Loaded[Ladder]] = field(default_factory=dict)
    collections: dict[str, Loaded[Collection]] = field(default_factory=dict)
    cautions: dict[str, Loaded[Caution]] = field(default_factory=dict)
    pages: dict[tuple[str, str], ProsePage] = field(default_factory=dict)
    files: dict[str, Path] = field(default_factory=dict)
    """The clinic's own pictures, fonts and clips, by their path below the content folder."""
    page_files: dict[str, Path] = field(default_factory=dict)
    """What lies beside prose pages (a picture, robots.txt), by its path below `pages` and so below the site."""
    findings: list[Finding] = field(default_factory=list)
    read_cache: ReadCache = field(default_factory=ReadCache, repr=False)

    @property
    def settings(self) -> Clinic:
        """Give the clinic's settings; call only when `clinic` was loaded."""
        assert self.clinic is not None  # noqa: S101 - a missing clinic file is an error finding, checked first
        return self.clinic.entry

    def published(self) -> dict[str, Loaded[Exercise]]:
        """Give the exercises whose pages go out, by code."""
        return {code: loaded for code, loaded in self.exercises.items() if loaded.entry.is_published}

    def unread(self, folder: str) -> frozenset[str]:
        """Give the names of files in a folder that are there but could not be read, such as `kn-02` and `kn-02.nl`.

        Each has a finding of its own already, so nothing else may call it gone.
        """
        paths = {one.place.path for one in self.findings if one.severity == "error"}
        here = {path for path in paths if path.startswith(f"{folder}/")}
        if not here:
            return frozenset()
        all_entries: list[Mapping[Any, Any]] = [self.translations, self.group_translations, self.pages]
        all_entries += [getattr(self, name) for name in ENTRY_FOLDERS]
        read = {loaded.source.path for entries in all_entries for loaded in entries.values()}
        return frozenset(Path(path).stem for path in here - read)


def load_library(root: Path, read_cache: ReadCache | None = None) -> Library:
    """Read the content folder at `root`; never raises for what a clinic may have written."""
    library = Library(root, read_cache=read_cache or ReadCache())
    if not root.is_dir():
        library.findings.append(
            Finding(
                "error",
                "no-content",
                f"There is no content folder at {root.name}.",
                "Run this beside `mkdocs.yml`, or start a library with `limberleaf init`.",
                Place(root.name),
            )
        )
        return library
    for file in _files(root, library.findings):
        _take(library, file)
    for name in SETTINGS:
        if name == "clinic.yml" and library.clinic is None and not (root / name).exists():
            library.findings.append(
                Finding(
                    "error",
                    "no-clinic-file",
                    "clinic.yml is missing: pages need the clinic's numbers and pain bands.",
                    "`limberleaf init` writes one to begin from.",
                    Place(name),
                )
            )
    return library


def _files(root: Path, findings: list[Finding]) -> Iterator[Path]:
    def unreadable(error: OSError) -> None:
        path = shown_path(Path(os.fsdecode(error.filename)), root)
        findings.append(
            Finding(
                "error",
                "cannot-read",
                f"The folder cannot be read: {error.strerror}. Nothing in it is on a page.",
                "Check the folder and its rights.",
                Place(path),
            )
        )

    for folder, names, files in os.walk(root, onerror=unreadable):
        here = Path(folder)
        for name in sorted(names):
            if (here / name).is_symlink():
                findings.append(_linked_folder(here / name, root))
            elif here == root and name in (*OTHER_FILES, *SETTINGS):
                findings.append(_no_file(here / name, root))
        findings.extend(_clashing(here, root, [*names, *files]))
        names[:] = sorted(name for name in names if not name.startswith("."))
        yield from (here / name for name in sorted(files) if not name.startswith("."))


def _no_file(path: Path, root: Path) -> Finding:
    return Finding(
        "error",
        "cannot-read",
        f"{path.name} is no file.",
        "Take the file back from your version history.",
        Place(shown_path(path, root)),
    )


def _linked_folder(folder: Path, root: Path) -> Finding:
    try:
        inside = folder.resolve().is_relative_to(root.resolve())
    except (OSError, RuntimeError):  # a loop of links
        inside = True
    return Finding(
        "error",
        "folder-is-a-link" if inside else "link-leads-out",
        f"This is a link to a folder{'' if inside else ' outside the content folder'}; nothing in it is read.",
        "Put the folder here instead of the link.",
        Place(shown_path(folder, root)),
    )


def _clashing(here: Path, root: Path, names: list[str]) -> Iterator[Finding]:
    """Say names that differ by case alone: on many disks one of the two files takes the other's place."""
    first: dict[str, str] = {}
    for name in sorted(names):
        other = first.setdefault(name.casefold(), name)
        if other != name:
            yield Finding(
                "error",
                "names-differ-by-case",
                f"“{shown_path(here / name, here)}” and “{shown_path(here / other, here)}” are one name on many disks.",
                "Give one of them another name.",
                Place(shown_path(here / name, root)),
            )


def _take(library: Library, file: Path) -> None:
    path = file.relative_to(library.root)
    top = path.parts[0]
    if len(path.parts) == 1 and top in SETTINGS:
        loaded = _read(library, file, SETTINGS[top])
        setattr(library, top.removesuffix(".yml"), loaded)
    elif len(path.parts) == 1 and top in OTHER_FILES:
        if not file.is_file():
            library.findings.append(_no_file(file, library.root))
    elif top == "pages" and file.suffix == ".md":
        _take_page(library, file)
    elif top == "pages" and len(path.parts) > 1:
        _take_own(library, file, library.page_files, library.root / top)
    elif top in ENTRY_FOLDERS and file.suffix in (".yml", ".yaml"):
        _take_entry(library, file, top)
    elif top in FOLDERS and len(path.parts) > 1:
        _take_own(library, file, library.files, library.root)
    else:
        library.findings.append(
            Finding(
                "note",
                "file-not-used",
                "This file is not used.",
                "Entries are .yml files in exercises, ladders, collections or cautions; prose is .md in pages; "
                "pictures, fonts and clips lie in face or media.",
                Place(path.as_posix()),
            )
        )


def _read(library: Library, file: Path, model: type[BaseModel]) -> Loaded[Any] | None:
    def read() -> tuple[Loaded[Any] | None, list[Finding]]:
        source, value, findings = read_source(file, library.root, known=library.read_cache.values)
        if (value is None and findings) or any(found.code == "alias" for found in findings):
            return None, findings  # an alias leaves holes, which would be reported again as missing values
        entry, more = shape(model, value, source)
        if entry is not None and not (findings or more or source.known):
            library.read_cache.keep_values(source.text, value)
        return (Loaded(entry, source) if entry is not None and not findings else None), [*findings, *more]

    loaded, findings = library.read_cache.recall(file, read)
    library.findings.extend(findings)
    return loaded


def _take_page(library: Library, file: Path) -> None:
    page, findings = read_prose(file, library.root)
    library.findings.extend(findings)
    if page:
        library.pages[page.name, page.language] = page


def _take_own(library: Library, file: Path, entries: dict[str, Path], base: Path) -> None:
    finding = refused(file, library.root, shown_path(file, library.root))
    if finding:
        library.findings.append(finding)
    else:
        entries[shown_path(file, base)] = file


def _take_entry(library: Library, file: Path, folder: str) -> None:
    match = _TRANSLATION.match(file.name)
    if folder == "exercises" and match:
        loaded = _read(library, file, Translation)
        if loaded:
            _file_once(
                library, library.translations, (loaded.entry.translates.code, match["language"]), loaded
            )
        return
    if match:
        loaded = _read(library, file, GROUP_WORDS[folder])
        if loaded:
            key = (folder, loaded.entry.translates.id, match["language"])
            _file_once(library, library.group_translations, key, loaded)
        return
    loaded = _read(library, file, ENTRY_FOLDERS[folder])
    if loaded is None:
        return
    key = loaded.entry.code if folder == "exercises" else loaded.entry.id
    _file_once(library, getattr(library, folder), key, loaded)
    if key != file.name.split(".")[0]:
        library.findings.append(
            Finding(
                "warning",
                "file-name-differs",
                f"The entry calls itself “{key}”, its file {file.name}.",
                f"Call the file {key}.yml, so that it can be found.",
                loaded.source.place(("code" if folder == "exercises" else "id",)),
            )
        )


def _file_once(library: Library, entries: dict[Any, Loaded[Any]], key: Any, loaded: Loaded[Any]) -> None:
    if key in entries:
        name = key if isinstance(key, str) else f"{key[-2]} in {key[-1]}"
        library.findings.append(
            Finding(
                "error",
                "duplicate-code",
                f"“{name}” is taken already, by {entries[key].source.path}.",
                "Give this entry a code of its own; a code is an address.",
                loaded.source.place(("code",) if hasattr(loaded.entry, "code") else ("id",)),
            )
        )
        return
    entries[key] = loaded
