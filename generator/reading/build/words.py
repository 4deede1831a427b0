"""Builds `data/words_en.txt`: how common English words are, in tenths of the zipf scale.

Source: `wordfreq` 3.1.1 by Robyn Speer, data under CC BY-SA 4.0 (notice in `data/NOTICE.md`). The zipf
scale (van Heuven et al. 2014) is the base-10 logarithm of uses in a billion words: 6 is `time`, 3 is about
once in a million words. The commonest 20,000 alphabetic words are kept, those of one or two letters only
when they are words.

Run: `python -m generator.reading.build.words` (needs `pip install wordfreq==3.1.1`).
"""

from __future__ import annotations

import re
import sys
from collections import defaultdict

from generator.reading.tables import DATA

SIZE = 20_000
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
HEADER = """\
# How common words are: the commonest 20,000 English words in tenths of the zipf scale (43 is zipf 4.3).
# Derived from wordfreq 3.1.1 by Robyn Speer; this file is under CC BY-SA 4.0, notice in NOTICE.md.
# Built by build/words.py.
# zipf tenths: words
"""


def main() -> None:
    """Write the table."""
    import wordfreq  # type: ignore[import-not-found,import-untyped,unused-ignore]

    grouped: dict[int, list[str]] = defaultdict(list)
    found = 0
    for word in wordfreq.iter_wordlist("en"):
        if re.fullmatch(r"[a-z]+(?:['’][a-z]+)?", word) and (len(word) > 2 or word in SHORT):
            grouped[round(wordfreq.zipf_frequency(word, "en") * 10)].append(word.replace("’", "'"))
            found += 1
            if found == SIZE:
                break
    rows = [f"{tenths}: {' '.join(sorted(grouped[tenths]))}\n" for tenths in sorted(grouped, reverse=True)]
    (DATA / "words_en.txt").write_text(HEADER + "".join(rows), encoding="utf-8")
    sys.stdout.write(f"{found} words, rarest {min(grouped)} tenths\n")


if __name__ == "__main__":
    main()
