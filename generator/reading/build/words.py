"""Builds `data/words_en.txt`: how common English words are, in tenths of the zipf scale.

Source: `wordfreq` 3.1.1 by Robyn Speer, data under CC BY-SA 4.0 (notice in `data/NOTICE.md`). The zipf
scale (van Heuven et al. 2014) is the base-10 logarithm of uses in a billion words: 6 is `time`, 3 is about
once in a million words. Alphabetic words of zipf 3.3 and above are kept, those of one or two letters only
when they are words. Names of people, places and makers are left out: a word counts when a dictionary has it in small
letters (Debian's `wamerican-large` and `wbritish-large`, from SCOWL by Kevin Atkinson), or when it is a day or a month.

Run: `python -m limberleaf.reading.build.words` (needs `pip install wordfreq==3.1.1` and the two Debian packages).
"""

from __future__ import annotations

import re
import sys
from collections import defaultdict
from pathlib import Path

from limberleaf.reading.tables import DATA

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
CAPITALISED = frozenset(
    [
        "monday",
        "tuesday",
        "wednesday",
        "thursday",
        "friday",
        "saturday",
        "sunday",
        "january",
        "february",
        "march",
        "april",
        "may",
        "june",
        "july",
        "august",
        "september",
        "october",
        "november",
        "december",
        "christmas",
        "easter",
        "english",
        "i'd",
        "i'll",
        "i'm",
        "i've",
        "ok",
    ]
)
"""Ordinary words that dictionaries write with a capital, or not at all."""
HEADER = """\
# How common words are: the common English words in tenths of the zipf scale (43 is zipf 4.3), names left out.
# Derived from wordfreq 3.1.1 by Robyn Speer; this file is under CC BY-SA 4.0, notice in NOTICE.md.
# Built by build/words.py.
# zipf tenths: words
"""


def dictionary() -> frozenset[str]:
    """The words that dictionaries have in small letters."""
    lists = [Path("/usr/share/dict", name).read_text("utf-8").split() for name in DICTIONARIES]
    return frozenset(word for words in lists for word in words if word == word.lower()) | CAPITALISED | SHORT


def main() -> None:
    """Write the table."""
    import wordfreq  # type: ignore[import-not-found,import-untyped,unused-ignore]

    grouped: dict[int, list[str]] = defaultdict(list)
    known = dictionary()
    for word in wordfreq.iter_wordlist("en"):
        plain = word.replace("’", "'")
        usual = plain in known or plain.removesuffix("'s") in known
        if re.fullmatch(r"[a-z]+(?:'[a-z]+)?", plain) and (len(plain) > 2 or plain in SHORT) and usual:
            tenths = round(wordfreq.zipf_frequency(word, "en") * 10)
            if tenths >= LEAST:
                grouped[tenths].append(plain)
    rows = [f"{tenths}: {' '.join(sorted(grouped[tenths]))}\n" for tenths in sorted(grouped, reverse=True)]
    (DATA / "words_en.txt").write_text(HEADER + "".join(rows), encoding="utf-8")
    sys.stdout.write(f"{sum(map(len, grouped.values()))} words\n")


if __name__ == "__main__":
    main()
