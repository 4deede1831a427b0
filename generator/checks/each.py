"""Checks that look at one exercise alone: a preview looks again only at the one that was edited."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import TypeVar

from limberleaf.findings import Finding
from limberleaf.library import Exercise, Library, Loaded, Translation
from limberleaf.library.yaml.source import Source
from limberleaf.store.nodes import each

Part = TypeVar("Part")
Look = Callable[[Loaded[Exercise], str], Iterator[Finding]]
LookAtWords = Callable[[Exercise | Translation, Source, Part, str], Iterator[Finding]]


def each_exercise(library: Library, look: Look, language: str) -> Iterator[Finding]:
    """Give what `look` finds in every exercise that is not retired, given the library's language.

    `look` may see nothing else of the library: what it found is kept until the exercise or the language changes.
    """
    for code, loaded in each(library.exercises):
        if loaded.entry.status != "retired":
            yield from library.read_cache.cached((look, code), (loaded, language), look, loaded, language)


def each_in_its_words(
    library: Library, part: Callable[[Exercise], Part], look: LookAtWords[Part]
) -> Iterator[Finding]:
    """Give what `look` finds in the words of every exercise and of every translation of one that is not retired.

    `look` is given the words, their file, the `part` of the exercise that they are held to, and their language. What it
    found is kept until the words or that part change.
    """
    for code, loaded in each(library.exercises):
        if loaded.entry.status != "retired":
            held_to, language = part(loaded.entry), library.settings.language
            yield from library.read_cache.cached(
                (look, code), (loaded, language), look, loaded.entry, loaded.source, held_to, language
            )
    for (code, language), words in each(library.translations):
        original = library.exercises.get(code)
        if original and words.entry.status != "retired":
            held_to = part(original.entry)
            yield from library.read_cache.cached(
                (look, code, language), (words, held_to), look, words.entry, words.source, held_to, language
            )
