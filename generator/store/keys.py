"""The keys of the build graph: hashes of content, of code and data, and of the libraries that code depends on.

A file's times (of writing and of change), size and inode only decide whether it is hashed again; they are never part
of a key.
"""

from __future__ import annotations

import hashlib
import json
import os
import sys
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import fields, is_dataclass
from datetime import date
from fractions import Fraction
from functools import cache
from importlib.util import find_spec
from pathlib import Path, PurePath
from typing import Any

_SUFFIXES = (".py", ".yml", ".csv", ".html", ".css", ".js", ".typ", ".svg", ".txt")
_SIZE = 16
_NAME = 200
"""Characters from which on a name of values is hashed."""
LIBRARIES = (
    "babel", "fontpkg-almarai", "fontpkg-noto-sans-arabic", "fontpkg-source-sans-3", "jinja2", "markdown", "markupsafe",
    "mkdocs", "numpy", "phonenumbers", "pillow", "pydantic", "pydantic-core", "pyyaml", "segno", "typst",
)  # fmt: skip
"""The libraries that decide what is kept, pages, papers and findings: another version of one makes everything again."""


def content_key(*parts: object) -> str:
    """Hash plain values (texts, numbers, lists, mappings) into 32 hexadecimal digits."""
    text = json.dumps(parts, sort_keys=True, ensure_ascii=False, default=str)
    return text_key(text)


def text_key(text: str | bytes) -> str:
    """Hash a text (as UTF-8) or bytes into 32 hexadecimal digits."""
    data = text.encode("utf-8", "surrogatepass") if isinstance(text, str) else text
    return hashlib.blake2b(data, digest_size=_SIZE).hexdigest()


def value_key(value: object) -> str:
    """Hash a value of an entry, typed objects and dataclasses included, into 32 hexadecimal digits."""
    from pydantic_core import to_json  # half of the start of a command that needs no entry

    return text_key(to_json(value))


Stamped = dict[str, list[Any]]
"""By path: time of writing, size and inode (None: hash it), and the hash of the content."""


class NoKeyError(TypeError):
    """Something has no content that could be hashed: what is made from it is not kept over builds."""


def input_key(given: object) -> str:
    """Name the content of plain values, entries and what carries a `content_key`; NoKeyError for anything else.

    Two values of one type with the same name are the same for all that can be made from them.
    """
    if isinstance(given, tuple) and all(type(one) is str or hasattr(one, "content_key") for one in given):
        name = "\n".join(map(_named, given))
    else:
        name = json.dumps(_content(given), ensure_ascii=False)
    return name if len(name) < _NAME else text_key(name)


def _named(one: Any) -> str:
    """Name a text or what carries a key, with its length, so that two names together are never two others."""
    return f"{len(one)} {one}" if type(one) is str else f"={len(one.content_key)} {one.content_key}"


def _content(value: Any) -> Any:
    """Give plain values that differ where the content differs."""
    if value is None or isinstance(value, (str, bool, int, float)):
        return value
    if hasattr(value, "content_key"):
        return ["=", value.content_key]
    kind = type(value).__qualname__
    if isinstance(value, (tuple, list)):
        return [kind, *map(_content, value)]
    if isinstance(value, (set, frozenset)):
        return [kind, *sorted(json.dumps(_content(one)) for one in value)]
    if isinstance(value, Mapping):
        return [kind, *([_content(name), _content(one)] for name, one in value.items())]
    if hasattr(value, "__pydantic_fields__"):
        return [kind, value_key(value)]
    if is_dataclass(value) and not isinstance(value, type):
        return [kind, *(_content(getattr(value, one.name)) for one in fields(value))]
    if isinstance(value, (PurePath, date, Fraction)):
        return [kind, str(value)]
    raise NoKeyError(kind)


JUST_NOW = 2_000_000_000
"""Nanoseconds. A file changed so shortly before it was noted may change again without a new time: it is hashed."""

Stamp = tuple[int, int, int, int]
"""Time of writing, size, inode and time of the last change of state of a file."""


def file_stamp(file: str | os.PathLike[str]) -> Stamp | None:
    """Give what shows whether a file has to be hashed again; None when there is none.

    The time of the last change of its state is in it: a copy that keeps the time of writing cannot set it back.
    """
    try:
        state = os.stat(file)  # noqa: PTH116 - a thousand times a build
    except OSError:
        return None
    return state.st_mtime_ns, state.st_size, state.st_ino, state.st_ctime_ns


def made_stamp(file: str | os.PathLike[str]) -> tuple[int, ...] | None:
    """Give the stamp of a file that a build made: without the time of its state, which each new link to it changes."""
    stamp = file_stamp(file)
    return stamp and stamp[:3]


@cache
def code_key(*packages: str) -> str:
    """Hash the code and data of packages and the versions of what they use, so that a new release makes new results."""
    digest = hashlib.blake2b(environment().encode(), digest_size=_SIZE)
    for package in packages:
        root = _folder(package)
        for file in code_files(package):
            digest.update(file[len(root) :].encode())
            digest.update(Path(file).read_bytes())
    return digest.hexdigest()


@cache
def environment() -> str:
    """Name the versions of Python and of the libraries whose output is kept."""
    installed = _installed()
    return "\n".join([sys.version, *(f"{name} {installed.get(name, '')}" for name in LIBRARIES)])


def _installed() -> dict[str, str]:
    """Give the versions of installed libraries by the names of their folders of metadata (PEP 376)."""
    found: dict[str, str] = {}
    for place in sys.path:
        with suppress(OSError):
            for name in os.listdir(place or "."):  # noqa: PTH208 - names only
                if name.endswith((".dist-info", ".egg-info")):
                    library, _, version = name.rpartition(".")[0].partition("-")
                    found.setdefault(library.lower().replace("_", "-"), version)
    return found


def _folder(package: str) -> str:
    """Give the folder of a package without importing it: the drawing takes longer to start than a build to compare."""
    spec = find_spec(package)
    assert spec and spec.submodule_search_locations  # noqa: S101 - packages of ours
    return spec.submodule_search_locations[0]


def code_files(package: str) -> list[str]:
    """Name the files of code and data of a package, in order."""
    found = []
    for where, folders, names in os.walk(_folder(package)):
        folders[:] = [name for name in folders if name != "__pycache__"]
        found += [os.path.join(where, name) for name in names if name.endswith(_SUFFIXES)]  # noqa: PTH118
    return sorted(found)
