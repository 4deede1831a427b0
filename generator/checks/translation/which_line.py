"""Where two lines disagree: which of them is the wrong one, so that nobody mends the right one.

Where all translations of a line, two or more, differ from it in the same way, the original is the wrong one. Else it is
the line that changed since it was approved, or that only one person has agreed to.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from limberleaf.clinical.governance.lock import Lock
from limberleaf.clinical.governance.waiting import is_first
from limberleaf.findings import Finding, Place, Severity
from limberleaf.library.yaml.source import Loc


@dataclass(frozen=True)
class Disagreement:
    """Two lines that state something differently: both, the way to them, and what is said of it."""

    language: str
    loc: Loc
    code: str
    says: str
    ours: str
    theirs: str
    here: Place
    severity: Severity = "error"

    def at_translation(self) -> Finding:
        """Say it at the translation."""
        return Finding(
            self.severity,
            self.code,
            f"{self.says}: “{self.theirs.strip()}” translates “{self.ours.strip()}”.",
            "Read both before you correct one: the original may be the wrong one.",
            self.here,
        )

    def at_original(self, place: Place) -> Finding:
        """Say it at the original, which changed last."""
        return Finding(
            self.severity,
            self.code,
            f"{self.says}: “{self.ours.strip()}” changed, and its translation ({self.here.path}) still says "
            f"“{self.theirs.strip()}”.",
            "Is this line wrong? Put back what it said. If it is right, change its translations too.",
            place,
        )


class ChangedLines:
    """The lines of an entry that are not as two people approved them."""

    def __init__(self, lock: Lock | None, present: Any, name: str) -> None:
        """Compare the `present` plain values with what the lock keeps under `name`.

        Where one person approved the whole for the first time, every line waits for the second.
        """
        approved = lock.entries.get(name) if lock else None
        self._lines: frozenset[str] = frozenset()
        if approved is not None:
            here = {*_texts(present)}
            waiting = {text for one in approved.waiting for text in _texts(one.new)}
            known = set() if any(map(is_first, approved.waiting)) else {*_texts(approved.fields)}
            self._lines = frozenset((here - known) | waiting)

    def __contains__(self, text: str) -> bool:
        """Tell whether a line changed."""
        return text in self._lines


def placed(
    differing: Iterable[tuple[Disagreement, Place]],
    languages: set[str],
    original: ChangedLines,
    translations: dict[str, ChangedLines],
) -> Iterator[Finding]:
    """Say each disagreement at the line that is probably the wrong one; each comes with the place of its original."""
    by_line: dict[tuple[Loc, str], list[tuple[Disagreement, Place]]] = {}
    for one, place in differing:
        by_line.setdefault((one.loc, one.code), []).append((one, place))
    for same in by_line.values():
        if len(languages) > 1 and {one.language for one, _ in same} == languages:
            yield _in_all_languages([one for one, _ in same], same[0][1])
            continue
        for one, place in same:
            theirs = translations.get(one.language)
            changed = one.ours in original and not (theirs is not None and one.theirs in theirs)
            yield one.at_original(place) if changed else one.at_translation()


def _in_all_languages(same: list[Disagreement], place: Place) -> Finding:
    one = same[0]
    others = ", ".join(f"{each.language}: “{each.theirs.strip()}”" for each in same)
    return Finding(
        one.severity,
        one.code,
        f"{one.says}: “{one.ours.strip()}” here; all its translations agree with each other ({others}).",
        "This line is probably the wrong one: put back what it said. If it is right, change its translations too.",
        place,
    )


def _texts(value: Any) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for item in value.values():
            yield from _texts(item)
    elif isinstance(value, list):
        for item in value:
            yield from _texts(item)
