"""Knowing that nothing changed since the last build, without reading the library or starting MkDocs.

After a build, what went in and what came out is kept: each file of the content folder, mkdocs.yml, the program and the
site, by its hash. The next build compares; a file's times, size and inode only decide whether it is hashed again. When
all is as it was, the site is left alone, and the lines of the last build are printed again.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import Any

import yaml

from limberleaf.data_files import MkdocsLoader
from limberleaf.store import Store, text_key
from limberleaf.store.keys import Stamped, code_files, environment, file_stamp, made_stamp
from limberleaf.store.stamps import files_below, stamped

KIND = "build"
LOCK_FILE = "addresses.lock"
"""As in pages/addresses.py, which is not imported here: it takes longer to start than all the rest."""
_UNSURE = {"hooks", "INHERIT", "markdown_extensions", "watch", "extra_templates"}
"""Settings of MkDocs by which files we do not know may come into a site."""


@dataclass(frozen=True)
class Folders:
    """Where a build reads and writes."""

    content: Path
    site: Path
    cache: Path
    config: Path | None = None


def mkdocs_folders(config: Path, site: Path | None) -> Folders | None:
    """Give the folders of a build through MkDocs, or None where other files may have a say (hooks, other plugins)."""
    try:
        settings = yaml.load(config.read_bytes(), MkdocsLoader)  # noqa: S506 - a safe loader
    except (OSError, ValueError, RecursionError, yaml.YAMLError):
        return None
    if (
        not isinstance(settings, dict)
        or _UNSURE & settings.keys()
        or not _is_our_theme(settings.get("theme"))
    ):
        return None
    options = _only_our_plugin(settings.get("plugins"))
    if options is None:
        return None
    base = config.absolute().parent
    named = (
        options.get("content", "content"),
        options.get("cache", ".limberleaf"),
        settings.get("site_dir", "site"),
    )
    content, cache, own_site = (base / str(name) for name in named)
    docs = base / str(settings.get("docs_dir", "docs"))
    if not docs.is_relative_to(content):
        return None
    return Folders(content, site.absolute() if site else own_site, cache, config.absolute())


def _is_our_theme(theme: object) -> bool:
    return theme in ("limberleaf", {"name": "limberleaf"})


def _only_our_plugin(plugins: object) -> dict[str, Any] | None:
    if plugins == ["limberleaf"]:
        return {}
    if isinstance(plugins, list) and len(plugins) == 1 and isinstance(plugins[0], dict):
        plugins = plugins[0]
    if isinstance(plugins, dict) and list(plugins) == ["limberleaf"]:
        options = plugins["limberleaf"]
        return options if isinstance(options, dict) else {}
    return None


@dataclass
class LastBuild:
    """What is known of the last build into a folder. `way` is the way of building."""

    folders: Folders
    way: str
    _store: Store = field(init=False, repr=False)
    _before: Stamped = field(default_factory=dict, repr=False)
    _outputs: Stamped = field(default_factory=dict, repr=False)
    _program: str = ""

    def __post_init__(self) -> None:
        """Open the store."""
        from limberleaf.store import FILE

        self._store = Store(self.folders.cache / FILE)

    def report(self, today: date) -> list[str] | None:
        """Give the lines that the last build printed when everything is as it was then; None when there is work.

        `keep` stores the inputs as they are read here: call this before the build.
        """
        record = self._store.read([self._key], KIND).get(self._key)
        known: dict[str, Any] = record if isinstance(record, dict) else {}
        self._outputs = known.get("outputs", {})
        self._program = _program()
        self._before = stamped(self._inputs(), known.get("inputs", {}))
        if known.get("day") != today.isoformat() or known.get("program") != self._program:
            return None
        if not _same(self._before, known.get("inputs")):
            return None
        outputs = _stamped_below(self.folders.site, self._outputs)
        if not _same(outputs, known.get("outputs")):
            return None
        if (self._before, outputs) != (known["inputs"], known["outputs"]):  # only times differ
            self._write({**known, "inputs": self._before, "outputs": outputs})
        report: list[str] = known["report"]
        return report

    def keep(self, today: date, report: list[str]) -> None:
        """Store what went into a build that went well, what came out, and what it printed.

        A publishing build writes the lock of addresses itself, in a form from which it makes the same site again.
        """
        if self.way != "offline":
            lock = str(self.folders.content / LOCK_FILE)
            self._before.update(stamped(filter(os.path.exists, (lock,)), {}))
        outputs = _stamped_below(self.folders.site, self._outputs)
        self._write(
            {
                "day": today.isoformat(),
                "program": self._program,
                "inputs": self._before,
                "outputs": outputs,
                "report": report,
            }
        )

    def _write(self, record: dict[str, Any]) -> None:
        self._store.keep({self._key: record}, KIND)
        self._store.save()

    @property
    def _key(self) -> str:
        return _key(self.way, self.folders.site)

    def _inputs(self) -> Iterator[str]:
        yield from files_below(self.folders.content)
        if self.folders.config:
            yield str(self.folders.config)


def known_outputs(store: Store, way: str, site: Path) -> Stamped:
    """Give the files that the last build into a folder left there, by path below it."""
    record = store.read([_key(way, site)], KIND).get(_key(way, site))
    outputs: Stamped = record.get("outputs", {}) if isinstance(record, dict) else {}
    return outputs


def _key(way: str, site: Path) -> str:
    return f"{way} {os.path.realpath(site)}"


def _program() -> str:
    """Hash the versions of what we use, and the times of our own files."""
    stamps = [
        (file, file_stamp(file))
        for name in ("limberleaf", "limberleaf.diagrams")
        for file in code_files(name)
    ]
    return text_key(f"{environment()}\n{stamps}")


def _stamped_below(folder: Path, known: Stamped) -> Stamped:
    """Stamp and hash all files of a folder, by path below it."""
    start = len(f"{folder}{os.sep}")
    before = {f"{folder}{os.sep}{path}": one for path, one in known.items()}
    found = stamped(files_below(folder), before, made_stamp)
    return {path[start:]: one for path, one in found.items()}


def _same(found: Stamped, known: object) -> bool:
    if not isinstance(known, dict) or found.keys() != known.keys():
        return False
    return all(one[1] and one[1] == known[file][1] for file, one in found.items())
