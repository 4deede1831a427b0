"""Syllables in languages whose spelling shows them: one vowel sound, one syllable.

`data/languages.yml` gives each language a pattern that matches one vowel sound as written, longest first,
and, where a language has them, letters that are silent. The agreement with hyphenation patterns is measured
in `tests/outside/test_reading_languages.py`.
"""

from __future__ import annotations

import re
from functools import cache

from limberleaf.reading.words.languages import language
from limberleaf.reading.words.syllables import number_read_aloud


@cache
def _patterns(lang: str) -> tuple[re.Pattern[str] | None, re.Pattern[str]] | None:
    sounds = language(lang).vowels
    if sounds is None:
        return None
    silent = re.compile(sounds["silent"]) if "silent" in sounds else None
    return silent, re.compile(sounds["sound"])


def syllables_by_vowels(word: str, lang: str) -> int:
    """Syllables of a written word; numerals count as read in English, for want of a better rule; at least 1.

    A language without vowel rules gives 0: its formulas need no syllables.
    """
    patterns = _patterns(lang)
    if patterns is None:
        return 0
    silent, sound = patterns
    total = 0
    for part in re.findall(r"\d+|[^\W\d_]+", word.lower()):
        if part.isdecimal():
            total += number_read_aloud(int(part[:9]))
            continue
        spoken = silent.sub("", part) if silent else part
        total += max(len(sound.findall(spoken)), 1)
    return max(total, 1)
