"""A baseline: the findings an old library starts with, so that only new ones fail.

A finding is recognised by its code, its file and the words of its line, whatever the line's number; so
moving or reformatting an entry brings nothing back, and changing the line does. The file is plain text, one finding a
line, sorted, so that two editors' changes merge.
"""

from __future__ import annotations

import hashlib
import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

from limberleaf.findings import Finding

_HEAD = (
    "# Findings this library began with: `limberleaf check --baseline` lets them pass, new ones fail.\n"
    "# Fixed ones may stay; `limberleaf check --write-baseline` writes the file again without them.\n"
)
_LINE = re.compile(r"(?P<print>[0-9a-f]{16}) (?P<code>[a-z0-9-]+) (?P<path>\S.*)")


@dataclass(frozen=True)
class Baseline:
    """A baseline as read: its fingerprints, and the numbers of lines that cannot be read."""

    prints: frozenset[str]
    bad_lines: tuple[int, ...] = ()


def fingerprints(findings: Sequence[Finding], root: Path) -> list[str]:
    """Give one fingerprint for each finding, in their order; `root` is the content folder."""
    lines: dict[str, list[str]] = {}
    seen: Counter[str] = Counter()
    found = []
    for finding in findings:
        place = finding.place
        if place.path not in lines:
            lines[place.path] = _lines(root / place.path)
        text = lines[place.path][place.line - 1] if 0 < place.line <= len(lines[place.path]) else ""
        path = PurePosixPath(place.path)
        content = "\x1f".join((finding.code, path.parts[0], path.name, " ".join(text.split())))
        seen[content] += 1
        found.append(hashlib.sha256(f"{content}\x1f{seen[content]}".encode()).hexdigest()[:16])
    return found


def _lines(file: Path) -> list[str]:
    try:
        return file.read_text("utf-8", errors="replace").splitlines()
    except OSError:
        return []


def baseline_text(findings: Sequence[Finding], root: Path) -> str:
    """Write a baseline."""
    prints = zip(fingerprints(findings, root), findings, strict=True)
    rows = sorted(f"{found.place.path}\0{one} {found.code} {found.place.path}\n" for one, found in prints)
    return _HEAD + "".join(row.partition("\0")[2] for row in rows)


def read_baseline(text: str) -> Baseline:
    """Read a baseline; a line that is none is reported, not guessed at."""
    prints: set[str] = set()
    bad = []
    for number, line in enumerate(text.splitlines(), 1):
        if not line.strip() or line.startswith("#"):
            continue
        match = _LINE.fullmatch(line.rstrip())
        if match:
            prints.add(match["print"])
        else:
            bad.append(number)
    return Baseline(frozenset(prints), tuple(bad))


def new_findings(findings: Sequence[Finding], baseline: Baseline, root: Path) -> tuple[list[Finding], int]:
    """Give the findings that are not in the baseline, and how many of the baseline are gone."""
    prints = fingerprints(findings, root)
    fresh = [finding for finding, one in zip(findings, prints, strict=True) if one not in baseline.prints]
    return fresh, len(baseline.prints.difference(prints))
