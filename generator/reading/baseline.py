"""Lets an old library adopt the rules: marks that were there before are known by their fingerprints.

A fingerprint is made of the rule, the place the caller names and the words of the marked sentence, not of
offsets, so that moving or reformatting a text brings no old mark back, and changing its sentence does.
"""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Collection

from limberleaf.reading.marks import Mark
from limberleaf.reading.reading import Reading


def fingerprints(reading: Reading, place: str = "") -> tuple[str, ...]:
    """One fingerprint for each mark, in their order; `place` names the text, such as `knee/kn-03#steps`."""
    seen: Counter[str] = Counter()
    found: list[str] = []
    for mark in reading.marks:
        content = "\x1f".join((place, mark.rule, _words(reading, mark), _marked(reading, mark)))
        seen[content] += 1
        found.append(hashlib.sha256(f"{content}\x1f{seen[content]}".encode()).hexdigest()[:16])
    return tuple(found)


def new_marks(reading: Reading, known: Collection[str], place: str = "") -> tuple[Mark, ...]:
    """The marks whose fingerprints are not in the baseline."""
    marks = zip(reading.marks, fingerprints(reading, place), strict=True)
    return tuple(mark for mark, fingerprint in marks if fingerprint not in known)


def _marked(reading: Reading, mark: Mark) -> str:
    return " ".join(reading.blocks[mark.block].text[mark.start : mark.end].lower().split())


def _words(reading: Reading, mark: Mark) -> str:
    """The words of the sentences that a mark touches."""
    return " ".join(
        token.text.lower()
        for sentence in reading.sentences
        if sentence.block == mark.block and sentence.start < mark.end and mark.start < sentence.end
        for token in sentence.words
    )
