"""Builds `data/words_en.txt`: how common English words are, in tenths of the zipf scale.

Source: `wordfreq` 3.1.1 by Robyn Speer, data under CC BY-SA 4.0 (notice in `data/NOTICE.md`). The zipf
scale (van Heuven et al. 2014) is the base-10 logarithm of uses in a billion words: 6 is `time`, 3 is about
once in a million words. Alphabetic words of zipf 3.3 and above are kept, those of one or two letters only
when they are words. Names of people, places and makers are left out: a word counts when a dictionary
(Debian's `wamerican-large` and `wbritish-large`, from SCOWL by Kevin Atkinson) has it in small letters and not
with a capital too. Of those it has with a capital, the ordinary words (bill, may, rose) are in `data/also_names.txt`.

Run: `python -m limberleaf.reading.build.words` (needs `pip install wordfreq==3.1.1` and the two Debian packages).
"""

from __future__ import annotations

import re
import sys
from collections import defaultdict
from collections.abc import Callable, Iterable
from itertools import chain
from pathlib import Path

from limberleaf.reading.tables import DATA, load_words

LEAST = 33
"""Tenths of the zipf scale of the rarest words kept: about twice in a million words."""
SHORT = frozenset(
    [
        "a",
        "i",
        "am",
        "an",
        "as",
        "at",
        "ax",
        "be",
        "by",
        "do",
        "go",
        "he",
        "hi",
        "if",
        "in",
        "is",
        "it",
        "me",
        "my",
        "no",
        "of",
        "oh",
        "ok",
        "on",
        "or",
        "ox",
        "so",
        "to",
        "up",
        "us",
        "we",
    ]
)
DICTIONARIES = ("american-english-large", "british-english-large")
HEADER = """\
# How common words are: the common English words in tenths of the zipf scale (43 is zipf 4.3), names left out.
# Derived from wordfreq 3.1.1 by Robyn Speer; this file is under CC BY-SA 4.0, notice in NOTICE.md.
# Built by build/words.py.
# zipf tenths: words
"""


def ordinary(words: Iterable[str]) -> Callable[[str], bool]:
    """A test by the words of a dictionary: whether a lower-case word, or what it is the possessive of, is no name."""
    small: set[str] = set()
    names: set[str] = set()
    for word in words:
        (small if word.islower() else names).add(word.lower())
    also_names = load_words("also_names.txt")

    def is_ordinary(word: str) -> bool:
        stem = word.removesuffix("'s")
        return word in also_names or (stem in small and names.isdisjoint((word, stem)))

    return is_ordinary


def main() -> None:
    """Write the table."""
    import wordfreq  # type: ignore[import-not-found,import-untyped,unused-ignore]

    grouped: dict[int, list[str]] = defaultdict(list)
    lists = [Path("/usr/share/dict", name).read_text("utf-8").split() for name in DICTIONARIES]
    is_ordinary = ordinary(chain.from_iterable(lists))
    for word in wordfreq.iter_wordlist("en"):
        plain = word.replace("’", "'")
        long_enough = len(plain) > 2 or plain in SHORT
        if re.fullmatch(r"[a-z]+(?:'[a-z]+)?", plain) and long_enough and is_ordinary(plain):
            tenths = round(wordfreq.zipf_frequency(word, "en") * 10)
            if tenths >= LEAST:
                grouped[tenths].append(plain)
    rows = [f"{tenths}: {' '.join(sorted(grouped[tenths]))}\n" for tenths in sorted(grouped, reverse=True)]
    (DATA / "words_en.txt").write_text(HEADER + "".join(rows), encoding="utf-8")
    sys.stdout.write(f"{sum(map(len, grouped.values()))} words\n")


if __name__ == "__main__":
    main()
