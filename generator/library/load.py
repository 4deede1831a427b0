"""Reading a content folder into a library of typed entries.

The folder is walked in sorted order; every file is read (source.py), shaped (shape.py) and filed by its code or
name. Nothing stops at the first mistake: a file that cannot be used is left out and its findings are kept.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Hashable, Iterable, Mapping
from dataclasses import astuple, dataclass, field
from functools import cached_property, partial
from pathlib import Path
from typing import Any, ParamSpec, TypeVar

from pydantic import BaseModel

from limberleaf.findings import Finding, Place
from limberleaf.library.files import is_plain, refused, shown_path
from limberleaf.library.loaded import CleanFiles, LazyLoaded, LazySource, Loaded
from limberleaf.library.models.clinic import Clinic, Equipment, Words
from limberleaf.library.models.exercise import Exercise, Translation
from limberleaf.library.models.group_words import GROUP_WORDS, GroupWords
from limberleaf.library.models.groups import Caution, Collection, Ladder
from limberleaf.library.models.media import Media
from limberleaf.library.models.plans import Plans
from limberleaf.library.own_files import FOLDERS
from limberleaf.library.prose import ProsePage, read_prose
from limberleaf.library.shape import shape
from limberleaf.library.walk import OTHER_FILES, files_below, no_file
from limberleaf.library.yaml.source import as_json, from_json, read_source, read_written
from limberleaf.store import Store, code_key, text_key
from limberleaf.store.kept import ResultCache, StoredForm
from limberleaf.store.keys import Stamp, file_stamp

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
_TRANSLATION = re.compile(r"^(?P<stem>.+)\.(?P<language>[a-z]{2})\.ya?ml$")


FINDING_FORM = StoredForm(
    Finding,
    lambda found: [found.severity, found.code, found.message, found.hint, *astuple(found.place)],
    lambda row: Finding(row[0], row[1], row[2], row[3], Place(*row[4:])),
)
"""Findings as they are kept."""


class ReadCache:
    """Files as they were read before and what was worked out from them, so that a preview repeats only what changed.

    With a store the values of files without findings are kept for the next build too, by their text.
    """

    def __init__(self, store: Store | None = None) -> None:
        """Begin with what the store keeps."""
        self.store = store or Store()
        self._read: dict[Path, tuple[Stamp, Loaded[Any] | None, list[Finding]]] = {}
        self._results = ResultCache(self.store, FINDING_FORM)

    @cached_property
    def clean(self) -> CleanFiles:
        """Give the files that were read without a finding."""
        return CleanFiles(self.store, code_key("limberleaf.library"))

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
        return self.values_of(text_key(text))

    def values_of(self, digest: str) -> Any:
        """Give the values of a text by its hash, or None."""
        stored = self.store.read([self._key(digest)], "values").get(self._key(digest))
        return from_json(stored) if isinstance(stored, str) else None

    def keep_values(self, text: str, value: Any) -> bool:
        """Keep the values of a text that was read without a finding; tell whether they can be kept."""
        written = as_json(value)
        if written is not None:
            self.store.keep({self._key(text_key(text)): written}, "values")
        return written is not None

    def _key(self, digest: str) -> str:
        return text_key(f"{code_key('limberleaf.library')}\n{digest}")

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
        return {code: loaded for code, loaded in self.exercises.items() if loaded.is_published}

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
    files = list(files_below(root, SETTINGS, library.findings))
    for file in files:
        _take(library, file)
    library.read_cache.clean.save({str(file) for file in files})
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


def _take(library: Library, file: Path) -> None:
    path = file.relative_to(library.root)
    top = path.parts[0]
    if len(path.parts) == 1 and top in SETTINGS:
        loaded = _read(library, file, SETTINGS[top])
        setattr(library, top.removesuffix(".yml"), loaded)
    elif len(path.parts) == 1 and top in OTHER_FILES:
        if not file.is_file():
            library.findings.append(no_file(file, library.root))
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
    """Read a file; an entry that was read before is only known by its name until somebody looks at it."""
    cache = library.read_cache
    stamp = file_stamp(file)

    def read() -> tuple[Loaded[Any] | None, list[Finding]]:
        known = cache.clean.known(file, stamp) if stamp and is_plain(file) else None
        if known is not None:
            source = LazySource(shown_path(file, library.root), file, library.root, known.digest)
            return LazyLoaded(known, source, partial(_made_again, cache, model, source)), []
        return _read_now(library, file, model, stamp)

    loaded, findings = cache.recall(file, read)
    library.findings.extend(findings)
    return loaded


def _read_now(
    library: Library, file: Path, model: type[BaseModel], stamp: Stamp | None
) -> tuple[Loaded[Any] | None, list[Finding]]:
    cache = library.read_cache
    source, value, findings = read_source(file, library.root, known=cache.values)
    if (value is None and findings) or any(found.code == "alias" for found in findings):
        return None, findings  # an alias leaves holes, which would be reported again as missing values
    entry, more = shape(model, value, source)
    if entry is None or findings:
        return None, [*findings, *more]
    kept = source.known or (not more and cache.keep_values(source.text, value))
    name = _name_of(entry)
    loaded = Loaded(entry, source)
    if kept and name and stamp and stamp == file_stamp(file):
        cache.clean.keep(file, stamp, name, loaded)
    return loaded, more


def _made_again(cache: ReadCache, model: type[BaseModel], source: LazySource) -> BaseModel:
    """Make an entry of the values of its file as they were kept, or of the file when they are gone."""
    value = cache.values_of(source.digest)
    if value is None:
        _, value, _ = read_written(source.path, source.text)
    entry, findings = shape(model, value, source)
    assert entry is not None, findings  # noqa: S101 - the same text was read without a finding by the same program
    return entry


def _name_of(entry: Any) -> str:
    """Give what an entry or translation calls itself; nothing for a file of settings."""
    named = getattr(entry, "translates", entry)
    return str(getattr(named, "code", None) or getattr(named, "id", ""))


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
    models: Mapping[str, type[BaseModel]] = ENTRY_FOLDERS
    if match:
        models = {**GROUP_WORDS, "exercises": Translation}
    loaded = _read(library, file, models[folder])
    if loaded is None:
        return
    key = loaded.known.name if isinstance(loaded, LazyLoaded) else _name_of(loaded.entry)
    if match and folder == "exercises":
        _file_once(library, library.translations, (key, match["language"]), loaded)
        return
    if match:
        _file_once(library, library.group_translations, (folder, key, match["language"]), loaded)
        return
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
