"""Trying changes on a copy of the library: the findings they would bring, at the values they are about."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Iterator
from pathlib import Path

from limberleaf.exchange.entries import Change
from limberleaf.findings import Finding
from limberleaf.library import Library, load_library
from limberleaf.library.yaml.source import Loc, compose, loc_at


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
            yield path, loc_at(compose(texts[path]), finding.place.line, finding.place.column), finding


def _known(library: Library) -> set[tuple[str, str, str]]:
    from limberleaf.checks import CHECKS

    found = list(library.findings) + [finding for check in CHECKS for finding in check(library)]
    return {(finding.code, finding.place.path, finding.message) for finding in found}
