"""A finding: one thing a check has to say, with its place and a way out.

Every part of Limberleaf that meets bad input makes findings instead of raising: the loader, the checks, the
drawing and the build. A finding is plain data, so that the command line, SARIF and the desk show the same one.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from posixpath import normpath
from typing import Literal

Severity = Literal["error", "warning", "note"]
SEVERITIES: tuple[Severity, ...] = ("error", "warning", "note")


@dataclass(frozen=True)
class Place:
    """Where in the content folder: a path relative to it, line and column counted from 1 (0: the whole file)."""

    path: str
    line: int = 0
    column: int = 0

    def __str__(self) -> str:
        if not self.line:
            return self.path
        return f"{self.path}:{self.line}:{self.column}"


@dataclass(frozen=True)
class Finding:
    """One thing to fix or to know.

    `code` is stable and kebab-case; `message` says what is wrong in plain words; `hint` says a way out.
    """

    severity: Severity
    code: str
    message: str
    hint: str
    place: Place

    def line(self) -> str:
        """Give the finding as one line: place, severity, code, message."""
        return f"{self.place}: {self.severity} [{self.code}] {self.message}"

    def inside(self, folder: str) -> Finding:
        """Give the same finding with its path relative to the folder above the content folder."""
        return replace(self, place=replace(self.place, path=normpath(f"{folder}/{self.place.path}")))


def in_order(findings: Iterable[Finding]) -> list[Finding]:
    """Sort by path, line and column, errors before warnings before notes; drop exact repeats."""
    unique = dict.fromkeys(findings)
    return sorted(
        unique,
        key=lambda f: (
            f.place.path,
            f.place.line,
            f.place.column,
            SEVERITIES.index(f.severity),
            f.code,
            f.message,
        ),
    )


def has_errors(findings: Iterable[Finding]) -> bool:
    """Tell whether any finding is an error."""
    return any(finding.severity == "error" for finding in findings)


def nearest(word: str, known: Iterable[str]) -> str | None:
    """Give the known word that looks most like `word`, or None when none is near."""
    from difflib import get_close_matches

    matches = get_close_matches(word, list(known), n=1, cutoff=0.6)
    return matches[0] if matches else None


def did_you_mean(word: str, known: Iterable[str]) -> str:
    """Say the nearest known word, or list what there is when the list is short."""
    names = list(known)
    match = nearest(word, names)
    if match:
        return f"Did you mean “{match}”?"
    if names and len(names) <= 12:
        return "Known here: " + ", ".join(names) + "."
    return "Check the spelling."
