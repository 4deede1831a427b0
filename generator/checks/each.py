"""Checks that look at one exercise alone: a preview looks again only at the one that was edited."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from limberleaf.findings import Finding
from limberleaf.library import Exercise, Library, Loaded

Look = Callable[[Loaded[Exercise], str], Iterator[Finding]]


def each_exercise(library: Library, look: Look, language: str) -> Iterator[Finding]:
    """Give what `look` finds in every exercise that is not retired, given the library's language.

    `look` may see nothing else of the library: what it found is kept until the exercise or the language changes.
    """
    for code, loaded in library.exercises.items():
        if loaded.entry.status != "retired":
            yield from library.read_cache.cached((look, code), (loaded, language), look, loaded, language)
