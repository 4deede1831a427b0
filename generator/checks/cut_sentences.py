"""Sentences that a comma cut in two: in `[Sit tall, then lean.]` the comma makes two items, and no error."""

from __future__ import annotations

from collections.abc import Iterator

from generator.checks.texts import entry_texts
from generator.findings import Finding
from generator.library import Library

_ENDS = tuple(".!?:;…؟。”\"')")


def check_cut_sentences(library: Library) -> Iterator[Finding]:
    """Find list items that go on, in lower case, where the item before them did not end."""
    before = None
    for text in entry_texts(library):
        follows = (
            before is not None
            and before.source is text.source
            and isinstance(text.loc[-1], int)
            and before.loc == (*text.loc[:-1], text.loc[-1] - 1)
        )
        if follows and before and not before.text.endswith(_ENDS) and text.text[:1].islower():
            yield Finding(
                "error",
                "sentence-cut-at-comma",
                f"“{text.text}” goes on from “{before.text}”: a comma inside [ ] cut the sentence in two.",
                "Put the whole sentence in double quotes, or give each item a line with a dash.",
                text.source.place(text.loc),
            )
        before = text
