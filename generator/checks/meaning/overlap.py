"""How much two English lines share: the words that say what a line is about, by their beginnings."""

from __future__ import annotations

import re
from functools import cache
from typing import Literal

from limberleaf.clinical.text_facts import words_of
from limberleaf.data_files import data_of

_BLANK = re.compile(r"\{[a-z_]+\}")


@cache
def content_words(text: str, of: Literal["captions", "rules"]) -> frozenset[str]:
    """Give the first five letters of each longer word, so that “bend” and “bends” are one; small words are left out."""
    small = data_of(__package__, "compared_words.yml")["not_compared"][of]
    words = words_of(_BLANK.sub(" ", text))
    return frozenset(word[:5] for word in words if len(word) > 3 and word not in small)
