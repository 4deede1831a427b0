"""One check of several parts, each a job of its own: what one part reads does not make the others ask again."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

from limberleaf.findings import Finding
from limberleaf.library import Library

Check = Callable[[Library], Iterable[Finding]]


@dataclass(frozen=True)
class Together:
    """Some checks as one, in order."""

    parts: tuple[Check, ...]

    def __call__(self, library: Library) -> Iterator[Finding]:
        """Give what every part finds."""
        for part in self.parts:
            yield from part(library)


def together(*parts: Check) -> Together:
    """Make one check of several."""
    return Together(parts)
