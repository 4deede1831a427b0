"""Sentences that a comma cut in two: in `[Sit tall, then lean.]` the comma makes two items, and no error."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from limberleaf.checks.texts import EntryText, texts_by_file
from limberleaf.findings import Finding
from limberleaf.library import Library

_ENDS = tuple(".!?:;…؟。”\"')")


def check_cut_sentences(library: Library) -> Iterator[Finding]:
    """Find list items that go on, in lower case, where the item before them did not end."""
    for texts in texts_by_file(library):
        yield from library.read_cache.cached(("cut", texts.path), (texts,), _cut, texts)


def _cut(texts: Iterable[EntryText]) -> Iterator[Finding]:
    before = None
    for text in texts:
        last = text.loc[-1]
        follows = before and isinstance(last, int) and before.loc == (*text.loc[:-1], last - 1)
        if follows and before and not before.text.endswith(_ENDS) and text.text[:1].islower():
            yield Finding(
                "error",
                "sentence-cut-at-comma",
                f"“{text.text}” goes on from “{before.text}”: a comma inside [ ] cut the sentence in two.",
                "Put the whole sentence in double quotes, or give each item a line with a dash.",
                text.source.place(text.loc),
            )
        before = text
