"""Which kind of entry a file is, by its path, and a library with one file replaced by what somebody is writing."""

from __future__ import annotations

import copy
import re
from dataclasses import dataclass
from typing import Any

import yaml
from pydantic import BaseModel

from limberleaf.findings import Finding
from limberleaf.library import Library, Loaded
from limberleaf.library.load import SETTINGS
from limberleaf.library.schemas import SCHEMAS
from limberleaf.library.shape import shape
from limberleaf.library.yaml.source import Source, compose, read_written
from limberleaf.library.yaml.yaml_edit import plain_values, without_none

FOLDERS = {"exercises": "exercise", "ladders": "ladder", "collections": "collection", "cautions": "caution"}
_ENTRY = re.compile(
    r"(?P<folder>exercises|ladders|collections|cautions)/(?:[a-z_]+/)?(?P<name>[a-z0-9-]+)(?:\.(?P<language>[a-z]{2}))?\.ya?ml"
)


@dataclass(frozen=True)
class Target:
    """A file that the desk can write: its path below the content folder and what it holds.

    `kind` is a name of `SCHEMAS`; `name` the code or id its file name gives; `language` that of a translation, or "".
    """

    path: str
    kind: str
    folder: str
    name: str
    language: str = ""

    @property
    def model(self) -> type[BaseModel]:
        """Give the typed model of the file."""
        return SCHEMAS[self.kind]

    @property
    def lock_name(self) -> str:
        """Give the name the lock of approvals knows it by."""
        if self.kind == "translation":
            return f"translations/{self.name}.{self.language}"
        return f"{self.folder}/{self.name}" + (f".{self.language}" if self.language else "")


def target_of(path: str) -> Target | None:
    """Give what a path names; None for a path that the desk does not write."""
    if path == "clinic.yml":
        return Target(path, "clinic", "settings", "clinic")
    found = _ENTRY.fullmatch(path)
    if found is None:
        return None
    kind, language = FOLDERS[found["folder"]], found["language"] or ""
    if language:
        kind = "translation" if kind == "exercise" else f"{kind}-translation"
    return Target(path, kind, found["folder"], found["name"], language)


def read_text_as(target: Target, text: str) -> tuple[Source, Any, list[Finding]]:
    """Read a text as the entry it should be: its source, the typed entry (or None), and what is wrong with it."""
    source, value, findings = read_written(target.path, text)
    if value is None:
        return source, None, findings
    entry, more = shape(target.model, value, source)
    return source, entry, [*findings, *more]


def overlaid(library: Library, target: Target, source: Source, entry: Any) -> Library:
    """Give the library as it would be with this entry; what was read before is shared, nothing is changed."""
    over = copy.copy(library)
    over.findings = [found for found in library.findings if found.place.path != target.path]
    loaded = Loaded(entry, source)
    if target.path in SETTINGS:
        setattr(over, target.path.removesuffix(".yml"), loaded)
        return over
    attribute, key = _place_in(target, entry)
    there = getattr(library, attribute)
    if key in there:  # keep its place in the order of the files
        replaced = {name: loaded if name == key else one for name, one in there.items()}
    else:
        others = {name: one for name, one in there.items() if one.source.path != target.path}
        replaced = {**others, key: loaded}
    setattr(over, attribute, replaced)
    return over


def _place_in(target: Target, entry: Any) -> tuple[str, Any]:
    """Give the attribute of the library that holds an entry, and its key there."""
    if target.kind == "translation":
        return "translations", (entry.translates.code, target.language)
    if target.language:
        return "group_translations", (target.folder, entry.translates.id, target.language)
    return target.folder, entry.code if target.kind == "exercise" else entry.id


def values_of(text: str) -> tuple[Any, str]:
    """Give the plain values of a text, or {} and why it cannot be read."""
    try:
        node = compose(text)
    except yaml.YAMLError:
        return (
            {},
            "This file cannot be read as YAML. Fix it in a text editor, or take back an earlier state.",
        )
    value = plain_values(node) if node is not None else {}
    return (
        (without_none(value), "") if isinstance(value, dict) else ({}, "The file holds no keys and values.")
    )
