"""Builds `data/easy_words_en.txt`: Limberleaf's own list of words that most ten-year-olds know.

Own list, not the Dale-Chall list: words of `words_en.txt` that are common for their length (short words are
learnt early), less those of `data/easy_not.txt` (names, trade and office words), plus the everyday words of
body, home and movement in `data/easy_extra.txt`, chosen by hand. A clinic that holds the Dale-Chall list
can give it instead.

Run: `python -m limberleaf.reading.build.easy` after `words` and `syllables`.
"""

from __future__ import annotations

import sys
import textwrap

from limberleaf.reading.tables import DATA, load_grouped, load_words
from limberleaf.reading.words.syllables import SyllableCounter

# Lowest zipf tenths of an easy word, by its number of syllables: set so that the share of hard words in general prose
# comes out as with the Dale-Chall list (measured in tests/outside/test_reading_words.py).
COMMON_ENOUGH = {1: 47, 2: 51, 3: 55, 4: 59}
RARELY = 60  # the same for words of five syllables and more
HEADER = """\
# Limberleaf's own easy words: common for their length, plus everyday words of body, home and movement.
# Not the Dale-Chall list. Derived from words_en.txt, so under CC BY-SA 4.0 as well, notice in NOTICE.md.
# Built by build/easy.py.
"""


def easy_words() -> frozenset[str]:
    """The list, from the tables that ship."""
    counter = SyllableCounter()
    common = {
        word
        for word, tenths in load_grouped("words_en.txt").items()
        if tenths >= COMMON_ENOUGH.get(counter.count(word), RARELY)
    }
    return frozenset((common - load_words("easy_not.txt")) | load_words("easy_extra.txt"))


def main() -> None:
    """Write the list."""
    easy = easy_words()
    text = textwrap.fill(" ".join(sorted(easy)), 110, break_long_words=False, break_on_hyphens=False)
    (DATA / "easy_words_en.txt").write_text(HEADER + text + "\n", encoding="utf-8")
    sys.stdout.write(f"{len(easy)} easy words\n")


if __name__ == "__main__":
    main()
