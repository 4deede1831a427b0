"""Trying changes on a copy of the library: the findings they would bring, at the values they are about."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Iterator
from pathlib import Path

import yaml

from limberleaf.exchange.entries import Change
from limberleaf.findings import Finding
from limberleaf.library import Library, load_library
from limberleaf.library.source import compose

Loc = tuple[str | int, ...]


def tried(library: Library, changes: list[Change]) -> Iterator[tuple[str, Loc, Finding]]:
    """Give each finding on a changed file that was not there before, with its path and the place of its value.

    Figures and reading levels are left to `limberleaf check`: they take longer than everything else together.
    """
    from limberleaf.checks import CHECKS

    with tempfile.TemporaryDirectory() as folder:
        trial = Path(folder) / "content"
        shutil.copytree(library.root, trial, ignore=shutil.ignore_patterns(".*"))
        for change in changes:
            file = trial / change.path
            file.parent.mkdir(parents=True, exist_ok=True)
            file.write_bytes(change.after.encode())
        after = load_library(trial)
    before = _known(library)
    texts = {change.path: change.after for change in changes}
    found = list(after.findings) + [finding for check in CHECKS for finding in check(after)]
    for finding in found:
        path = finding.place.path
        if path in texts and (finding.code, path, finding.message) not in before:
            yield path, loc_at(texts[path], finding.place.line, finding.place.column), finding


def _known(library: Library) -> set[tuple[str, str, str]]:
    from limberleaf.checks import CHECKS

    found = list(library.findings) + [finding for check in CHECKS for finding in check(library)]
    return {(finding.code, finding.place.path, finding.message) for finding in found}


def loc_at(text: str, line: int, column: int) -> Loc:
    """Give the keys and numbers that lead to the value at a line and column (from 1); () when there is none."""
    node = compose(text)
    loc: list[str | int] = []
    at = (line - 1, column - 1)
    while isinstance(node, yaml.CollectionNode):
        inside = _inside(node, at)
        if inside is None:
            break
        step, node = inside
        loc.append(step)
    return tuple(loc)


def _inside(node: yaml.CollectionNode, at: tuple[int, int]) -> tuple[str | int, yaml.Node] | None:
    """Give the last part of a mapping or list that begins at or before a place."""
    if isinstance(node, yaml.MappingNode):
        parts = [
            ((key.start_mark.line, key.start_mark.column), key.value, child) for key, child in node.value
        ]
    else:
        parts = [
            ((child.start_mark.line, child.start_mark.column), index, child)
            for index, child in enumerate(node.value)
        ]
    begun = [(step, child) for start, step, child in parts if start <= at]
    return begun[-1] if begun else None
